//! The three ways into the history (a file from the inbox, answers given as options, a changed file) and what must hold of
//! each after it was stopped half-way, wherever that was.

use super::ward::{Done, Ward, check, filed};
use std::fs;

/// A change of the people that `pinindex keep` can take.
const ONE_MORE: &str = "c-nurse: {name: Cem Nurse, role: provider, email: c@hospital.example}\n";

/// A command, the logbook that it is run in, and what must hold when it was stopped.
pub struct Work {
    pub arguments: &'static [&'static str],
    pub ward: fn() -> Ward,
    pub survives: fn(&Ward, &Done),
    /// It is killed at one in so many of its calls, and one in one more fails: all three write in the same way.
    pub share: usize,
}

/// A record that lies in the inbox.
pub const RECORD: Work = Work {
    arguments: &["record", "../inbox"],
    ward: || {
        let ward = Ward::new();
        ward.hand_in("06:45");
        ward
    },
    survives: record_survives,
    share: 1,
};

/// A check that lies nowhere until it is recorded.
pub const CHECK: Work = Work {
    arguments: &["check", "theatre-1", "--by", "a-nurse", "--started", "11:00", "--set", "suction=pass"],
    ward: Ward::new,
    survives: check_survives,
    share: 3,
};

/// A file of the logbook that was changed by hand.
pub const KEEP: Work = Work {
    arguments: &["keep", "--by", "a-nurse"],
    ward: || {
        let ward = Ward::new();
        let place = ward.root().join("people.yaml");
        fs::write(&place, fs::read_to_string(&place).unwrap() + ONE_MORE).unwrap();
        ward
    },
    survives: change_survives,
    share: 2,
};

/// The record is nowhere lost, and the next run brings it in, once.
fn record_survives(ward: &Ward, stopped: &Done) {
    let text = check("06:45");
    let places = [ward.inbox().join("0645.yaml"), ward.root().join(filed("06:45"))];
    let lies = places.iter().any(|place| fs::read_to_string(place).is_ok_and(|found| found == text));
    assert!(lies || ward.holds(&text), "the record is lost");
    if stopped.out.contains("recorded ") {
        assert!(ward.holds(&text), "it was announced and is not there: {stopped:#?}");
    }
    ward.hand_in("07:45");
    ward.run(RECORD.arguments).is(0);
    ward.in_order(&[text, check("07:45")]);
}

/// What was announced is there; the same command again records it, and it is there once.
fn check_survives(ward: &Ward, stopped: &Done) {
    if stopped.out.contains("recorded ") {
        assert_eq!(ward.recorded().len(), 1, "it was announced and is not there: {stopped:#?}");
    }
    ward.run(CHECK.arguments).is(0);
    let recorded = ward.recorded();
    assert_eq!(recorded.len(), 1, "{recorded:#?}");
    ward.in_order(&recorded);
}

/// The change is in the history or in the folder, and the same command again keeps it, once.
fn change_survives(ward: &Ward, stopped: &Done) {
    if stopped.out.contains("kept ") {
        assert_eq!(ward.git(&["status", "--porcelain"]), "", "{stopped:#?}");
    }
    assert!(fs::read_to_string(ward.root().join("people.yaml")).unwrap().ends_with(ONE_MORE));
    ward.run(KEEP.arguments).is(0);
    ward.in_order(&[]);
    assert!(ward.git(&["show", "HEAD:people.yaml"]).ends_with(ONE_MORE));
    assert_eq!(ward.git(&["rev-list", "--count", "HEAD"]), "2\n");
}
