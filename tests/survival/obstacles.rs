//! What stands in the way: a full disk, a folder that may not be written, locks that others left, a clock that was put back.
//!
//! Each is told with a next step and touches nothing, and once it is gone the same command does its work.

use super::ward::{Done, Ward, check};
use super::works::RECORD;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs the program in a shell that is given what stands in the way; `"$@"` is the program.
fn run_with(ward: &Ward, shell: &str, arguments: &[&str]) -> Done {
    let program = ward.program(arguments);
    let mut command = Command::new("sh");
    command.args(["-c", shell, "sh"]).arg(program.get_program()).args(program.get_args());
    ward.surround(&mut command);
    command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
    Done::of(&command.output().unwrap())
}

/// A ward with a record in the inbox.
fn handed_in() -> Ward {
    (RECORD.ward)()
}

/// The obstacle is gone: the record comes in.
fn comes_in(ward: &Ward) {
    ward.run(RECORD.arguments).is(0).says("recorded ");
    ward.in_order(&[check("06:45")]);
}

/// An obstacle that is told and touches nothing, and that goes away.
fn stands_in_the_way(words: &str, put: impl FnOnce(&Ward) -> Box<dyn FnOnce(&Ward)>) {
    let ward = handed_in();
    ward.run(&["keep", "--by", "a-nurse"]).is(0);
    let take_away = put(&ward);
    let before = ward.everything();
    ward.run(RECORD.arguments).fails(words);
    assert_eq!(ward.everything(), before, "{words}");
    take_away(&ward);
    comes_in(&ward);
}

#[test]
fn a_file_that_may_not_grow_is_told_at_every_size() {
    let told = "make room on the disk";
    for blocks in 0..4 {
        let ward = handed_in();
        let before = ward.everything();
        // In blocks of 512 bytes (POSIX, ulimit); the signal that comes with it is passed over, as on a full disk.
        let done = run_with(&ward, &format!("trap '' 25; ulimit -f {blocks}; exec \"$@\""), RECORD.arguments);
        if done.status == Some(0) {
            assert!(blocks > 0, "the limit did not hold: {done:#?}");
            ward.in_order(&[check("06:45")]);
            continue;
        }
        done.fails(told);
        let mut after = ward.everything();
        after.retain(|path, _| !path.starts_with(".git/objects") && path != ".git/pinindex.lock");
        let mut before = before;
        before.retain(|path, _| !path.starts_with(".git/objects"));
        assert_eq!(after, before, "{blocks} blocks");
        comes_in(&ward);
    }
}

#[test]
fn a_full_disk_is_told_at_every_level() {
    let ward = handed_in();
    let before = ward.everything();
    let mut refused = 0;
    let mut free = 0;
    loop {
        // A disk of its own in memory, filled but for so many kilobytes. The logbook is copied there and back.
        let shell = format!(
            "set -e; cd ..; mkdir -p disk; mount -t tmpfs -o size=2m none disk; cp -r logbook inbox disk/; \
             free=$(df --output=avail -k disk | tail -n 1); fill=$((free - {free})); \
             head -c $((fill * 1024)) /dev/zero > disk/fill || true; cd disk/logbook; \
             status=0; \"$@\" || status=$?; rm ../fill; \
             rm -r ../../after; cp -r .. ../../after; exit $status"
        );
        fs::create_dir_all(ward.folder().join("after")).unwrap();
        let done = in_namespace(&ward, &shell, RECORD.arguments);
        let after = Ward::at(ward.folder().join("after"));
        if done.status == Some(0) {
            after.in_order(&[check("06:45")]);
            break;
        }
        refused += 1;
        done.fails("make room on the disk");
        assert!(after.inbox().join("0645.yaml").exists());
        let mut left = after.everything();
        left.retain(|path, _| before.contains_key(path));
        assert_eq!(left, before, "{free} KB free");
        assert_eq!(after.git(&["status", "--porcelain"]), "", "{free} KB free");
        comes_in(&after);
        free += 8;
        assert!(free < 400, "a record does not need so much room");
    }
    assert!(refused > 3, "only {refused} levels were too full");
}

/// Runs a shell that may mount disks nobody else sees.
fn in_namespace(ward: &Ward, shell: &str, arguments: &[&str]) -> Done {
    let trial = Command::new("unshare").args(["-rm", "true"]).status();
    assert!(
        trial.is_ok_and(|status| status.success()),
        "this machine does not let a test mount a disk of its own: allow user namespaces, or run the tests as root"
    );
    run_with(ward, &format!("exec unshare -rm sh -c '{}' sh \"$@\"", shell.replace('\'', "'\\''")), arguments)
}

#[test]
fn a_folder_that_is_read_only_is_told() {
    for (folder, words) in
        [(".", "make the disk writable"), (".git", "make the disk writable"), ("records", "make the disk writable")]
    {
        let ward = handed_in();
        fs::create_dir_all(ward.root().join("records")).unwrap();
        let before = ward.everything();
        let shell = format!(
            "set -e; mount --bind {folder} {folder}; mount -o remount,ro,bind {folder}; cd \"$PWD\"; exec \"$@\""
        );
        in_namespace(&ward, &shell, RECORD.arguments).fails(words);
        let mut after = ward.everything();
        after.retain(|path, _| path != ".git/pinindex.lock" && !path.starts_with(".git/objects"));
        let mut before = before;
        before.retain(|path, _| !path.starts_with(".git/objects"));
        assert_eq!(after, before, "{folder}");
        comes_in(&ward);
    }
}

#[test]
fn an_inbox_that_is_read_only_keeps_its_file_and_the_record_is_in() {
    let ward = handed_in();
    let shell = "set -e; mount --bind ../inbox ../inbox; mount -o remount,ro,bind ../inbox; exec \"$@\"";
    let done = in_namespace(&ward, shell, RECORD.arguments);
    done.fails("all is recorded, but this could not be taken away").says("recorded ");
    ward.in_order(&[check("06:45")]);
    ward.run(RECORD.arguments).is(0).says("already recorded ");
    ward.in_order(&[check("06:45")]);
}

#[test]
fn locks_that_others_left_are_named() {
    for lock in ["index.lock", "refs/heads/main.lock", "HEAD.lock"] {
        stands_in_the_way("a crash left the file: delete it", |ward| {
            let place = ward.root().join(".git").join(lock);
            fs::write(&place, "").unwrap();
            Box::new(move |_| fs::remove_file(place).unwrap())
        });
    }
}

#[test]
fn a_writer_that_was_stopped_is_waited_for() {
    let ward = handed_in();
    ward.run(&["keep", "--by", "a-nurse"]).is(0);
    let lock = fs::File::create(ward.root().join(".git/pinindex.lock")).unwrap();
    lock.lock().unwrap();
    let mut command = ward.program(RECORD.arguments);
    command.stdout(Stdio::null()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut said = [0; 64];
    let read = std::io::Read::read(child.stderr.as_mut().unwrap(), &mut said).unwrap();
    assert!(String::from_utf8_lossy(&said[..read]).starts_with("waiting for somebody else"));
    drop(lock);
    assert!(child.wait().unwrap().success());
    ward.in_order(&[check("06:45")]);
}

#[test]
fn a_note_that_is_damaged_is_passed_over() {
    for text in ["", "\0\0\0", "none", "none zzz"] {
        let ward = handed_in();
        fs::write(ward.root().join(".git/pinindex.pending"), text).unwrap();
        comes_in(&ward);
    }
}

#[test]
fn objects_that_a_power_cut_left_empty_are_written_anew() {
    let ward = handed_in();
    ward.run(RECORD.arguments).is(0);
    let recorded = ward.everything();
    let again = handed_in();
    let known = again.everything();
    // The names of the new objects are there, and nothing in them.
    for path in recorded.keys().filter(|path| path.starts_with(".git/objects/") && !known.contains_key(*path)) {
        let place = again.root().join(path);
        if ward.root().join(path).is_dir() {
            fs::create_dir_all(place).unwrap();
        } else {
            fs::create_dir_all(place.parent().unwrap()).unwrap();
            fs::write(place, "").unwrap();
        }
    }
    comes_in(&again);
}

#[test]
fn a_clock_that_was_put_back_loses_nothing() {
    let ward = Ward::new();
    for (now, ended, behind) in
        [("2026-11-25T12:00:00+00:00", "06:45", false), ("2026-11-25T08:00:00+00:00", "07:45", true)]
    {
        ward.hand_in(ended);
        // The last moment given counts: the helper gives one of its own before.
        let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
        ward.surround(&mut command);
        let done = Done::of(&command.args(["--now", now]).args(RECORD.arguments).output().unwrap()).is(0);
        assert_eq!(done.err.contains("this computer's clock is 4 h behind the last commit"), behind, "{}", done.err);
    }
    let future = std::time::SystemTime::now() + std::time::Duration::from_secs(400_000_000);
    for path in ["people.yaml", ".git/index"] {
        let file = fs::File::options().append(true).open(ward.root().join(path)).unwrap();
        file.set_modified(future).unwrap();
    }
    ward.hand_in("08:45");
    ward.run(RECORD.arguments).is(0);
    ward.in_order(&["06:45", "07:45", "08:45"].map(check));
}

#[test]
fn somebody_without_rights_is_told_whom_to_ask() {
    let ward = handed_in();
    let open = |place: &Path, mode: &str| {
        assert!(Command::new("chmod").args(["-R", mode]).arg(place).status().unwrap().success())
    };
    open(ward.folder(), "a+rX,go-w");
    // The rights of nobody in particular, whoever runs the tests.
    let before = ward.everything();
    let program = ward.folder().join("pinindex");
    fs::copy(env!("CARGO_BIN_EXE_pinindex"), &program).unwrap();
    let done = run_with(
        &ward,
        "shift; exec setpriv --reuid=65534 --regid=65534 --clear-groups ../pinindex \"$@\"",
        RECORD.arguments,
    );
    assert!(!done.err.contains("setpriv:"), "this test changes the user and must be run by root: {done:#?}");
    done.fails("the right to read and write there");
    assert_eq!(ward.everything(), before);
    comes_in(&ward);
}
