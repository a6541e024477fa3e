//! The ways into the history (a file from the inbox, answers given as options, a correction, a changed file, seals) and what
//! must hold of each after it was stopped half-way, wherever that was.

use super::ward::{Done, Ward, check, filed};
use std::fs;

/// A change of the people that `pinindex keep` can take.
const ONE_MORE: &str = "c-nurse: {name: Cem Nurse, role: provider, email: c@hospital.example}\n";

/// A command, the logbook that it is run in, and what must hold when it was stopped.
pub struct Work {
    pub arguments: &'static [&'static str],
    pub ward: fn() -> Ward,
    pub survives: fn(&Ward, &Done),
    /// It is killed at one in so many of its calls, and one in one more fails: all of them write in the same way.
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
    survives: |ward, stopped| is_there_once(ward, stopped, CHECK.arguments),
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

/// A record that is asked for, with every answer given.
pub const FAULT: Work = Work {
    arguments: &[
        "fault",
        "theatre-1",
        "--found-during",
        "in-use",
        "--found",
        "11:00",
        "--what",
        "bellows stick",
        "--use",
        "withheld",
        "--by",
        "a-nurse",
    ],
    ward: Ward::new,
    survives: |ward, stopped| is_there_once(ward, stopped, FAULT.arguments),
    share: 5,
};

/// A correction of a record that the history has.
pub const CORRECTION: Work = Work {
    arguments: &[
        "correct",
        "records/2026/11/25/060000-theatre-1.check.yaml",
        "--remarks",
        "looked at twice",
        "--because",
        "it was left out",
        "--by",
        "b-tech",
    ],
    ward: Ward::with_a_record,
    survives: correction_survives,
    share: 5,
};

/// Two months, each in a commit of its own.
pub const SEAL: Work = Work {
    arguments: &["seal", "2026-09..2026-10", "--by", "b-tech"],
    ward: Ward::with_two_months,
    survives: seals_survive,
    share: 4,
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

/// What was announced is there; the same command again records it or says that it is recorded, and it is there once.
fn is_there_once(ward: &Ward, stopped: &Done, arguments: &[&str]) {
    if stopped.out.contains("recorded ") {
        assert_eq!(ward.recorded().len(), 1, "it was announced and is not there: {stopped:#?}");
    }
    ward.run(arguments).is(0);
    let recorded = ward.recorded();
    assert_eq!(recorded.len(), 1, "{recorded:#?}");
    ward.in_order(&recorded);
}

/// What was announced is there; the same command again corrects the record or finds it corrected, and that is done once.
fn correction_survives(ward: &Ward, stopped: &Done) {
    if stopped.out.contains("recorded ") {
        assert_eq!(ward.recorded().len(), 2, "it was announced and is not there: {stopped:#?}");
    }
    let before = ward.recorded().len();
    let again = ward.run(CORRECTION.arguments);
    match before {
        1 => again.is(0),
        _ => again.fails("nothing differs from the record"),
    };
    ward.hand_in("07:45");
    ward.run(RECORD.arguments).is(0);
    let recorded = ward.recorded();
    assert_eq!(recorded.len(), 3, "{recorded:#?}");
    ward.in_order(&recorded);
}

/// What was announced is there; the same command again seals what is not sealed yet, and each month has one seal that holds.
fn seals_survive(ward: &Ward, stopped: &Done) {
    let seals = || ward.git(&["log", "--format=%s"]).lines().filter(|subject| subject.starts_with("Seal ")).count();
    let announced = stopped.out.lines().filter(|line| line.starts_with("sealed ")).count();
    assert!(announced <= seals(), "it was announced and is not there: {stopped:#?}");
    let again = ward.run(SEAL.arguments).is(0);
    for month in ["September", "October"] {
        let [made, there] = [format!("sealed {month} 2026: 1 record of"), format!("{month} 2026 is sealed already")];
        assert!(again.out.contains(&made) || again.out.contains(&there), "{again:#?}");
    }
    assert_eq!(seals(), 2);
    ward.in_order(&ward.recorded());
    ward.run(&["audit"]).is(0).says("2 seals held against the history");
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
