//! Killed at every call that writes, and at random instants: the record is in the history or still where it was, the next
//! command works, and in the end everything is there exactly once.

use super::traced::{self, Call};
use super::ward::{Done, ONE_MORE, Ward, check, filed};

use std::fs;

const RECORD: [&str; 2] = ["record", "../inbox"];
const CHECK: [&str; 8] = ["check", "theatre-1", "--by", "a-nurse", "--started", "11:00", "--set", "suction=pass"];
const KEEP: [&str; 3] = ["keep", "--by", "a-nurse"];

/// A record that lies in the inbox.
fn handed_in() -> Ward {
    let ward = Ward::new();
    ward.hand_in("06:45");
    ward
}

/// A change that lies in the folder.
fn with_one_more() -> Ward {
    let ward = Ward::new();
    let place = ward.root().join("people.yaml");
    fs::write(&place, fs::read_to_string(&place).unwrap() + ONE_MORE).unwrap();
    ward
}

/// The record is nowhere lost, and the next runs bring it in once.
fn record_survives(ward: &Ward, killed: &Done) {
    let text = check("06:45");
    let lies = [ward.inbox().join("0645.yaml"), ward.root().join(filed("06:45"))];
    let lies = lies.iter().any(|place| fs::read_to_string(place).is_ok_and(|found| found == text));
    assert!(lies || ward.holds(&text), "the record is lost");
    if killed.out.contains("recorded ") {
        assert!(ward.holds(&text), "it was announced and is not there: {killed:#?}");
    }
    ward.hand_in("07:45");
    ward.run(&RECORD).is(0);
    ward.in_order(&[text, check("07:45")]);
}

/// What was announced is there; the same command again records it, and it is there once.
fn check_survives(ward: &Ward, killed: &Done) {
    if killed.out.contains("recorded ") {
        assert_eq!(ward.recorded().len(), 1, "it was announced and is not there: {killed:#?}");
    }
    ward.run(&CHECK).is(0);
    let recorded = ward.recorded();
    assert_eq!(recorded.len(), 1, "{recorded:#?}");
    ward.in_order(&recorded);
}

/// The change is in the history or in the folder, and the same command again keeps it once.
fn change_survives(ward: &Ward, killed: &Done) {
    if killed.out.contains("kept ") {
        assert_eq!(ward.git(&["status", "--porcelain"]), "", "{killed:#?}");
    }
    assert!(fs::read_to_string(ward.root().join("people.yaml")).unwrap().ends_with(ONE_MORE));
    ward.run(&KEEP).is(0);
    ward.in_order(&[]);
    assert!(ward.git(&["show", "HEAD:people.yaml"]).ends_with(ONE_MORE));
    assert_eq!(ward.git(&["rev-list", "--count", "HEAD"]), "2\n");
}

/// Kills the command at each of its calls that write, a share of them in each of the tests that share the work.
fn kill_at_each(new: fn() -> Ward, arguments: &[&str], survives: fn(&Ward, &Done)) {
    let trace = traced::trace(&new(), arguments);
    let calls = traced::worth_spoiling(&trace.calls);
    for call in &calls {
        let ward = new();
        let killed = Done::of(&traced::kill_at(&ward, call, arguments));
        tell_where(call, || survives(&ward, &killed));
    }
}

/// A failure names the call after which it came.
fn tell_where(call: &Call, survives: impl FnOnce()) {
    struct Told<'a>(&'a Call);
    impl Drop for Told<'_> {
        fn drop(&mut self) {
            if std::thread::panicking() {
                println!("killed before {} number {}: {}", self.0.name, self.0.number, self.0.line);
            }
        }
    }
    let told = Told(call);
    survives();
    drop(told);
}

#[test]
fn a_record_survives_a_kill_at_every_call() {
    kill_at_each(handed_in, &RECORD, record_survives);
}

#[test]
fn a_check_survives_a_kill_at_every_call() {
    kill_at_each(Ward::new, &CHECK, check_survives);
}

#[test]
fn a_kept_change_survives_a_kill_at_every_call() {
    kill_at_each(with_one_more, &KEEP, change_survives);
}
