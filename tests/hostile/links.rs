//! Links, pipes and devices in the place of files and folders: never followed, never waited at, never written through.

use super::ground::{CHECK, Ground, LOOKED_AT, RECORD};
use std::fs;
use std::os::unix::fs::{FileTypeExt, symlink};
use std::path::Path;
use std::process::Command;

fn pipe(place: &Path) {
    let made = Command::new("mkfifo").arg(place).status().expect("mkfifo must be there");
    assert!(made.success());
}

/// What stands there in words, and how it is put there.
pub type StandIn = (&'static str, fn(&Ground, &Path));

/// Everything that can stand in the place of a file and is none.
pub fn stand_ins() -> [StandIn; 5] {
    [
        ("a link to a file outside", |ground, place| symlink(ground.secret(), place).unwrap()),
        ("a link to an endless device", |_, place| symlink("/dev/zero", place).unwrap()),
        ("a link to itself", |_, place| symlink(place, place).unwrap()),
        ("a link to nowhere", |_, place| symlink("/nonexistent/x", place).unwrap()),
        ("a pipe", |_, place| pipe(place)),
    ]
}

#[test]
fn in_the_place_of_a_file_each_is_told() {
    for (name, put) in stand_ins() {
        let ground = Ground::new();
        for path in [RECORD, "machines/theatre-3.yaml", "procedures/daily/2.yaml", "calendar/2025.yaml", "seals/x.yaml"]
        {
            let place = ground.root().join(path);
            fs::create_dir_all(place.parent().unwrap()).unwrap();
            put(&ground, &place);
        }
        for path in ["people.yaml", "machines/theatre-2.yaml", CHECK] {
            fs::remove_file(ground.root().join(path)).unwrap();
            put(&ground, &ground.root().join(path));
        }
        let done = ground.run(&["validate", "--format", "short"]).is(1);
        for path in [RECORD, CHECK, "machines/theatre-3.yaml", "machines/theatre-2.yaml", "people.yaml", "seals/x.yaml"]
        {
            assert!(done.out.contains(&format!("{path}:1:1: problem[not-a-file]")), "{name}: {path}: {}", done.out);
        }
        // Nothing of it comes into the history, neither by this program nor, where git keeps links, unseen.
        ground.run(&["keep", "--by", "m-okafor"]).is(1).says("not-a-file");
        put(&ground, &ground.inbox().join("x.yaml"));
        ground.run(&["record", "../inbox/x.yaml"]).is(1).says("not-a-file");
        ground.run(&["record", "../inbox"]).is(1).says("not-a-file");
        if name != "a pipe" {
            ground.commit_all();
            ground.run(&["validate", "--format", "short"]).is(1).says(&format!("{RECORD}:1:1: problem[not-a-file]"));
            ground.look_at_all();
        }
    }
}

#[test]
fn in_the_place_of_a_folder_each_is_told() {
    for folder in ["records", "machines", "records/2026/11", "calendar"] {
        let ground = Ground::new();
        let outside = ground.folder.path().join("outside");
        fs::rename(ground.root().join(folder), &outside).unwrap();
        symlink(&outside, ground.root().join(folder)).unwrap();
        ground.run(&["validate", "--format", "short"]).is(1).says(&format!("{folder}:1:1: problem[not-a-file]"));
        let text =
            fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base").join(CHECK)).unwrap();
        let later = text.replace("2026-11-23T06", "2026-11-25T06");
        fs::write(ground.inbox().join("x.yaml"), later.replace("recorded: \"2026-11-23", "recorded: \"2026-11-25"))
            .unwrap();
        let there = walkdir::WalkDir::new(&outside).into_iter().count();
        if folder.starts_with("records") {
            ground.run(&["record", "../inbox/x.yaml"]).is(2).says("writes through no link");
        }
        assert_eq!(walkdir::WalkDir::new(&outside).into_iter().count(), there, "{folder}: written through a link");
        assert!(ground.inbox().join("x.yaml").exists());
        ground.commit_all();
        ground.look_at_all();
    }
}

#[test]
fn a_loop_of_folders_ends() {
    let ground = Ground::new();
    symlink("..", ground.root().join("records/2026/up")).unwrap();
    symlink(".", ground.root().join("machines/here")).unwrap();
    ground.run(&["validate"]).is(1).says("records/2026/up").says("machines/here");
    // A thousand folders within each other, on the disk and in the history.
    let deep = format!("records/{}x.yaml", "d/".repeat(1000));
    ground.put(&deep, "x: 1\n");
    ground.run(&["validate", "--format", "short"]).is(1).says("x.yaml:1:1: problem[");
    ground.commit_all();
    ground.look_at_all();
    ground.run(&["validate", "--commit", "HEAD"]).is(1).says("16 folders within each other");
}

#[test]
fn nothing_is_written_through_a_link_of_the_logbook() {
    for (folder, command) in [
        ("reports", &["report", "2026-11", "--format", "html"][..]),
        ("reports", &["questions", "2026-11", "--format", "html"]),
        ("reports", &["board"]),
        ("reports", &["page", "theatre-1"]),
        ("reports", &["paper", "theatre-1", "--format", "html"]),
        ("drafts", &["check", "theatre-1"]),
    ] {
        let ground = Ground::new();
        let outside = ground.folder.path().join("outside");
        fs::create_dir(&outside).unwrap();
        symlink(&outside, ground.root().join(folder)).unwrap();
        let done = ground.run(command);
        assert!(done.status == 2, "{command:?}: {}{}", done.out, done.err);
        assert_eq!(fs::read_dir(&outside).unwrap().count(), 0, "{command:?} wrote through a link");
        // A board behind a link is not made anew either, and the record comes in all the same.
        fs::write(outside.join("board.html"), "theirs").unwrap();
        ground.put(
            "machines/theatre-2.yaml",
            fs::read_to_string(ground.root().join("machines/theatre-2.yaml")).unwrap() + "\n",
        );
        ground.run(&["keep", "--by", "m-okafor"]).is(0);
        assert_eq!(fs::read_to_string(outside.join("board.html")).unwrap(), "theirs");
    }
}

#[test]
fn a_file_that_was_asked_for_takes_the_place_of_a_link_and_of_nothing_else() {
    let ground = Ground::new();
    let (link, fifo) = (ground.folder.path().join("link.html"), ground.folder.path().join("pipe.html"));
    symlink(ground.secret(), &link).unwrap();
    pipe(&fifo);
    let to_fifo = ground.folder.path().join("to-pipe.html");
    symlink(&fifo, &to_fifo).unwrap();
    for command in [&["board"][..], &["page", "theatre-1"]] {
        let to = |place: &Path| ground.run(&[command, &["--output", place.to_str().unwrap()]].concat());
        to(&link).is(0);
        assert!(fs::symlink_metadata(&link).unwrap().is_file());
        for place in [&fifo, &to_fifo, &ground.root()] {
            to(place).is(2).says("is no plain file");
        }
        assert!(fs::symlink_metadata(&fifo).unwrap().file_type().is_fifo());
        assert!(fs::symlink_metadata(&to_fifo).unwrap().is_symlink());
    }
    ground.run(&["report", "2026-11", "--output", ground.secret().to_str().unwrap()]).is(2);
}

#[test]
fn a_lock_or_a_note_that_is_no_file_keeps_nobody_waiting() {
    for (name, put) in stand_ins() {
        for file in ["pinindex.lock", "pinindex.pending", "pinindex.lives", "pinindex.seen"] {
            let ground = Ground::new();
            put(&ground, &ground.root().join(".git").join(file));
            ground.put(
                "machines/theatre-2.yaml",
                fs::read_to_string(ground.root().join("machines/theatre-2.yaml")).unwrap() + "\n",
            );
            let done = ground.run(&["keep", "--by", "m-okafor"]);
            let expected = if file == "pinindex.lock" { 2 } else { 0 };
            assert_eq!(done.status, expected, "{name} as {file}: {}{}", done.out, done.err);
            for arguments in LOOKED_AT.iter().take(3) {
                ground.run(arguments);
            }
        }
    }
}
