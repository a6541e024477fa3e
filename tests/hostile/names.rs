//! Names that try to lead somewhere else: ids of machines, people and procedures, names of files, paths in records.

use super::ground::{CHECK, Ground, RECORD};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// What a name could do: leave the folder, mean another folder, be an option, a device, another line, or nothing.
const TRICKS: [&str; 16] = [
    "../../etc/passwd",
    "..",
    ".",
    ".git",
    "a/b",
    "/etc/passwd",
    "-rf",
    "--help",
    "CON",
    "nul.txt",
    "a\\b",
    "a b",
    "$(id)",
    "theatre-1\nready",
    "",
    "theatre-1\u{0}",
];

fn quoted(text: &str) -> String {
    serde_json::to_string(text).unwrap()
}

/// Returns every path of a logbook, but for the lock that whoever writes leaves there.
fn everything(root: &Path) -> BTreeSet<PathBuf> {
    let paths = walkdir::WalkDir::new(root).into_iter().map(|entry| entry.unwrap().into_path());
    paths.filter(|path| !path.ends_with(".git/pinindex.lock")).collect()
}

/// A line of the record, and the line that a trick makes of it.
type Placed = (&'static str, fn(String) -> String);

#[test]
fn a_record_that_names_a_trick_is_refused_and_nothing_is_written_elsewhere() {
    let ground = Ground::new();
    let text = fs::read_to_string(ground.root().join(CHECK)).unwrap();
    let before = everything(&ground.root());
    // All tricks in one place of the record are handed in together.
    let places: [Placed; 7] = [
        ("machine: theatre-1", |trick| format!("machine: {trick}")),
        ("procedure: daily", |trick| format!("procedure: {trick}")),
        ("by: [m-okafor]", |trick| format!("by: [{trick}]")),
        ("by: [m-okafor]", |trick| format!("by: [m-okafor]\nrecorded-by: {trick}")),
        ("by: [m-okafor]", |trick| format!("by: [m-okafor]\ncorrects: {{record: {trick}, because: x}}")),
        ("  suction: pass", |trick| format!("  {trick}: pass")),
        ("    isoflurane: pass", |trick| format!("    {trick}: pass")),
    ];
    for (from, to) in places {
        for (n, trick) in TRICKS.iter().enumerate() {
            fs::write(ground.inbox().join(format!("{n}.yaml")), text.replace(from, &to(quoted(trick)))).unwrap();
        }
        let done = ground.run(&["record", "--format", "short", "../inbox"]).is(1);
        for (n, trick) in TRICKS.iter().enumerate() {
            let told = done
                .out
                .lines()
                .any(|line| line.starts_with(&format!("../inbox/{n}.yaml:")) && line.contains(": problem["));
            assert!(told, "{trick:?} as {from} is not told in\n{}", done.out);
        }
    }
    assert_eq!(before, everything(&ground.root()), "a refused record left something behind");
    assert_eq!(ground.git(&["rev-list", "--count", "HEAD"]), "1");
}

/// Paths that a record could name to be shown or corrected.
const PATHS: [&str; 6] = [
    "../secret.yaml",
    "records/../../secret.yaml",
    "records/2026/11/23/../../../../../secret.yaml",
    "/etc/passwd",
    "records/2026/11/23/065200-theatre-1.check.yaml/../../../../../../secret.yaml",
    ".git/config",
];

#[test]
fn a_path_that_leaves_the_logbook_names_no_record() {
    let ground = Ground::new();
    for (n, path) in PATHS.iter().enumerate() {
        let common = "machine: theatre-2\nby: [r-castellanos]\nrecorded: \"2026-11-25T07:00:00+01:00\"\n";
        let fault = "records/2026/11/23/091500-theatre-2.fault.yaml";
        let check = "records/2026/11/24/112000-theatre-2.check.yaml";
        let time = "2026-11-25T06:30:00+01:00";
        for (kind, fields) in [
            ("void", format!("of: {path}\nbecause: x\n")),
            ("release", format!("faults: [{fault}]\nproved-by: {path}\nreleased: \"{time}\"\n")),
            ("release", format!("faults: [{path}]\nproved-by: {check}\nreleased: \"{time}\"\n")),
            (
                "repair",
                format!("fault: {path}\nstarted: \"{time}\"\nfinished: \"{time}\"\ncause: wear-or-age\nwork: x\n"),
            ),
            (
                "fault",
                format!(
                    "found: \"{time}\"\nfound-during: {{check: {path}, items: [suction]}}\nwhat: x\nuse: withheld\n"
                ),
            ),
        ] {
            let file = format!("{kind}-{n}.yaml");
            fs::write(ground.inbox().join(&file), format!("record: {kind}\n{common}{fields}")).unwrap();
            ground.run(&["record", &format!("../inbox/{file}")]).is(1).says("problem[");
        }
        // What a person types instead of the name of a record.
        for arguments in [&["void", path][..], &["validate", path], &["repair", path]] {
            let done = ground.run(arguments);
            assert!(done.status > 0, "{arguments:?}: {}", done.out);
        }
    }
}

#[test]
fn a_name_typed_for_a_machine_leads_nowhere() {
    let ground = Ground::new();
    ground.put("people.yaml", fs::read_to_string(ground.root().join("people.yaml")).unwrap() + "\n");
    for trick in TRICKS.into_iter().filter(|trick| !trick.contains('\0')) {
        for command in ["history", "page", "paper", "check", "fault"] {
            let done = ground.run(&[command, "--", trick]);
            assert!(done.status > 0, "{command} {trick:?}: {}", done.out);
        }
        for arguments in [
            &["page", "theatre-1", "--procedure", trick][..],
            &["paper", "theatre-1", "--procedure", trick],
            &["keep", "--by", trick],
            &["report", "2026-11", "--commit", trick],
        ] {
            let done = ground.run(arguments);
            assert!(done.status > 0, "{arguments:?}: {}", done.out);
        }
    }
    assert!(!ground.root().join("drafts").exists());
}

#[test]
fn a_file_with_a_trick_for_a_name_is_told_and_never_taken_for_a_machine() {
    let ground = Ground::new();
    let machine = fs::read(ground.root().join("machines/theatre-1.yaml")).unwrap();
    let check = fs::read(ground.root().join(CHECK)).unwrap();
    let names =
        ["...yaml", "-rf.yaml", "CON.yaml", "a b.yaml", "a\nb.yaml", "$(id).yaml", "\u{202e}x.yaml", "\u{1b}[2J.yaml"];
    for name in names {
        ground.put(&format!("machines/{name}"), &machine);
        ground.put(&format!("records/2026/11/25/{name}"), &check);
        ground.put(&format!("procedures/{name}/1.yaml"), &machine);
    }
    for step in ["in the folder", "in the history"] {
        let done = ground.run(&["validate", "--format", "short"]).is(1);
        for name in names {
            let shown = pinindex::diagnostic::one_line(name);
            for folder in ["machines", "records/2026/11/25", "procedures"] {
                let told = done.out.lines().any(|line| line.starts_with(&format!("{folder}/{shown}")));
                assert!(told, "{step}: {folder}/{shown} is not told in {}", done.out);
            }
        }
        if step == "in the folder" {
            ground.run(&["keep", "--by", "m-okafor"]).is(1);
            ground.commit_all();
        }
    }
    for done in ground.look_at_all() {
        assert!(!done.out.lines().any(|line| line.starts_with("b.yaml")), "{}", done.out);
    }
}

#[test]
fn a_name_with_a_line_break_forges_no_line_of_a_commit() {
    let ground = Ground::new();
    let forged = "calendar/x\nCo-authored-by: Nobody <nobody@hospital.example>\n.yaml";
    ground.put(forged, "x: 1\n");
    ground.commit_all();
    fs::remove_file(ground.root().join(forged)).unwrap();
    ground.run(&["keep", "--by", "m-okafor"]).is(2).says("cannot be the name of a file in a logbook");
    assert_eq!(ground.git(&["log", "--format=%s%(trailers)"]).lines().count(), 2);
}

#[test]
fn a_record_in_the_history_under_a_wrong_name_is_told() {
    let ground = Ground::new();
    let check = fs::read(ground.root().join(CHECK)).unwrap();
    ground.put(RECORD, check);
    ground.commit_all();
    ground.run(&["validate"]).is(1).says("misfiled-record").says(RECORD);
}
