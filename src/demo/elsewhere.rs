//! Faults that no check shows: in use, reported, by a self-test, at planned maintenance.
//!
//! A table and nothing else, invented for the demo like that of [`super::trouble`].

use super::trouble::{Remedy, fitted, remedy};

/// A fault that no check shows.
pub struct Elsewhere {
    pub way: &'static str,
    /// A feature the machine must have; empty for any machine.
    pub fitted: &'static str,
    pub weight: i64,
    pub what: &'static str,
    /// How the machine may still be used; empty when it is withheld.
    pub restriction: &'static str,
    pub remedy: Remedy,
}

/// The troubles that no check shows.
pub static ELSEWHERE: [Elsewhere; 6] = [
    Elsewhere {
        way: "in-use",
        fitted: "ventilator",
        weight: 4,
        what: "ventilator stopped once with a fault message; ventilated by hand, then it ran on",
        restriction: "",
        remedy: remedy(
            1,
            "no-fault-found",
            "Fault log read with the maker by telephone; ran for three hours.",
            (180, 230),
        ),
    },
    Elsewhere {
        way: "in-use",
        fitted: "",
        weight: 4,
        what: "screen went dark for some seconds during a case",
        restriction: "",
        remedy: fitted(
            1,
            "wear-or-age",
            "Cable of the screen exchanged.",
            (60, 120),
            &["screen cable"],
            Some(("parts", 24, 120)),
        ),
    },
    Elsewhere {
        way: "reported",
        fitted: "",
        weight: 4,
        what: "brake of one castor does not hold",
        restriction: "use only in its own room; do not move the machine with a patient attached",
        remedy: fitted(
            1,
            "physical-damage",
            "Castor replaced.",
            (30, 60),
            &["castor with brake"],
            Some(("parts", 48, 120)),
        ),
    },
    Elsewhere {
        way: "reported",
        fitted: "",
        weight: 3,
        what: "edge of the work surface cracked and sharp",
        restriction: "edge covered; do not put anything on the work surface",
        remedy: remedy(1, "physical-damage", "Edge ground smooth and sealed.", (30, 50)),
    },
    Elsewhere {
        way: "self-test",
        fitted: "self-test",
        weight: 4,
        what: "self-test of the night reports a flow sensor out of range",
        restriction: "",
        remedy: fitted(1, "accessory-or-consumable", "Flow sensor replaced.", (20, 45), &["flow sensor"], None),
    },
    Elsewhere {
        way: "planned-maintenance",
        fitted: "",
        weight: 0,
        what: "seat of the absorber canister found cracked",
        restriction: "",
        remedy: fitted(
            1,
            "wear-or-age",
            "Seat of the canister exchanged.",
            (60, 100),
            &["canister seat"],
            Some(("parts", 20, 60)),
        ),
    },
];
