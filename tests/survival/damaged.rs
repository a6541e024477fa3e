//! Logbooks that a person, another program or a disk damaged: what is said of each, that nothing is touched where nothing
//! can be done, and that what can be read is read.

use super::ward::{Done, Ward, check, filed, git};
use Answer::{Faults, Stops, Works};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// What a command makes of a damage.
#[derive(Clone, Copy, Debug)]
enum Answer {
    /// Exit status 0.
    Works,
    /// Exit status 1, with these words.
    Faults(&'static str),
    /// Exit status 2, with these words and a next step.
    Stops(&'static str),
}

impl Answer {
    fn is_that_of(self, done: &Done) -> bool {
        let says = |words| done.out.contains(words) || done.err.contains(words);
        let plainly = |number| done.err.lines().filter(|line| line.starts_with("  next step: ")).count() == number;
        !done.err.contains("panicked")
            && match self {
                Works => done.status == Some(0) && plainly(0),
                Faults(words) => done.status == Some(1) && says(words) && plainly(0),
                Stops(words) => done.status == Some(2) && says(words) && plainly(1),
            }
    }
}

/// One way to damage a logbook, and the answers of `validate`, of `ready`, `report` and `history`, of `keep` and of
/// `record`. The audit of each has to say something, with a next step where it cannot do its work, and to touch nothing.
struct Damage(&'static str, fn(&Ward), [Answer; 4]);

const LAST: Answer = Stops("the last commit of the logbook cannot be read");
const GIT: Answer = Stops("git's part of the logbook cannot be used");

const FILES: &[Damage] = &[
    Damage("nothing", |_| {}, [Works; 4]),
    Damage(
        "a half-written record",
        |w| put(w, &filed("08:00"), &check("08:00")[..90]),
        [Faults("not-yaml"), Works, Works, Works],
    ),
    Damage(
        "marks of a conflict in a record",
        |w| put(w, &filed("06:00"), CONFLICT),
        [Faults("two-versions"), Works, Works, Works],
    ),
    Damage(
        "marks of a conflict in a register",
        |w| put(w, "machines/theatre-1.yaml", CONFLICT),
        [Faults("two-versions"), Works, Works, Works],
    ),
    Damage(
        "line ends of another system",
        |w| put(w, &filed("06:00"), &check("06:00").replace('\n', "\r\n")),
        [Works; 4],
    ),
    Damage(
        "line ends of another system in the inbox",
        |w| inbox(w, check("06:45").replace('\n', "\r\n").as_bytes()),
        [Works; 4],
    ),
    Damage(
        "a byte order mark in the inbox",
        |w| inbox(w, format!("\u{feff}{}", check("06:45")).as_bytes()),
        [Works; 4],
    ),
    Damage(
        "Latin-1 in the inbox",
        |w| inbox(w, &[check("06:45").as_bytes(), b"remarks: gr\xfcn\n"].concat()),
        [Works, Works, Works, Faults("text is not UTF-8")],
    ),
    Damage(
        "a file in place of a year",
        |w| file_for_folder(w, "records/2026"),
        [Faults("records/2026"), Works, Works, Stops("it should be a plain folder")],
    ),
    Damage(
        "a file in place of the records",
        |w| file_for_folder(w, "records"),
        [Faults("records"), Works, Works, Stops("it should be a plain folder")],
    ),
    Damage(
        "a folder in place of a register",
        |w| folder_for_file(w, "machines/theatre-1.yaml"),
        [Faults("machines"), Works, Works, Works],
    ),
    Damage("a folder in place of the site", |w| folder_for_file(w, "site.yaml"), [Stops("no `site.yaml`"); 4]),
    Damage(
        "a folder in the record's place",
        |w| folder(w, &filed("06:45")),
        [Works, Works, Works, Stops("is in the way: a file belongs there")],
    ),
];

const MIDST: [Answer; 4] =
    [Works, Works, Stops("git is in the middle of something else"), Stops("git is in the middle of something else")];
const STAGED: [Answer; 4] = [Works, Works, Stops("staged but not committed"), Stops("staged but not committed")];
const SHALLOW: Answer = Stops("only the latest part of its history");
const BARE: Answer = Stops("no logbook here");
const NO_HISTORY: [Answer; 4] = [Works, Works, Stops("no git history"), Stops("no git history")];
const KIND: Answer = Stops("of a kind that this program cannot read");

const BY_GIT: &[Damage] = &[
    Damage("half a history", |w| other_copy(w, &["clone", "--depth=1", "--no-local"]), [SHALLOW; 4]),
    Damage(
        "no branch",
        |w| run(w, &["checkout", "--detach"]),
        [Works, Works, Stops("on no branch"), Stops("on no branch")],
    ),
    Damage(
        "a branch without a commit",
        |w| run(w, &["checkout", "--orphan", "other"]),
        [Stops("which is not there; the history is still in git's folder"); 4],
    ),
    Damage(
        "a staged file",
        |w| {
            put(w, "notes.txt", "x");
            run(w, &["add", "notes.txt"])
        },
        STAGED,
    ),
    Damage("a staged removal", |w| run(w, &["rm", "--cached", &filed("06:00")]), STAGED),
    Damage("a merge", |w| conflict(w, "merge"), MIDST),
    Damage("a rebase", |w| conflict(w, "rebase"), MIDST),
    Damage("a cherry-pick", |w| conflict(w, "cherry-pick"), MIDST),
    Damage("a bisect", |w| run(w, &["bisect", "start"]), MIDST),
    Damage("packed", |w| run(w, &["gc"]), [Works; 4]),
    Damage("a linked folder", |w| other_copy(w, &["worktree", "add", "-b", "other"]), [Works; 4]),
    Damage("borrowed objects", |w| other_copy(w, &["clone", "--shared"]), [Works; 4]),
    Damage("a bare copy", |w| other_copy(w, &["clone", "--bare"]), [BARE; 4]),
    Damage("a part of another repository", part_of_another, [Works; 4]),
    Damage("SHA-256", |w| begun_anew(w, "--object-format=sha256"), [KIND; 4]),
    Damage("references in a table", |w| begun_anew(w, "--ref-format=reftable"), [KIND; 4]),
    Damage("no history", |w| fs::remove_dir_all(w.root().join(".git")).unwrap(), NO_HISTORY),
];

const IN_GIT: &[Damage] = &[
    Damage("a record's object is gone", |w| gone(w, RECORD), [Faults("cannot"), Faults(""), Works, Works]),
    Damage("a record's object is empty", |w| emptied(w, RECORD), [Faults("cannot"), Faults(""), Works, Works]),
    Damage("a folder's object is gone", |w| gone(w, "HEAD:records"), [Stops("cannot read"); 4]),
    Damage("a folder's object is empty", |w| emptied(w, "HEAD:records"), [Stops("cannot read"); 4]),
    Damage("the last commit is gone", |w| gone(w, "HEAD"), [LAST, LAST, GIT, LAST]),
    Damage("the last commit is empty", |w| emptied(w, "HEAD"), [LAST, LAST, GIT, LAST]),
    Damage("the first commit is gone", |w| gone(w, "HEAD~1"), [Stops("cannot read commit"); 4]),
    Damage("half a pack", half_a_pack, [Stops("to see what is damaged"); 4]),
    Damage(
        "nonsense in the index",
        |w| put(w, ".git/index", "DIRC nonsense"),
        [Works, Works, Stops("cannot read git's index"), Stops("cannot read git's index")],
    ),
    Damage(
        "an empty index",
        |w| put(w, ".git/index", ""),
        [Works, Works, Stops("cannot read git's index"), Stops("cannot read git's index")],
    ),
    Damage("no index", |w| fs::remove_file(w.root().join(".git/index")).unwrap(), STAGED),
    Damage("an empty HEAD", |w| put(w, ".git/HEAD", ""), [GIT; 4]),
    Damage("an empty branch", |w| put(w, BRANCH, ""), [GIT; 4]),
    Damage("zeros in the branch", |w| put(w, BRANCH, &"\0".repeat(41)), [GIT; 4]),
    Damage("a branch at no commit", |w| put(w, BRANCH, &format!("{}\n", "1".repeat(40))), [LAST, LAST, GIT, LAST]),
    Damage("a branch at a folder", |w| put(w, BRANCH, &w.git(&["rev-parse", "HEAD^{tree}"])), [LAST, LAST, GIT, LAST]),
    Damage(
        "no objects",
        |w| fs::remove_dir_all(w.root().join(".git/objects")).unwrap(),
        [Stops("cannot open the git repository"); 4],
    ),
    Damage(
        "nonsense in the settings",
        |w| put(w, ".git/config", "[core\nnonsense"),
        [Stops("cannot open the git repository"); 4],
    ),
    Damage(
        "settings of the future",
        |w| put(w, ".git/config", "[core]\n\trepositoryformatversion = 9\n"),
        [Stops("cannot open the git repository"); 4],
    ),
    Damage("a .git that leads nowhere", leads_nowhere, [Stops("cannot open the git repository"); 4]),
    Damage("nonsense in our note", |w| put(w, ".git/pinindex.pending", "\0\0\0"), [Works; 4]),
    Damage(
        "a folder in place of our note",
        |w| folder(w, ".git/pinindex.pending"),
        [Works, Works, Stops("pinindex.pending"), Stops("pinindex.pending")],
    ),
    Damage(
        "a folder in place of our lock",
        |w| {
            fs::remove_file(w.root().join(".git/pinindex.lock")).unwrap();
            folder(w, ".git/pinindex.lock")
        },
        [Works, Works, Stops("pinindex.lock"), Stops("pinindex.lock")],
    ),
];

const CONFLICT: &str = "<<<<<<< HEAD\nname: ours\n=======\nname: theirs\n>>>>>>> theirs\n";
const RECORD: &str = "HEAD:records/2026/11/25/060000-theatre-1.check.yaml";
const BRANCH: &str = ".git/refs/heads/main";

const COMMANDS: [(usize, &[&str]); 6] = [
    (0, &["validate"]),
    (1, &["ready"]),
    (1, &["report", "2026-11", "--format", "md", "--output", "../out"]),
    (1, &["history", "theatre-1"]),
    (2, &["keep", "--by", "a-nurse", "people.yaml"]),
    (3, &["record", "../inbox"]),
];

/// Returns what lies in the logbook, without the file that writers lock.
fn all_but_the_lock(ward: &Ward) -> BTreeMap<String, String> {
    let mut everything = ward.everything();
    everything.remove(".git/pinindex.lock");
    everything
}

/// Damages a logbook in each way and asks everything of it; tells all that was not as it should be.
fn answers(damages: &[Damage]) {
    let mut wrong = Vec::new();
    for Damage(what, make, expected) in damages {
        let ward = Ward::with_a_record();
        ward.hand_in("06:45");
        make(&ward);
        let before = all_but_the_lock(&ward);
        let done = ward.run(&["audit"]);
        let is_told = [Works, Faults(""), Stops("")].iter().any(|answer| answer.is_that_of(&done));
        if !is_told || all_but_the_lock(&ward) != before {
            wrong.push(format!("{what}: the audit is to say something, and to touch nothing: {done:#?}"));
        }
        let people = ward.root().join("people.yaml");
        if let Ok(text) = fs::read_to_string(&people) {
            fs::write(&people, text + "c-nurse: {name: Cem, role: provider, email: c@hospital.example}\n").unwrap();
        }
        for (column, command) in COMMANDS {
            let answer = expected[column];
            let before = all_but_the_lock(&ward);
            let done = ward.run(command);
            if !answer.is_that_of(&done) {
                wrong.push(format!("{what}: {} is to be {answer:?}: {done:#?}", command[0]));
            }
            let may_write = column > 1 && matches!(answer, Works);
            if !may_write && all_but_the_lock(&ward) != before {
                wrong.push(format!("{what}: {} touched the logbook", command[0]));
            }
        }
    }
    assert!(wrong.is_empty(), "{} answers:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn files_that_others_damaged_are_told() {
    answers(FILES);
}

#[test]
fn a_repository_of_another_kind_or_in_the_middle_of_something_is_told() {
    answers(BY_GIT);
}

#[test]
fn what_is_damaged_in_git_is_told() {
    answers(IN_GIT);
}

fn put(ward: &Ward, path: &str, text: &str) {
    fs::write(ward.root().join(path), text).unwrap();
}

fn inbox(ward: &Ward, bytes: &[u8]) {
    fs::write(ward.inbox().join("0645.yaml"), bytes).unwrap();
}

fn file_for_folder(ward: &Ward, path: &str) {
    fs::remove_dir_all(ward.root().join(path)).unwrap();
    put(ward, path, "x\n");
}

fn folder_for_file(ward: &Ward, path: &str) {
    fs::remove_file(ward.root().join(path)).unwrap();
    folder(ward, path);
}

fn folder(ward: &Ward, path: &str) {
    fs::create_dir(ward.root().join(path)).unwrap();
}

fn run(ward: &Ward, arguments: &[&str]) {
    let done = ward.try_git(arguments);
    assert_eq!(done.status, Some(0), "git {arguments:?}: {done:#?}");
}

/// Puts another copy of the logbook, made with git, in its place.
fn other_copy(ward: &Ward, how: &[&str]) {
    let original = ward.folder().join("original");
    fs::rename(ward.root(), &original).unwrap();
    let mut command = git(&original);
    command.args(how);
    if how[0] == "clone" {
        command.arg(".");
    }
    let done = Done::of(&command.arg("../logbook").output().unwrap());
    assert_eq!(done.status, Some(0), "{done:#?}");
}

fn part_of_another(ward: &Ward) {
    let (original, above) = (ward.folder().join("original"), ward.folder().join("above"));
    fs::rename(ward.root(), original).unwrap();
    fs::create_dir(&above).unwrap();
    for arguments in
        [&["init"][..], &["-c", "protocol.file.allow=always", "submodule", "add", "../original", "logbook"]]
    {
        assert_eq!(Done::of(&git(&above).args(arguments).output().unwrap()).status, Some(0));
    }
    std::os::unix::fs::symlink(above.join("logbook"), ward.root()).unwrap();
    // Where `..` leads is the disk's business.
    std::os::unix::fs::symlink(ward.inbox(), above.join("inbox")).unwrap();
}

fn begun_anew(ward: &Ward, option: &str) {
    fs::remove_dir_all(ward.root().join(".git")).unwrap();
    run(ward, &["init", "--initial-branch=main", option]);
    run(ward, &["add", "."]);
    run(ward, &["commit", "--message", "all"]);
}

/// Leaves git in the middle of bringing two texts of one file together.
fn conflict(ward: &Ward, how: &str) {
    for (branch, text) in [("theirs", "theirs"), ("main", "ours")] {
        run(ward, &["switch", if branch == "main" { "--quiet" } else { "--create" }, branch]);
        put(ward, "notes.txt", text);
        run(ward, &["add", "notes.txt"]);
        run(ward, &["commit", "--message", text]);
    }
    assert_ne!(ward.try_git(&[how, "theirs"]).status, Some(0));
}

fn object(ward: &Ward, rev: &str) -> PathBuf {
    let id = ward.git(&["rev-parse", rev]);
    let (folder, name) = id.trim().split_at(2);
    ward.root().join(".git/objects").join(folder).join(name)
}

fn gone(ward: &Ward, rev: &str) {
    fs::remove_file(object(ward, rev)).unwrap();
}

fn emptied(ward: &Ward, rev: &str) {
    replace(&object(ward, rev), b"");
}

/// Git's objects are not to be written over, so that another file takes the place of one.
fn replace(place: &Path, bytes: &[u8]) {
    fs::remove_file(place).unwrap();
    fs::write(place, bytes).unwrap();
}

fn half_a_pack(ward: &Ward) {
    run(ward, &["gc"]);
    let packs = fs::read_dir(ward.root().join(".git/objects/pack")).unwrap().map(|entry| entry.unwrap().path());
    let pack = packs.into_iter().find(|place| place.extension().is_some_and(|end| end == "pack")).unwrap();
    let bytes = fs::read(&pack).unwrap();
    replace(&pack, &bytes[..bytes.len() / 2]);
}

fn leads_nowhere(ward: &Ward) {
    fs::remove_dir_all(ward.root().join(".git")).unwrap();
    put(ward, ".git", "gitdir: ../nowhere\n");
}
