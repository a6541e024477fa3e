//! The logbook against the real git program: what we write, git must find in order; what git writes,
//! we must read. A machine without git cannot pass these tests.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test starts programs, reads files, and stops at what it did not expect"
)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use chrono::{DateTime, FixedOffset};
use pinindex::logbook::{
    self, Addition, AlteredHow, Author, Changed, ChangedHow, Durability, FileContent, Source, Trouble, Turn, belongs,
};
use tempfile::TempDir;

const SITE: &str = "name: Hill Hospital\n";

fn git_command(root: &Path) -> Command {
    let mut command = Command::new("git");
    command.arg("-C").arg(root);
    for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("GIT_")) {
        command.env_remove(name);
    }
    let person = [
        ("GIT_AUTHOR_NAME", "Git Person"),
        ("GIT_AUTHOR_EMAIL", "git@hill.example"),
        ("GIT_COMMITTER_NAME", "Git Person"),
        ("GIT_COMMITTER_EMAIL", "git@hill.example"),
        ("GIT_CONFIG_GLOBAL", "/dev/null"),
        ("GIT_CONFIG_NOSYSTEM", "1"),
        ("LC_ALL", "C"),
    ];
    command.envs(person);
    command
}

fn git(root: &Path, arguments: &[&str]) -> String {
    let output = git_command(root).args(arguments).output().expect("the git program must be installed");
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "git {arguments:?}: {stderr}");
    String::from_utf8(output.stdout).unwrap()
}

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn person(name: &str, time: &str) -> Author {
    Author { name: name.to_owned(), email: format!("{}@hill.example", name.to_lowercase()), time: at(time) }
}

fn record(path: &str, text: &str) -> Addition {
    Addition {
        path: path.to_owned(),
        text: text.to_owned(),
        author: person("Okafor", "2026-11-25T06:52:41+01:00"),
        committer: person("Silva", "2026-11-25T07:00:00-03:30"),
        message: format!("record {path}\n\nMore words."),
    }
}

fn records(day: &str, machine: &str, count: usize) -> Vec<Addition> {
    (0..count)
        .map(|n| {
            let path = format!("records/{day}/{:02}{:02}00-{machine}.check.yaml", n / 60, n % 60);
            record(&path, &format!("record: check\nmachine: {machine}\nnumber: {n}\n"))
        })
        .collect()
}

fn turn(root: &Path) -> anyhow::Result<Turn> {
    Turn::take(root, &mut || {})
}

fn add(root: &Path, additions: &[Addition]) -> anyhow::Result<Vec<String>> {
    turn(root)?.commit_each(additions, Durability::Synced, &mut |_| {})
}

/// A logbook with one commit of its first files.
fn new_logbook() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    logbook::create(folder.path()).unwrap();
    let files = [
        ("site.yaml".to_owned(), SITE.to_owned()),
        ("machines/theatre-1.yaml".to_owned(), "machine: theatre-1\n".to_owned()),
    ];
    let by = person("Okafor", "2026-11-24T08:00:00+01:00");
    turn(folder.path()).unwrap().commit_all(&files, &by, &by, "start the logbook").unwrap();
    folder
}

/// Everything that git could find wrong, and everything that could have been left lying about.
fn assert_in_order(root: &Path) {
    assert_eq!(git(root, &["status", "--porcelain"]), "");
    assert_eq!(git(root, &["fsck", "--full", "--strict", "--no-dangling"]), "");
    assert_eq!(git(root, &["write-tree"]), git(root, &["rev-parse", "HEAD^{tree}"]));
    for leftover in [".git/index.lock", ".git/pinindex.pending", ".git/HEAD.lock", ".git/refs/heads/main.lock"] {
        assert!(!root.join(leftover).exists(), "{leftover} was left behind");
    }
}

/// What must not change when something is refused.
fn state(root: &Path) -> (String, String, BTreeMap<String, FileContent>) {
    let head = git(root, &["for-each-ref"]);
    let staged = git(root, &["ls-files", "--stage"]);
    (head, staged, logbook::read_working_files(root).unwrap().files)
}

fn refused(root: &Path, additions: &[Addition], words: &str) {
    let before = state(root);
    let error = add(root, additions).unwrap_err();
    let trouble = error.downcast_ref::<Trouble>().unwrap_or_else(|| panic!("no next step: {error:#}"));
    assert!(error.to_string().contains(words), "{error}");
    assert!(!trouble.help().is_empty());
    assert_eq!(state(root), before);
}

#[test]
fn every_record_is_one_commit_that_git_finds_in_order() {
    let folder = new_logbook();
    let root = folder.path();
    let additions = records("2026/11/25", "theatre-1", 50);
    let mut told = Vec::new();
    let ids = turn(root).unwrap().commit_each(&additions, Durability::Synced, &mut |n| told.push(n)).unwrap();
    assert_eq!(told, (1..=50).collect::<Vec<_>>());
    assert_in_order(root);
    assert_eq!(git(root, &["symbolic-ref", "HEAD"]), "refs/heads/main\n");
    assert_eq!(git(root, &["rev-list", "--count", "HEAD"]), "51\n");
    let log = git(root, &["log", "--reverse", "--format=%H|%an|%ae|%aI|%cn|%ce|%cI|%s|%b", "-z", "HEAD~50..HEAD"]);
    let lines: Vec<_> = log.split('\0').filter(|line| !line.is_empty()).collect();
    assert_eq!(lines.len(), 50);
    for ((line, id), addition) in lines.iter().zip(&ids).zip(&additions) {
        let path = &addition.path;
        let expected = format!(
            "{id}|Okafor|okafor@hill.example|2026-11-25T06:52:41+01:00|Silva|silva@hill.example|2026-11-25T07:00:00-03:30|record {path}|More words.\n"
        );
        assert_eq!(*line, expected);
    }
    let shown = git(root, &["show", "--stat=200", "--format=", &ids[7]]);
    assert!(shown.contains(&additions[7].path) && shown.contains("1 file changed, 3 insertions(+)"), "{shown}");
    let blame = git(root, &["blame", "--line-porcelain", &additions[7].path]);
    assert_eq!(blame.matches(&format!("{} ", ids[7])).count(), 3);
    assert_eq!(blame.matches("author Okafor\n").count(), 3);
    let reflog = git(root, &["reflog", "--format=%gs"]);
    assert_eq!(reflog.lines().count(), 2, "{reflog}");
}

#[test]
fn a_new_repository_has_no_programs_and_no_identity_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().join("new");
    logbook::create(&root).unwrap();
    assert!(!root.join(".git/hooks").exists());
    assert_eq!(git(&root, &["symbolic-ref", "HEAD"]), "refs/heads/main\n");
    let keys = git(&root, &["config", "--local", "--name-only", "--list"]);
    assert!(keys.lines().count() > 0 && keys.lines().all(|key| key.starts_with("core.")), "{keys}");
    assert!(!logbook::has_history(&root).unwrap());
    let error = logbook::create(&root).unwrap_err();
    assert!(error.to_string().contains("already"), "{error}");
}

#[test]
fn a_plain_git_commit_keeps_our_records_and_we_keep_its_files() {
    let folder = new_logbook();
    let root = folder.path();
    // Git leaves its own memory of trees in the index here, which must not survive our writing.
    git(root, &["commit", "--quiet", "--allow-empty", "-m", "by git"]);
    add(root, &records("2026/11/25", "theatre-1", 3)).unwrap();
    fs::write(root.join("machines/theatre-2.yaml"), "machine: theatre-2\n").unwrap();
    git(root, &["add", "machines"]);
    git(root, &["commit", "--quiet", "-m", "second machine"]);
    assert_in_order(root);
    add(root, &records("2026/11/25", "theatre-2", 3)).unwrap();
    assert_in_order(root);
    let listed = git(root, &["ls-tree", "-r", "--name-only", "HEAD"]);
    assert_eq!(listed.lines().count(), 9, "{listed}");
}

#[test]
fn two_writers_at_once_lose_nothing() {
    let folder = new_logbook();
    let root = folder.path();
    std::thread::scope(|scope| {
        for machine in ["theatre-1", "theatre-2"] {
            scope.spawn(move || {
                for addition in records("2026/11/25", machine, 20) {
                    add(root, &[addition]).unwrap();
                }
            });
        }
    });
    assert_in_order(root);
    assert_eq!(git(root, &["rev-list", "--count", "HEAD"]), "41\n");
    assert_eq!(git(root, &["rev-list", "--count", "--first-parent", "HEAD"]), "41\n");
    let listed = git(root, &["ls-tree", "-r", "--name-only", "HEAD", "records"]);
    assert_eq!(listed.lines().count(), 40);
}

#[test]
fn a_commit_by_git_at_the_same_time_is_never_lost() {
    let folder = new_logbook();
    let root = folder.path();
    // Git moves the branch without our lock and without the index, as a fetch or a script would.
    let tree = git(root, &["rev-parse", "HEAD^{tree}"]);
    let (ours, theirs) = std::thread::scope(|scope| {
        let ours = scope.spawn(|| {
            records("2026/11/25", "theatre-1", 30).iter().filter(|one| add(root, &[(*one).clone()]).is_ok()).count()
        });
        let theirs = scope.spawn(|| {
            let mut moved = 0;
            for _ in 0..15 {
                let head = git(root, &["rev-parse", "HEAD"]);
                let tree_now = git(root, &["rev-parse", &format!("{}^{{tree}}", head.trim())]);
                let new = git(root, &["commit-tree", tree_now.trim(), "-p", head.trim(), "-m", "theirs"]);
                let update = git_command(root)
                    .args(["update-ref", "refs/heads/main", new.trim(), head.trim()])
                    .output()
                    .expect("the git program must be installed");
                moved += usize::from(update.status.success());
            }
            moved
        });
        (ours.join().unwrap(), theirs.join().unwrap())
    });
    assert_ne!(git(root, &["rev-parse", "HEAD^{tree}"]), tree);
    assert!(ours > 0 && theirs > 0);
    let count: usize = git(root, &["rev-list", "--count", "HEAD"]).trim().parse().unwrap();
    assert_eq!(count, 1 + ours + theirs);
    let listed = git(root, &["ls-tree", "-r", "--name-only", "HEAD", "records"]);
    assert_eq!(listed.lines().count(), ours);
    assert_eq!(git(root, &["fsck", "--full", "--strict", "--no-dangling"]), "");
    assert_eq!(git(root, &["write-tree"]), git(root, &["rev-parse", "HEAD^{tree}"]));
}

#[test]
fn a_record_is_never_written_over() {
    let folder = new_logbook();
    let root = folder.path();
    let first = records("2026/11/25", "theatre-1", 1);
    add(root, &first).unwrap();
    let fresh = record("records/2026/11/26/060000-theatre-1.check.yaml", "new\n");
    refused(root, &[fresh.clone(), first[0].clone()], "already exists");
    let changed = record(&first[0].path, "changed\n");
    refused(root, &[fresh.clone(), changed], "already exists");
    refused(root, &[fresh.clone(), fresh.clone()], "already exists");
    refused(root, &[record(&format!("{}/below", first[0].path), "x")], "already exists");
    refused(root, &[record("records/2026/11", "x")], "already exists");
    // Removed from disk by hand, but still in the history.
    fs::remove_file(root.join(&first[0].path)).unwrap();
    refused(root, &[first[0].clone()], "already exists");
    git(root, &["checkout", "--", "."]);
    // On disk only: other bytes are refused, the same bytes are what a crash leaves behind.
    fs::create_dir_all(root.join("records/2026/11/26")).unwrap();
    fs::write(root.join(&fresh.path), "other\n").unwrap();
    refused(root, std::slice::from_ref(&fresh), "already exists");
    fs::write(root.join(&fresh.path), "new\n").unwrap();
    add(root, &[fresh]).unwrap();
    assert_in_order(root);
}

#[test]
fn a_path_that_leads_out_of_the_logbook_is_refused() {
    let folder = new_logbook();
    let root = folder.path();
    for path in [
        "../x",
        "/x",
        "records/../x",
        ".git/hooks/x",
        "records/.GIT/x",
        "",
        "records//x",
        "a\\b",
        "records/a\nb",
        "con",
    ] {
        refused(root, &[record(path, "x")], "cannot be the name");
    }
    refused(root, &[record("records/large.yaml", &"x".repeat(64 * 1024 + 1))], "bytes long");
}

#[cfg(unix)]
#[test]
fn nothing_is_written_through_a_link() {
    let folder = new_logbook();
    let root = folder.path();
    let outside = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(outside.path(), root.join("records")).unwrap();
    refused(root, &records("2026/11/25", "theatre-1", 1), "in the way");
    assert_eq!(fs::read_dir(outside.path()).unwrap().count(), 0);
    let files = logbook::read_working_files(root).unwrap().files;
    assert_eq!(files["records"], FileContent::Link);
}

#[test]
fn a_stale_lock_is_named() {
    let folder = new_logbook();
    let root = folder.path();
    for name in ["index.lock", "refs/heads/main.lock"] {
        let lock = root.join(".git").join(name);
        fs::write(&lock, "").unwrap();
        let error = add(root, &records("2026/11/25", "theatre-1", 1)).unwrap_err();
        let help = error.downcast_ref::<Trouble>().expect("a next step").help();
        assert!(error.to_string().contains(name.rsplit('/').next().unwrap()), "{error}");
        assert!(help.contains("delete it"), "{help}");
        assert!(!root.join("records").exists());
        fs::remove_file(&lock).unwrap();
    }
    // A lock of our own that a crash left is known by its mark and taken over.
    fs::write(root.join(".git/index.lock"), "held by pinindex\n").unwrap();
    add(root, &records("2026/11/25", "theatre-1", 1)).unwrap();
    assert_in_order(root);
}

#[test]
fn a_repository_in_the_middle_of_something_is_left_alone() {
    let folder = new_logbook();
    let root = folder.path();
    let additions = records("2026/11/25", "theatre-1", 1);

    fs::write(root.join("machines/theatre-9.yaml"), "x\n").unwrap();
    git(root, &["add", "."]);
    refused(root, &additions, "staged");
    git(root, &["rm", "--quiet", "--cached", "machines/theatre-9.yaml"]);
    fs::remove_file(root.join("machines/theatre-9.yaml")).unwrap();

    git(root, &["rm", "--quiet", "--cached", "site.yaml"]);
    refused(root, &additions, "staged");
    git(root, &["reset", "--quiet"]);

    fs::write(root.join(".git/MERGE_HEAD"), git(root, &["rev-parse", "HEAD"])).unwrap();
    refused(root, &additions, "a merge");
    fs::remove_file(root.join(".git/MERGE_HEAD")).unwrap();

    git(root, &["checkout", "--quiet", "--detach"]);
    refused(root, &additions, "no branch");
    git(root, &["checkout", "--quiet", "main"]);
    add(root, &additions).unwrap();
    assert_in_order(root);
}

#[test]
fn folders_that_are_no_logbook_of_their_own_are_named() {
    let folder = new_logbook();
    let inside = folder.path().join("sub");
    fs::create_dir(&inside).unwrap();
    fs::write(inside.join("site.yaml"), SITE).unwrap();
    assert!(!logbook::has_history(&inside).unwrap());
    let error = logbook::read_commit(&inside, "HEAD").unwrap_err();
    assert!(error.to_string().contains("inside another git repository"), "{error}");
    assert!(logbook::read_working_files(&inside).unwrap().commit().is_none());

    let bare = tempfile::tempdir().unwrap();
    git(bare.path(), &["init", "--quiet", "--bare"]);
    let error = logbook::read_commit(bare.path(), "HEAD").unwrap_err();
    assert!(error.to_string().contains("bare"), "{error}");

    let plain = tempfile::tempdir().unwrap();
    let error = add(plain.path(), &records("2026/11/25", "theatre-1", 1)).unwrap_err();
    assert!(error.to_string().contains("no git history"), "{error}");
    assert_eq!(fs::read_dir(plain.path()).unwrap().count(), 0);

    let error = logbook::find(plain.path(), Some(plain.path())).unwrap_err();
    assert!(error.downcast_ref::<Trouble>().unwrap().help().contains("pinindex init"));
    let below = folder.path().join("machines");
    let found = logbook::find(&below, None).unwrap();
    assert_eq!(found.canonicalize().unwrap(), folder.path().canonicalize().unwrap());
}

#[test]
fn the_working_files_and_the_commit_are_the_same_bytes() {
    let folder = new_logbook();
    let root = folder.path();
    add(root, &records("2026/11/25", "theatre-1", 5)).unwrap();
    fs::write(root.join("README.md"), "not ours\n").unwrap();
    fs::write(root.join("machines/.gitkeep"), "").unwrap();
    fs::write(root.join("records/a note.txt"), [0xff, 0xfe, 0]).unwrap();
    fs::write(root.join("records/limit"), vec![b'x'; 64 * 1024]).unwrap();
    fs::write(root.join("records/large"), vec![b'x'; 64 * 1024 + 1]).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink("large", root.join("records/link")).unwrap();
    git(root, &["add", "."]);
    git(root, &["commit", "--quiet", "-m", "odd files"]);
    git(root, &["tag", "-a", "-m", "x", "odd"]);

    let working = logbook::read_working_files(root).unwrap();
    let committed = logbook::read_commit(root, "HEAD").unwrap();
    assert_eq!(working.files, committed.files);
    assert_eq!(committed.files["records/large"], FileContent::TooLarge(64 * 1024 + 1));
    assert_eq!(committed.bytes("records/limit").map(<[u8]>::len), Some(64 * 1024));
    assert_eq!(committed.bytes("site.yaml"), Some(SITE.as_bytes()));
    #[cfg(unix)]
    assert_eq!(committed.files["records/link"], FileContent::Link);
    assert!(committed.files.keys().all(|path| belongs(path)));

    let id = git(root, &["rev-parse", "HEAD"]).trim().to_owned();
    for rev in ["main", "odd", &id, &id[..10]] {
        assert_eq!(logbook::read_commit(root, rev).unwrap().files, committed.files, "{rev}");
    }
    assert_eq!(logbook::read_commit(root, "HEAD~1").unwrap().files.len(), 7);
    for rev in ["no-such-branch", "HEAD:site.yaml", "0000000", ""] {
        let error = logbook::read_commit(root, rev).unwrap_err();
        assert!(error.to_string().contains("has no commit"), "{rev}: {error:#}");
    }
    let Source::Commit(info) = &committed.source else { panic!("a commit was read") };
    assert_eq!((info.id.as_str(), info.subject.as_str()), (id.as_str(), "odd files"));
    assert_eq!(info.author_email, "git@hill.example");
    assert_eq!(info.time.to_rfc3339(), git(root, &["log", "-1", "--format=%cI"]).trim().replace('Z', "+00:00"));
}

#[test]
fn uncommitted_work_is_noticed() {
    let folder = new_logbook();
    let root = folder.path();
    let uncommitted = || match logbook::read_working_files(root).unwrap().source {
        Source::WorkingFiles { head, uncommitted } => (head.is_some(), uncommitted),
        Source::Commit(_) => panic!("the working files were read"),
    };
    assert_eq!(uncommitted(), (true, false));
    fs::write(root.join("notes.txt"), "beside the logbook").unwrap();
    fs::write(root.join("site.yaml"), SITE.replace('\n', "\r\n")).unwrap();
    assert_eq!(uncommitted(), (true, false));
    fs::write(root.join("site.yaml"), "name: Other\n").unwrap();
    assert_eq!(uncommitted(), (true, true));
    fs::write(root.join("site.yaml"), SITE).unwrap();
    fs::write(root.join("machines/theatre-3.yaml"), "x").unwrap();
    assert_eq!(uncommitted(), (true, true));
    fs::remove_file(root.join("machines/theatre-3.yaml")).unwrap();
    fs::remove_file(root.join("machines/theatre-1.yaml")).unwrap();
    assert_eq!(uncommitted(), (true, true));
    fs::remove_dir_all(root.join(".git")).unwrap();
    assert_eq!(uncommitted(), (false, false));
}

#[test]
fn the_first_commit_of_every_record_is_found() {
    let folder = new_logbook();
    let root = folder.path();
    let ours = records("2026/11/25", "theatre-1", 10);
    let ids = add(root, &ours).unwrap();
    let expected: BTreeMap<String, String> =
        ours.iter().map(|addition| addition.path.clone()).zip(ids.iter().cloned()).collect();
    let found = || -> BTreeMap<String, String> {
        logbook::first_commits(root).unwrap().into_iter().map(|(path, info)| (path, info.id)).collect()
    };
    assert_eq!(found(), expected);
    let info = &logbook::first_commits(root).unwrap()[&ours[3].path];
    assert_eq!(info.author_time.to_rfc3339(), "2026-11-25T06:52:41+01:00");
    assert_eq!(info.time.to_rfc3339(), "2026-11-25T07:00:00-03:30");
    git(root, &["gc", "--quiet"]);
    assert_eq!(found(), expected);
    assert_eq!(logbook::altered_records(root).unwrap(), []);

    // Two sites record apart and are merged by git; each record keeps the commit that brought it.
    git(root, &["checkout", "--quiet", "-b", "other"]);
    let other = records("2026/11/26", "theatre-2", 3);
    let other_ids = add(root, &other).unwrap();
    git(root, &["checkout", "--quiet", "main"]);
    let more = records("2026/11/26", "theatre-1", 3);
    let more_ids = add(root, &more).unwrap();
    git(root, &["merge", "--quiet", "-m", "merge", "other"]);
    let after = add(root, &records("2026/11/27", "theatre-1", 1)).unwrap();
    assert_in_order(root);
    let mut expected = expected;
    expected.extend(other.iter().map(|addition| addition.path.clone()).zip(other_ids));
    expected.extend(more.iter().map(|addition| addition.path.clone()).zip(more_ids));
    expected.insert("records/2026/11/27/000000-theatre-1.check.yaml".to_owned(), after[0].clone());
    assert_eq!(found(), expected);
    assert_eq!(logbook::altered_records(root).unwrap(), []);
}

#[test]
fn of_two_records_of_one_name_both_must_be_kept_one_of_them_with_a_number() {
    let path = "records/2026/11/25/000000-theatre-1.check.yaml";
    let numbered = path.replace(".check", ".2.check");
    for (here, there, is_kept) in [
        ("ours\n", Some((numbered.as_str(), "theirs\n")), true),
        ("theirs\n", Some((numbered.as_str(), "ours\n")), true),
        ("ours\n", None, false),
        ("theirs\n", None, false),
        ("ours\n", Some(("records/.gitkeep", "theirs\n")), false),
        ("ours\n", Some(("records/2026/11/25/000000-theatre-1.2.fault.yaml", "theirs\n")), false),
        ("neither\n", Some((numbered.as_str(), "theirs\n")), false),
    ] {
        let folder = new_logbook();
        let root = folder.path();
        add(root, &records("2026/11/24", "theatre-1", 1)).unwrap();
        let commit = |text: &str| {
            put(root, path, text);
            git(root, &["add", "."]);
            git(root, &["commit", "--quiet", "-m", text]);
        };
        git(root, &["checkout", "--quiet", "-b", "other"]);
        commit("theirs\n");
        git(root, &["checkout", "--quiet", "main"]);
        commit("ours\n");
        git(root, &["merge", "--quiet", "--no-commit", "--strategy", "ours", "other"]);
        if let Some((other, text)) = there {
            put(root, other, text);
        }
        commit(here);
        let altered = logbook::altered_records(root).unwrap();
        let paths: Vec<&str> = altered.iter().map(|one| one.path.as_str()).collect();
        assert_eq!(paths, if is_kept { vec![] } else { vec![path] }, "{here:?} {there:?}");
    }
}

#[test]
fn a_file_that_keeps_a_folder_and_has_something_in_it_is_no_such_file() {
    let folder = new_logbook();
    let root = folder.path();
    put(root, "machines/.gitkeep", "");
    put(root, "records/.gitkeep", "a text that nobody reads\n");
    assert_eq!(changed(root), [("records/.gitkeep".to_owned(), ChangedHow::New)]);
    git(root, &["add", "."]);
    git(root, &["commit", "--quiet", "-m", "helpers"]);
    assert_eq!(changed(root), []);
    let committed = logbook::read_commit(root, "HEAD").unwrap();
    assert_eq!(committed.files, logbook::read_working_files(root).unwrap().files);
    let helpers: Vec<&String> = committed.files.keys().filter(|path| path.ends_with(".gitkeep")).collect();
    assert_eq!(helpers, ["records/.gitkeep"]);
}

#[test]
fn a_record_that_was_edited_or_removed_is_found() {
    let folder = new_logbook();
    let root = folder.path();
    let ours = records("2026/11/25", "theatre-1", 4);
    let ids = add(root, &ours).unwrap();
    fs::write(root.join(&ours[1].path), "changed\n").unwrap();
    git(root, &["commit", "--quiet", "-am", "edit"]);
    git(root, &["rm", "--quiet", &ours[2].path]);
    git(root, &["commit", "--quiet", "-m", "remove"]);
    let altered = logbook::altered_records(root).unwrap();
    let short: Vec<_> = altered
        .iter()
        .map(|one| (one.path.as_str(), one.how, one.added.id.as_str(), one.by.as_ref().unwrap().subject.as_str()))
        .collect();
    let expected = [
        (ours[1].path.as_str(), AlteredHow::Edited, ids[1].as_str(), "edit"),
        (ours[2].path.as_str(), AlteredHow::Removed, ids[2].as_str(), "remove"),
    ];
    assert_eq!(short, expected);
    assert_eq!(logbook::first_commits(root).unwrap().len(), 4);
}

#[test]
fn a_copy_with_half_a_history_says_so() {
    let folder = new_logbook();
    add(folder.path(), &records("2026/11/25", "theatre-1", 2)).unwrap();
    let copy = tempfile::tempdir().unwrap();
    let from = format!("file://{}", folder.path().display());
    git(copy.path(), &["clone", "--quiet", "--depth", "1", &from, "copy"]);
    let error = logbook::first_commits(&copy.path().join("copy")).unwrap_err();
    assert!(error.downcast_ref::<Trouble>().unwrap().help().contains("--unshallow"), "{error:#}");
}

#[test]
fn what_a_crash_interrupted_is_finished_by_the_next_command() {
    let folder = new_logbook();
    let root = folder.path();
    let first = records("2026/11/25", "theatre-1", 2);
    let before = git(root, &["rev-parse", "HEAD"]);
    let ids = add(root, &first).unwrap();
    let crash = |index_too: bool| {
        let now = git(root, &["rev-parse", "HEAD"]);
        git(root, &["update-ref", "refs/heads/main", before.trim()]);
        if index_too {
            git(root, &["reset", "--quiet"]);
        }
        fs::write(root.join(".git/pinindex.pending"), format!("{} {}\n", before.trim(), now.trim())).unwrap();
        fs::write(root.join(".git/index.lock"), "held by pinindex\n").unwrap();
    };
    // The power went after the index was written: the records are staged, the branch has not moved.
    crash(false);
    let next = add(root, &records("2026/11/26", "theatre-1", 1)).unwrap();
    assert_in_order(root);
    let log = git(root, &["log", "--format=%H", "-3"]);
    assert_eq!(log.lines().collect::<Vec<_>>(), [&next[0], &ids[1], &ids[0]]);
    // The power went before that: the records are only files on disk.
    crash(true);
    let last = add(root, &records("2026/11/27", "theatre-1", 1)).unwrap();
    assert_in_order(root);
    let log = git(root, &["log", "--format=%H", "-4"]);
    assert_eq!(log.lines().collect::<Vec<_>>(), [&last[0], &next[0], &ids[1], &ids[0]]);
    // A note that fits nothing any more is dropped without a word.
    fs::write(root.join(".git/pinindex.pending"), format!("{} {}\n", before.trim(), ids[0])).unwrap();
    add(root, &records("2026/11/28", "theatre-1", 1)).unwrap();
    assert_in_order(root);
}

#[test]
fn the_first_commit_of_all_may_be_a_record() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    git(root, &["init", "--quiet", "--initial-branch=records"]);
    let ids = add(root, &records("2026/11/25", "theatre-1", 2)).unwrap();
    assert_eq!(git(root, &["rev-parse", "refs/heads/records"]).trim(), ids[1]);
    assert_in_order(root);
    assert!(logbook::has_history(root).unwrap());
    assert_eq!(add(root, &[]).unwrap(), Vec::<String>::new());
}

#[test]
fn names_that_git_cannot_hold_are_mended() {
    let folder = new_logbook();
    let root = folder.path();
    let mut addition = record("records/x.yaml", "x\n");
    addition.author.name = "Ana <Maria>\nX".to_owned();
    addition.author.email = "<ana@hill.example>".to_owned();
    addition.committer.name = String::new();
    addition.message = "one\0two".to_owned();
    add(root, &[addition]).unwrap();
    assert_in_order(root);
    let log = git(root, &["log", "-1", "--format=%an|%ae|%cn|%s"]);
    assert_eq!(log, "Ana Maria X|ana@hill.example|unknown|one two\n");
}

#[test]
fn a_large_batch_is_as_orderly_as_a_small_one() {
    let folder = new_logbook();
    let root = folder.path();
    let additions = records("2026/11/25", "theatre-1", 250);
    let ids = add(root, &additions).unwrap();
    assert_in_order(root);
    assert_eq!(git(root, &["rev-list", "--reverse", "HEAD~250..HEAD"]).lines().collect::<Vec<_>>(), ids);
    let committed = logbook::read_commit(root, "HEAD").unwrap();
    for addition in &additions {
        assert_eq!(committed.bytes(&addition.path), Some(addition.text.as_bytes()));
    }
    assert_eq!(logbook::read_working_files(root).unwrap().files, committed.files);
}

fn keep(root: &Path, files: &[(&str, Option<&str>)]) -> anyhow::Result<String> {
    let files: Vec<_> = files.iter().map(|(path, text)| ((*path).to_owned(), text.map(str::to_owned))).collect();
    let by = person("Okafor", "2026-11-25T08:00:00+01:00");
    turn(root)?.commit_changed(&files, &by, &by, "keep what was changed")
}

fn changed(root: &Path) -> Vec<(String, ChangedHow)> {
    logbook::changed_files(root).unwrap().into_iter().map(|Changed { path, how }| (path, how)).collect()
}

fn put(root: &Path, path: &str, text: &str) {
    let place = root.join(path);
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, text).unwrap();
}

#[test]
fn changed_files_are_named_and_kept() {
    let folder = new_logbook();
    let root = folder.path();
    add(root, &records("2026/11/25", "theatre-1", 3)).unwrap();
    assert_eq!(changed(root), []);
    // The same length in the same second: only the bytes tell.
    let other = "machine: theatre-9\n";
    put(root, "machines/theatre-1.yaml", other);
    put(root, "people.yaml", "a: b\n");
    put(root, "README.md", "Read me.\n");
    put(root, "notes.txt", "not ours\n");
    fs::remove_file(root.join("site.yaml")).unwrap();
    let expected = [
        ("README.md".to_owned(), ChangedHow::New),
        ("machines/theatre-1.yaml".to_owned(), ChangedHow::Edited),
        ("people.yaml".to_owned(), ChangedHow::New),
        ("site.yaml".to_owned(), ChangedHow::Gone),
    ];
    assert_eq!(changed(root), expected);
    fs::remove_file(root.join("notes.txt")).unwrap();
    let files = [
        ("README.md", Some("Read me.\n")),
        ("machines/theatre-1.yaml", Some(other)),
        ("people.yaml", Some("a: b\n")),
        ("site.yaml", None),
    ];
    let id = keep(root, &files).unwrap();
    assert_in_order(root);
    assert_eq!(changed(root), []);
    assert_eq!(git(root, &["rev-parse", "HEAD"]).trim(), id);
    let shown = git(root, &["show", "--no-renames", "--name-status", "--format=%an %aI", "HEAD"]);
    let expected =
        "Okafor 2026-11-25T08:00:00+01:00\n\nA\tREADME.md\nM\tmachines/theatre-1.yaml\nA\tpeople.yaml\nD\tsite.yaml\n";
    assert_eq!(shown, expected);
    let blame = git(root, &["blame", "--line-porcelain", "machines/theatre-1.yaml"]);
    assert!(blame.starts_with(&id), "{blame}");
}

#[test]
fn the_last_file_of_a_folder_can_go() {
    let folder = new_logbook();
    let root = folder.path();
    fs::remove_dir_all(root.join("machines")).unwrap();
    assert_eq!(changed(root), [("machines/theatre-1.yaml".to_owned(), ChangedHow::Gone)]);
    keep(root, &[("machines/theatre-1.yaml", None)]).unwrap();
    assert_in_order(root);
    assert_eq!(git(root, &["ls-tree", "--name-only", "HEAD"]), "site.yaml\n");
}

#[test]
fn what_was_touched_but_not_changed_is_not_named() {
    let folder = new_logbook();
    let root = folder.path();
    put(root, "site.yaml", SITE);
    put(root, "machines/.gitkeep", "");
    assert_eq!(changed(root), []);
    // A line ending that git changes on checkout is no change.
    put(root, "site.yaml", "name: Hill Hospital\r\n");
    assert_eq!(changed(root), []);
    // Without an index every file is read, and the answer is the same.
    fs::remove_file(root.join(".git/index")).unwrap();
    assert_eq!(changed(root), []);
    fs::write(root.join(".git/index"), "nonsense").unwrap();
    assert_eq!(changed(root), []);
}

#[test]
fn before_the_first_commit_every_file_is_new() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    git(root, &["init", "--quiet", "--initial-branch=main"]);
    put(root, "site.yaml", SITE);
    assert_eq!(changed(root), [("site.yaml".to_owned(), ChangedHow::New)]);
    keep(root, &[("site.yaml", Some(SITE))]).unwrap();
    assert_in_order(root);
}

#[test]
fn a_record_or_seal_in_the_history_gets_no_other_text() {
    let folder = new_logbook();
    let root = folder.path();
    let first = records("2026/11/25", "theatre-1", 1);
    let path = first[0].path.as_str();
    add(root, &first).unwrap();
    let refused = |files: &[(&str, Option<&str>)], words: &str| {
        let before = state(root);
        let error = keep(root, files).unwrap_err();
        assert!(error.to_string().contains(words), "{error:#}");
        assert!(error.downcast_ref::<Trouble>().is_some(), "no next step: {error:#}");
        assert_eq!(state(root), before);
    };
    put(root, path, "edited\n");
    put(root, "site.yaml", "name: Dale Hospital\n");
    let site = ("site.yaml", Some("name: Dale Hospital\n"));
    refused(&[site, (path, Some("edited\n"))], "never written over");
    fs::remove_file(root.join(path)).unwrap();
    refused(&[site, (path, None)], "never written over");
    assert_eq!(changed(root)[0], (path.to_owned(), ChangedHow::Gone));
    git(root, &["checkout", "--", path]);
    put(root, "seals/2026-10.yaml", "sealed\n");
    keep(root, &[("seals/2026-10.yaml", Some("sealed\n"))]).unwrap();
    put(root, "seals/2026-10.yaml", "broken\n");
    refused(&[("seals/2026-10.yaml", Some("broken\n"))], "never written over");
    put(root, "seals/2026-10.yaml", "sealed\n");

    // What is on disk by now is not what was looked at.
    refused(&[("site.yaml", Some("name: Other\n"))], "in this moment");
    refused(&[("people.yaml", Some("a: b\n"))], "in this moment");
    refused(&[("site.yaml", None)], "in this moment");
    refused(&[("machines/theatre-7.yaml", None)], "in this moment");
    refused(&[("../site.yaml", None)], "cannot be the name");
    keep(root, &[site]).unwrap();
    assert_in_order(root);
}

#[test]
fn a_change_that_cannot_reach_the_branch_leaves_the_index_as_it_was() {
    let folder = new_logbook();
    let root = folder.path();
    put(root, "site.yaml", "name: Dale Hospital\n");
    put(root, "people.yaml", "a: b\n");
    fs::remove_file(root.join("machines/theatre-1.yaml")).unwrap();
    let before = git(root, &["ls-files", "--stage"]);
    // A file in place of the folder of reflogs makes the very last step fail.
    let logs = root.join(".git/logs");
    fs::rename(&logs, root.join(".git/logs-away")).unwrap();
    fs::write(&logs, "").unwrap();
    let files = [
        ("site.yaml", Some("name: Dale Hospital\n")),
        ("people.yaml", Some("a: b\n")),
        ("machines/theatre-1.yaml", None),
    ];
    keep(root, &files).unwrap_err();
    assert_eq!(git(root, &["ls-files", "--stage"]), before);
    fs::remove_file(&logs).unwrap();
    fs::rename(root.join(".git/logs-away"), &logs).unwrap();
    keep(root, &files).unwrap();
    assert_in_order(root);
}

#[test]
fn a_change_that_a_crash_interrupted_is_finished_by_the_next_command() {
    let folder = new_logbook();
    let root = folder.path();
    put(root, "site.yaml", "name: Dale Hospital\n");
    fs::remove_file(root.join("machines/theatre-1.yaml")).unwrap();
    let before = git(root, &["rev-parse", "HEAD"]);
    let id = keep(root, &[("site.yaml", Some("name: Dale Hospital\n")), ("machines/theatre-1.yaml", None)]).unwrap();
    for index_too in [false, true] {
        git(root, &["update-ref", "refs/heads/main", before.trim()]);
        if index_too {
            git(root, &["reset", "--quiet"]);
        } else {
            git(root, &["read-tree", &id]);
        }
        fs::write(root.join(".git/pinindex.pending"), format!("{} {id}\n", before.trim())).unwrap();
        add(root, &records("2026/11/25", "theatre-1", 1)).unwrap();
        assert_in_order(root);
        assert_eq!(git(root, &["rev-parse", "HEAD~1"]).trim(), id);
        assert_eq!(changed(root), []);
        fs::remove_dir_all(root.join("records")).unwrap();
    }
}

#[test]
fn a_change_made_after_the_crash_is_neither_lost_nor_taken_for_the_kept_one() {
    let folder = new_logbook();
    let root = folder.path();
    put(root, "site.yaml", "name: Dale Hospital\n");
    let before = git(root, &["rev-parse", "HEAD"]);
    let id = keep(root, &[("site.yaml", Some("name: Dale Hospital\n"))]).unwrap();
    git(root, &["update-ref", "refs/heads/main", before.trim()]);
    git(root, &["reset", "--quiet"]);
    fs::write(root.join(".git/pinindex.pending"), format!("{} {id}\n", before.trim())).unwrap();
    put(root, "site.yaml", "name: Mill Hospital\n");
    add(root, &records("2026/11/25", "theatre-1", 1)).unwrap();
    assert_eq!(changed(root), [("site.yaml".to_owned(), ChangedHow::Edited)]);
    assert_eq!(fs::read_to_string(root.join("site.yaml")).unwrap(), "name: Mill Hospital\n");
    assert_eq!(git(root, &["show", "HEAD:site.yaml"]), SITE);
}
