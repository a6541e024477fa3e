//! What honest people do with git is no fault: fetching before they merge, looking at an old commit, taking only a part.

use super::ground::{CHECK, Ground};
use std::fs;

/// Returns a logbook, and a colleague's in the folder `copy` beside it.
fn with_colleague() -> Ground {
    let ground = Ground::new();
    let copy = ground.folder.path().join("copy");
    ground.git(&["clone", "--quiet", "--no-local", ".", copy.to_str().unwrap()]);
    ground
}

fn record(ground: &Ground) {
    let text = fs::read_to_string(ground.root().join(CHECK)).unwrap().replace("2026-11-23", "2026-11-25");
    ground.put(&CHECK.replace("11/23", "11/25"), text);
    ground.git(&["add", "--all", "records"]);
    ground.git(&["commit", "--quiet", "--author", "Maryam Okafor <m.okafor@hospital.example>", "-m", "Recorded"]);
}

#[test]
fn what_was_fetched_and_is_not_merged_is_only_asked_about() {
    let ground = with_colleague();
    record(&ground);
    let fetch = |arguments: &[&str]| ground.git(&[&["-C", "../copy"], arguments].concat());
    fetch(&["fetch", "--quiet"]);
    let audit =
        ground.run(&["--logbook", "../copy", "audit"]).says("finding[record-not-merged]").says("was fetched in commit");
    assert!(!audit.out.contains("problem[record-outside-history]"), "{}", audit.out);
    // Looked at, and left again.
    fetch(&["checkout", "--quiet", "origin/main"]);
    fetch(&["checkout", "--quiet", "main"]);
    let audit = ground.run(&["--logbook", "../copy", "audit"]);
    assert!(!audit.out.contains("problem[record-outside-history]"), "{}", audit.out);
    fetch(&["merge", "--quiet", "origin/main"]);
    assert!(!ground.run(&["--logbook", "../copy", "audit"]).out.contains("[record-not-merged]"));
}

#[test]
fn what_was_on_a_branch_here_is_a_fault_though_it_was_fetched_too() {
    let ground = with_colleague();
    record(&ground);
    ground.git(&["-C", "../copy", "pull", "--quiet"]);
    ground.git(&["-C", "../copy", "reset", "--quiet", "--hard", "HEAD~1"]);
    ground.run(&["--logbook", "../copy", "audit"]).is(1).says("problem[record-outside-history]");
}

#[test]
fn looking_at_an_old_commit_is_told_once_and_is_no_fault() {
    let ground = Ground::new();
    record(&ground);
    ground.put("README.md", "Kept.\n");
    ground.run(&["keep", "--by", "m-okafor"]).is(0);
    ground.git(&["checkout", "--quiet", "HEAD~2"]);
    let audit = ground.run(&["audit"]).says("finding[folder-at-old-commit]").says("and 2 commits came after it");
    for rule in ["record-outside-history", "history-rewritten"] {
        assert!(!audit.out.contains(rule), "{}", audit.out);
    }
    // A branch that was left there is another matter.
    ground.git(&["checkout", "--quiet", "-b", "old"]);
    ground.run(&["audit"]).is(1).says("problem[record-outside-history]").says("problem[history-rewritten]");
}

#[test]
fn a_sparse_checkout_is_said_in_words() {
    let ground = Ground::new();
    ground.git(&["sparse-checkout", "set", "--no-cone", "/*", "!records/2026/11/23"]);
    assert!(!ground.root().join(CHECK).exists());
    for command in ["validate", "audit"] {
        let done = ground
            .run(&[command])
            .says("finding[files-left-out]")
            .says("left out of the folder, as git was told to do");
        assert!(!done.out.contains("record-altered"), "{}", done.out);
    }
    ground.run(&["keep", "--by", "m-okafor"]).is(0).says("Nothing to keep");
    // Told to look away without it, somebody hides something.
    let ground = Ground::new();
    ground.git(&["update-index", "--skip-worktree", CHECK]);
    fs::remove_file(ground.root().join(CHECK)).unwrap();
    ground.run(&["validate"]).is(1).says("problem[record-altered]");
}

#[test]
fn a_copy_without_its_folders_says_how_to_get_them() {
    let ground = Ground::new();
    record(&ground);
    ground.git(&["config", "uploadpack.allowFilter", "true"]);
    let copy = ground.folder.path().join("part");
    let from = format!("file://{}", ground.root().display());
    ground.git(&["clone", "--quiet", "--filter=tree:0", &from, copy.to_str().unwrap()]);
    let part = |arguments: &[&str]| ground.run(&[&["--logbook", "../part"], arguments].concat());
    part(&["audit"]).is(2).says("a partial clone").says("`git fetch --refetch --no-filter`");
    ground.git(&["-C", "../part", "fetch", "--quiet", "--refetch", "--no-filter"]);
    assert!(part(&["audit"]).status < 2);
    part(&["ready"]).is(0);
}

#[test]
fn who_made_a_commit_is_named_and_not_who_it_says_wrote_it() {
    let ground = Ground::new();
    ground.put(CHECK, fs::read_to_string(ground.root().join(CHECK)).unwrap().replace("1450 psi", "1850 psi"));
    ground.git(&[
        "commit",
        "--quiet",
        "--all",
        "--author",
        "Rosa Castellanos <r.castellanos@hospital.example>",
        "--date",
        "2026-11-18T06:50:00+01:00",
        "-m",
        "x",
    ]);
    let made = "changed 2026-11-25 12:00 by Test in the name of Rosa Castellanos";
    ground.run(&["validate"]).is(1).says(made);
}
