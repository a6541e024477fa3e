//! Pipes, devices, links and files without end in git's folder: nobody waits at them, and nothing is believed that they say.

use super::ground::{Done, Ground, LOOKED_AT};
use super::links::{StandIn, stand_ins};
use std::fs::{self, File};
use std::path::{Path, PathBuf};

/// A file of the greatest length, which takes no room on the disk.
fn endless(_: &Ground, place: &Path) {
    File::create(place).unwrap().set_len(1 << 40).unwrap();
}

fn all_stand_ins() -> Vec<StandIn> {
    let mut all = stand_ins().to_vec();
    all.push(("a file without end", endless));
    all
}

/// Puts something in the place of a file in git's folder, in a logbook of its own.
fn with(path: &str, put: fn(&Ground, &Path)) -> Ground {
    let ground = Ground::new();
    let place = ground.root().join(".git").join(path);
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    let _ = fs::remove_file(&place);
    put(&ground, &place);
    ground.put(
        "machines/theatre-2.yaml",
        fs::read_to_string(ground.root().join("machines/theatre-2.yaml")).unwrap() + "\n",
    );
    ground
}

const KEEP: &[&str] = &["keep", "--by", "m-okafor"];
const ASKED: [&[&str]; 5] = [&["validate"], &["ready"], &["audit"], &["report", "2026-11", "--format", "md"], KEEP];

/// What git can be without: everything works as if nothing were there.
#[test]
fn a_note_of_ours_is_passed_over() {
    for (name, put) in all_stand_ins() {
        for file in ["pinindex.lives", "pinindex.seen", "pinindex.pending"] {
            let ground = with(file, put);
            for arguments in ASKED.iter().filter(|arguments| arguments[0] != "audit") {
                ground.run(arguments).is(0);
            }
            let audit = ground.run(&["audit"]);
            assert!(audit.status < 2, "{name} as {file}: {}{}", audit.out, audit.err);
        }
    }
}

/// What git's library would open: refused by name, with a next step, before it is opened.
#[test]
fn what_git_reads_at_once_is_refused() {
    for (name, put) in all_stand_ins() {
        for file in
            ["HEAD", "config", "packed-refs", "shallow", "refs/heads/main", "refs/tags/v1", "objects/info/alternates"]
        {
            let ground = with(file, put);
            for arguments in ASKED {
                let done = ground.run(arguments);
                assert!(done.status == 2, "{name} as {file}: {}{}", done.out, done.err);
                let told = format!(
                    "{}` is in the way: it should be a plain file of at most",
                    PathBuf::from(".git").join(file).display()
                );
                assert!(
                    done.err.contains(&told) && done.err.contains("\n  next step: "),
                    "{name} as {file}: {}",
                    done.err
                );
            }
        }
    }
}

#[test]
fn an_object_that_is_a_pipe_or_a_device_is_refused() {
    for (name, put) in
        all_stand_ins().into_iter().filter(|(name, _)| ["a pipe", "a link to an endless device"].contains(name))
    {
        for file in ["objects/ab/0123456789012345678901234567890123456a", "objects/pack/x.idx", "objects/pack/x.pack"] {
            let done = with(file, put).run(&["ready"]).is(2);
            assert!(done.err.contains("is in the way"), "{name} as {file}: {}", done.err);
        }
    }
}

#[test]
fn a_folder_that_objects_are_borrowed_from_is_looked_through_too() {
    let ground = Ground::new();
    let lender = ground.folder.path().join("lender");
    fs::create_dir_all(lender.join("pack")).unwrap();
    ground.put(".git/objects/info/alternates", format!("{}\n", lender.display()));
    ground.run(&["ready"]).is(0);
    assert!(std::process::Command::new("mkfifo").arg(lender.join("pack/x.idx")).status().unwrap().success());
    ground.run(&["ready"]).is(2).says("pack/x.idx` is in the way");
    // Folders that borrow from each other end, and nobody looks through the whole disk.
    let ground = Ground::new();
    ground.put(".git/objects/info/alternates", "../objects\n/\n/proc\n");
    let done = ground.run(&["ready"]);
    assert!(done.status == 0 || done.err.contains("\n  next step: "), "{}{}", done.out, done.err);
}

#[test]
fn an_index_that_is_none_stops_only_what_writes_it() {
    for (name, put) in all_stand_ins() {
        let ground = with("index", put);
        for arguments in [&["validate"][..], &["ready"], &["audit"]] {
            let done = ground.run(arguments);
            assert!(done.status < 2, "{name}: {arguments:?}: {}{}", done.out, done.err);
        }
        ground.run(KEEP).is(2).says("index` is in the way: it should be a plain file");
    }
}

#[test]
fn a_lock_of_git_that_is_no_file_keeps_nobody_waiting() {
    for (name, put) in all_stand_ins() {
        for file in ["index.lock", "refs/heads/main.lock", "HEAD.lock"] {
            // Git takes it for a lock as well, so that nobody takes it away.
            let done = with(file, put).run(KEEP);
            assert!(
                done.status == 2 && done.err.contains("is in the way"),
                "{name} as {file}: {}{}",
                done.out,
                done.err
            );
        }
    }
}

#[test]
fn a_log_that_is_no_log_and_grafts_that_are_none_are_told() {
    for (name, put) in all_stand_ins() {
        for file in ["logs/HEAD", "logs/refs/heads/main", "logs/refs/heads/other"] {
            let ground = with(file, put);
            let told =
                ground.run(&["audit"]).is(1).says("problem[record-outside-history]: not all that git's folder holds");
            assert!(told.out.contains(&format!("`.git/{file}` is no plain file")), "{name} as {file}: {}", told.out);
            ground.run(&["ready"]).is(0);
        }
        let ground = with("info/grafts", put);
        ground.run(&["audit"]).is(1).says("problem[history-shown-otherwise]").says(".git/info/grafts");
        ground.run(&["ready"]).is(0);
    }
}

#[test]
fn settings_that_lead_elsewhere_lead_nowhere() {
    let ground = Ground::new();
    let pipe = ground.folder.path().join("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    ground.git(&["config", "include.path", pipe.to_str().unwrap()]);
    for arguments in LOOKED_AT {
        let done = ground.run(arguments);
        assert!(done.status < 2 || done.err.contains("\n  next step: "), "{}{}", done.out, done.err);
    }
    ground.run(&["audit"]).is(1).says("git is set by another file as well, by the setting `include.path`");
}

/// Whether a branch leads nowhere is seen by everybody, and nobody begins a new history beside the one that is there.
#[test]
fn a_head_that_leads_nowhere_stops_every_command() {
    let to_nothing = |ground: &Ground| drop(ground.git(&["symbolic-ref", "HEAD", "refs/heads/nothing"]));
    let without_branch = |ground: &Ground| {
        fs::remove_file(ground.root().join(".git/refs/heads/main")).unwrap();
    };
    let only_objects = |ground: &Ground| {
        ground.put("README.md", "One more commit.\n");
        ground.commit_all();
        fs::remove_file(ground.root().join(".git/refs/heads/main")).unwrap();
        fs::remove_dir_all(ground.root().join(".git/logs")).unwrap();
    };
    let only_our_note = |ground: &Ground| {
        ground.put("people.yaml", fs::read_to_string(ground.root().join("people.yaml")).unwrap() + "\n");
        ground.run(KEEP).is(0);
        fs::remove_file(ground.root().join(".git/refs/heads/main")).unwrap();
        for folder in ["objects", "logs"] {
            fs::remove_dir_all(ground.root().join(".git").join(folder)).unwrap();
        }
        fs::create_dir(ground.root().join(".git/objects")).unwrap();
    };
    let ways: [&dyn Fn(&Ground); 4] = [&to_nothing, &without_branch, &only_objects, &only_our_note];
    for way in ways {
        let ground = Ground::new();
        way(&ground);
        fs::write(ground.inbox().join("x.yaml"), "x: 1\n").unwrap();
        let writing: [&[&str]; 4] =
            [KEEP, &["record", "../inbox/x.yaml"], &["seal", "2026-10", "--by", "m-okafor"], &["check", "theatre-1"]];
        for arguments in LOOKED_AT.iter().chain(&writing).filter(|arguments| arguments[0] != "paper") {
            let done: Done =
                ground.run(arguments).is(2).says("which is not there; the history is still in git's folder");
            assert!(done.err.contains("\n  next step: ") && !done.err.contains("init"), "{}", done.err);
        }
    }
    // What the next step says brings it back.
    let ground = Ground::new();
    let last = ground.git(&["rev-parse", "HEAD"]);
    without_branch(&ground);
    ground.git(&["update-ref", "HEAD", &last]);
    ground.run(&["ready"]).is(0);
    to_nothing(&ground);
    ground.git(&["symbolic-ref", "HEAD", "refs/heads/main"]);
    ground.run(&["ready"]).is(0);
}

#[test]
fn files_in_no_history_are_called_a_draft() {
    let draft = "Draft: these files are in no git history, so nothing shows whether they were changed.";
    let ground = Ground::new();
    assert!(!ground.run(&["ready"]).is(0).out.contains(draft));
    ground.run(&["board", "--output", "../board.html"]).is(0);
    assert!(!fs::read_to_string(ground.folder.path().join("board.html")).unwrap().contains(draft));
    fs::rename(ground.root().join(".git"), ground.folder.path().join("moved")).unwrap();
    ground.run(&["ready"]).is(0).says(draft);
    ground.run(&["ready", "--format", "json"]).is(0).says("\"draft\":true");
    ground.run(&["board", "--output", "../board.html"]).is(0);
    assert!(fs::read_to_string(ground.folder.path().join("board.html")).unwrap().contains(draft));
    // A beginning that has no commit yet is no history either.
    ground.git(&["init", "--quiet"]);
    ground.git(&["add", "people.yaml"]);
    ground.run(&["ready"]).is(0).says(draft);
}

/// Two thousand lines of a log, each with another commit that a stranger made beside the history.
#[test]
fn many_commits_beside_the_history_are_each_looked_at_once() {
    let ground = Ground::new();
    let tree = ground.git(&["rev-parse", "HEAD^{tree}"]);
    let head = ground.git(&["rev-parse", "HEAD"]);
    let commits: Vec<String> =
        (0..40).map(|n| ground.git(&["commit-tree", &tree, "-p", &head, "-m", &n.to_string()])).collect();
    let nothing = "0".repeat(40);
    let lines: String =
        commits.iter().map(|id| format!("{nothing} {id} Test <test@hospital.example> 1764068400 +0100\tx\n")).collect();
    ground.put(".git/logs/HEAD", &lines);
    assert!(!ground.run(&["audit"]).out.contains("record-outside-history"));
    // More than are looked at: told, and soon.
    let id = |n: usize| format!("{n:040x}");
    let many: String = (0..21_000).map(|n| format!("{} {} Test <> 1 +0000\tx\n", id(n), nothing)).collect();
    ground.put(".git/logs/HEAD", many);
    ground.run(&["audit"]).is(1).says("more than 20000 branches, tags and lines of git's logs lead to commits");
}
