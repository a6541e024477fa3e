//! Several at the same moment: what each of them announced is there, once, in one line of history, and nobody is told to
//! do more than to run the command again.

use super::ward::{Done, Ward, check, filed, git};
use super::works::{CHECK, KEEP};
use std::fs;
use std::path::Path;
use std::process::{Child, Stdio};

/// Starts a command in the ward.
fn start(ward: &Ward, arguments: &[&str]) -> Child {
    ward.program(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

/// Waits for a command, which must have done its work.
fn done(child: Child) -> Done {
    Done::of(&child.wait_with_output().unwrap()).is(0)
}

/// Puts a check into a file of its own beside the logbook and returns its name.
fn lay_out(ward: &Ward, name: &str, ended: &str) -> String {
    fs::write(ward.folder().join(name), check(ended)).unwrap();
    format!("../{name}")
}

fn different_records(writers: usize) {
    let ward = Ward::new();
    let times: Vec<String> = (0..writers * 2).map(|number| format!("07:{number:02}")).collect();
    for round in times.chunks(writers) {
        let names: Vec<String> = round.iter().map(|time| lay_out(&ward, &format!("{time}.yaml"), time)).collect();
        let started: Vec<Child> = names.iter().map(|name| start(&ward, &["record", name])).collect();
        for (child, time) in started.into_iter().zip(round) {
            done(child).says(&format!("recorded {}", filed(time)));
        }
    }
    ward.in_order(&times.iter().map(|time| check(time)).collect::<Vec<_>>());
    assert_eq!(ward.git(&["rev-list", "--count", "HEAD"]), format!("{}\n", times.len() + 1));
}

#[test]
fn two_record_at_the_same_moment() {
    different_records(2);
}

#[test]
fn eight_record_at_the_same_moment() {
    different_records(8);
}

#[test]
fn eight_record_the_same_check() {
    let ward = Ward::new();
    let names: Vec<String> = (0..8).map(|number| lay_out(&ward, &format!("copy-{number}.yaml"), "07:00")).collect();
    let started: Vec<Child> = names.iter().map(|name| start(&ward, &["record", name])).collect();
    let said: Vec<String> = started.into_iter().map(|child| done(child).out).collect();
    assert_eq!(said.iter().filter(|out| out.starts_with("recorded ")).count(), 1, "{said:#?}");
    assert_eq!(said.iter().filter(|out| out.starts_with("already recorded ")).count(), 7, "{said:#?}");
    ward.in_order(&[check("07:00")]);
    assert_eq!(ward.git(&["rev-list", "--count", "HEAD"]), "2\n");
}

#[test]
fn eight_empty_the_same_inbox() {
    let ward = Ward::new();
    let times = ["07:00", "07:01", "07:02"];
    times.iter().for_each(|time| ward.hand_in(time));
    let started: Vec<Child> = (0..8).map(|_| start(&ward, &["record", "../inbox"])).collect();
    for child in started {
        let done = Done::of(&child.wait_with_output().unwrap());
        // Whoever comes late finds a file gone between listing and reading it.
        if done.status != Some(0) {
            done.fails("there is no file or folder `../inbox/");
        }
    }
    assert_eq!(fs::read_dir(ward.inbox()).unwrap().count(), 0);
    ward.in_order(&times.map(check));
}

/// Commits another text of a file with git, again and again, and returns how often it went well.
fn commit_with_git(ward: &Ward, name: &str) -> usize {
    let mut went_well = 0;
    for number in 0..6 {
        fs::write(ward.root().join(name), format!("{number}\n")).unwrap();
        let done = ward.try_git(&["commit", "--quiet", "--message", name, "--", name]);
        went_well += usize::from(done.status == Some(0));
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    went_well
}

/// Runs a command until it does its work: only git in between, or a lock of git, may keep it from it.
fn insist(ward: &Ward, arguments: &[&str]) {
    for _ in 0..50 {
        let done = ward.run(arguments);
        if done.status == Some(0) {
            return;
        }
        done.speaks_plainly();
        let git_came_first = done.err.contains("committed to this logbook with another program");
        assert!(git_came_first || done.err.contains("git's lock file") || done.err.contains("staged"), "{done:#?}");
    }
    panic!("{arguments:?} never had its turn");
}

#[test]
fn records_a_fault_a_kept_change_and_git_at_the_same_moment() {
    let ward = (KEEP.ward)();
    for name in ["notes-a.txt", "notes-b.txt"] {
        fs::write(ward.root().join(name), "").unwrap();
        ward.git(&["add", name]);
    }
    ward.git(&["commit", "--quiet", "--message", "notes"]);
    let times = ["07:00", "07:01", "07:02", "07:03"];
    times.iter().for_each(|time| ward.hand_in(time));
    let fault = ["fault", "theatre-1", "--found", "08:00", "--found-during", "in-use", "--what", "no alarm"];
    let fault = [&fault[..], &["--use", "withheld", "--by", "b-tech"]].concat();
    let by_git: usize = std::thread::scope(|scope| {
        let gits = ["notes-a.txt", "notes-b.txt"].map(|name| scope.spawn(|| commit_with_git(&ward, name)));
        for time in times {
            let file = format!("../inbox/{}.yaml", time.replace(':', ""));
            let ward = &ward;
            scope.spawn(move || insist(ward, &["record", &file]));
        }
        for arguments in [&fault, KEEP.arguments, CHECK.arguments] {
            scope.spawn(|| insist(&ward, arguments));
        }
        gits.map(|one| one.join().unwrap()).into_iter().sum()
    });
    assert!(by_git > 0, "git never had its turn");
    for name in ["notes-a.txt", "notes-b.txt"] {
        ward.git(&["add", name]);
    }
    if !ward.git(&["status", "--porcelain"]).is_empty() {
        ward.git(&["commit", "--quiet", "--message", "the last notes"]);
    }
    ward.sound();
    let recorded = ward.recorded();
    assert_eq!(recorded.len(), times.len() + 2, "{recorded:#?}");
    assert!(times.iter().all(|time| ward.holds(&check(time))));
    let subjects = ward.git(&["log", "--format=%s"]);
    assert_eq!(subjects.lines().filter(|line| line.starts_with("theatre-1: fault found")).count(), 1, "{subjects}");
    assert_eq!(subjects.lines().filter(|line| line.starts_with("Keep people.yaml")).count(), 1, "{subjects}");
    assert_eq!(subjects.lines().filter(|line| line.starts_with("notes-")).count(), by_git, "{subjects}");
    assert!(ward.run(&["validate"]).out.contains("no problems"));
}

#[test]
fn the_judge_knows_a_history_that_is_not_one_line() {
    // A judge that never objects would judge nothing.
    let ward = Ward::new();
    let run = |arguments: &[&str]| assert!(git(Path::new(&ward.root())).args(arguments).status().unwrap().success());
    run(&["switch", "--quiet", "--create", "other"]);
    run(&["commit", "--quiet", "--allow-empty", "--message", "theirs"]);
    run(&["switch", "--quiet", "main"]);
    run(&["commit", "--quiet", "--allow-empty", "--message", "ours"]);
    run(&["merge", "--quiet", "other"]);
    assert!(std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| ward.sound())).is_err());
}
