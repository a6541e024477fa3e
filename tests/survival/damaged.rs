//! Logbooks that somebody or something else damaged.

use super::ward::{Done, Ward, check, filed, git};
use std::fs;
use std::path::Path;

struct Damage {
    what: &'static str,
    make: fn(&Ward),
}

const COMMANDS: [&[&str]; 6] = [
    &["record", "../inbox"],
    &["keep", "--by", "a-nurse", "people.yaml"],
    &["validate"],
    &["ready"],
    &["report", "2026-11", "--format", "md", "--output", "../out"],
    &["history", "theatre-1"],
];

const DAMAGES: &[Damage] = &[
    Damage { what: "sound", make: |_| {} },
    Damage { what: "a half-written record in its place", make: |w| put(w, &filed("08:00"), &check("08:00")[..90]) },
    Damage { what: "conflict markers in a record", make: |w| put(w, &filed("06:00"), "<<<<<<< HEAD\nrecord: check\n=======\nrecord: fault\n>>>>>>> theirs\n") },
    Damage { what: "conflict markers in people.yaml", make: |w| put(w, "people.yaml", "<<<<<<< HEAD\na: b\n=======\na: c\n>>>>>>> theirs\n") },
    Damage { what: "CRLF record", make: |w| put(w, &filed("06:00"), &check("06:00").replace('\n', "\r\n")) },
    Damage { what: "CRLF inbox", make: |w| fs::write(w.inbox().join("0645.yaml"), check("06:45").replace('\n', "\r\n")).unwrap() },
    Damage { what: "BOM inbox", make: |w| fs::write(w.inbox().join("0645.yaml"), format!("\u{feff}{}", check("06:45"))).unwrap() },
    Damage { what: "Latin-1 inbox", make: |w| fs::write(w.inbox().join("0645.yaml"), [check("06:45").as_bytes(), b"remarks: gr\xfcn\n"].concat()).unwrap() },
    Damage { what: "BOM people", make: |w| { let t = fs::read_to_string(w.root().join("people.yaml")).unwrap(); put(w, "people.yaml", &format!("\u{feff}{t}")) } },
    Damage { what: "records/2026 as file", make: |w| { fs::remove_dir_all(w.root().join("records/2026")).unwrap(); put(w, "records/2026", "x\n") } },
    Damage { what: "records as file", make: |w| { fs::remove_dir_all(w.root().join("records")).unwrap(); put(w, "records", "x\n") } },
    Damage { what: "people.yaml as folder", make: |w| { fs::remove_file(w.root().join("people.yaml")).unwrap(); fs::create_dir(w.root().join("people.yaml")).unwrap() } },
    Damage { what: "site.yaml as folder", make: |w| { fs::remove_file(w.root().join("site.yaml")).unwrap(); fs::create_dir(w.root().join("site.yaml")).unwrap() } },
    Damage { what: "a folder at the record's place", make: |w| { fs::create_dir_all(w.root().join(filed("06:45"))).unwrap() } },
    Damage { what: "shallow", make: |w| { clone(w, &["--depth", "1"]) } },
    Damage { what: "detached", make: |w| { w.git(&["checkout", "--quiet", "--detach"]); } },
    Damage { what: "unborn branch", make: |w| { w.git(&["checkout", "--quiet", "--orphan", "other"]); } },
    Damage { what: "staged add", make: |w| { put(w, "notes.txt", "x"); w.git(&["add", "notes.txt"]); } },
    Damage { what: "staged delete", make: |w| { w.git(&["rm", "--quiet", "--cached", &filed("06:00")]); } },
    Damage { what: "merge", make: |w| { conflict(w, &["merge"]) } },
    Damage { what: "rebase", make: |w| { conflict(w, &["rebase"]) } },
    Damage { what: "cherry-pick", make: |w| { conflict(w, &["cherry-pick"]) } },
    Damage { what: "bisect", make: |w| { w.git(&["bisect", "start"]); } },
    Damage { what: "missing blob", make: |w| fs::remove_file(object(w, &format!("HEAD:{}", filed("06:00")))).unwrap() },
    Damage { what: "missing tree", make: |w| fs::remove_file(object(w, "HEAD:records")).unwrap() },
    Damage { what: "missing root tree", make: |w| fs::remove_file(object(w, "HEAD^{tree}")).unwrap() },
    Damage { what: "missing commit", make: |w| fs::remove_file(object(w, "HEAD")).unwrap() },
    Damage { what: "missing first commit", make: |w| fs::remove_file(object(w, "HEAD~1")).unwrap() },
    Damage { what: "truncated blob", make: |w| empty(&object(w, &format!("HEAD:{}", filed("06:00")))) },
    Damage { what: "truncated people blob", make: |w| empty(&object(w, "HEAD:people.yaml")) },
    Damage { what: "truncated tree", make: |w| empty(&object(w, "HEAD:records")) },
    Damage { what: "truncated commit", make: |w| empty(&object(w, "HEAD")) },
    Damage { what: "damaged index", make: |w| put(w, ".git/index", "DIRC\0\0\0\u{2}nonsense") },
    Damage { what: "empty index", make: |w| put(w, ".git/index", "") },
    Damage { what: "no index", make: |w| fs::remove_file(w.root().join(".git/index")).unwrap() },
    Damage { what: "empty HEAD", make: |w| put(w, ".git/HEAD", "") },
    Damage { what: "no HEAD", make: |w| fs::remove_file(w.root().join(".git/HEAD")).unwrap() },
    Damage { what: "empty branch", make: |w| put(w, ".git/refs/heads/main", "") },
    Damage { what: "zeros in branch", make: |w| put(w, ".git/refs/heads/main", &"\0".repeat(41)) },
    Damage { what: "branch names missing commit", make: |w| put(w, ".git/refs/heads/main", &format!("{}\n", "1".repeat(40))) },
    Damage { what: "branch names tree", make: |w| { let id = w.git(&["rev-parse", "HEAD^{tree}"]); put(w, ".git/refs/heads/main", &id) } },
    Damage { what: "no objects folder", make: |w| fs::remove_dir_all(w.root().join(".git/objects")).unwrap() },
    Damage { what: "no refs folder", make: |w| fs::remove_dir_all(w.root().join(".git/refs")).unwrap() },
    Damage { what: "config nonsense", make: |w| put(w, ".git/config", "[core\nnonsense") },
    Damage { what: "config format", make: |w| put(w, ".git/config", "[core]\n\trepositoryformatversion = 9\n") },
    Damage { what: "gc", make: |w| { w.git(&["gc", "--quiet"]); } },
    Damage { what: "damaged pack", make: |w| { w.git(&["gc", "--quiet"]); damage_pack(w) } },
    Damage { what: "worktree", make: |w| { other_folder(w, &["worktree", "add", "--quiet", "-b", "other", "../other"]) } },
    Damage { what: "alternates", make: |w| clone(w, &["--shared"]) },
    Damage { what: "sha256", make: |w| { sha256(w) } },
    Damage { what: "reftable", make: |w| { fresh(w, &["--ref-format=reftable"]) } },
    Damage { what: "bare", make: |w| { clone(w, &["--bare"]) } },
    Damage { what: "submodule .git file", make: |w| submodule(w) },
    Damage { what: ".git file to nowhere", make: |w| { fs::remove_dir_all(w.root().join(".git")).unwrap(); put(w, ".git", "gitdir: ../nowhere\n") } },
    Damage { what: ".git nonsense", make: |w| { fs::remove_dir_all(w.root().join(".git")).unwrap(); put(w, ".git", "nonsense") } },
    Damage { what: "no .git", make: |w| { fs::remove_dir_all(w.root().join(".git")).unwrap(); } },
    Damage { what: "packed-refs damaged", make: |w| { w.git(&["pack-refs", "--all"]); put(w, ".git/packed-refs", "nonsense\n") } },
    Damage { what: "commit-graph damaged", make: |w| { w.git(&["commit-graph", "write", "--reachable"]); put(w, ".git/objects/info/commit-graph", "CGPHnonsense") } },
    Damage { what: "pending damaged", make: |w| put(w, ".git/pinindex.pending", "\0\0\0\0") },
    Damage { what: "pending folder", make: |w| fs::create_dir(w.root().join(".git/pinindex.pending")).unwrap() },
    Damage { what: "lock folder", make: |w| fs::create_dir(w.root().join(".git/pinindex.lock")).unwrap() },
];

fn put(ward: &Ward, path: &str, text: &str) {
    let place = ward.root().join(path);
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, text).unwrap();
}

fn empty(place: &Path) {
    fs::remove_file(place).unwrap();
    fs::write(place, "").unwrap();
}

fn object(ward: &Ward, rev: &str) -> std::path::PathBuf {
    let id = ward.git(&["rev-parse", rev]);
    ward.root().join(".git/objects").join(&id[..2]).join(id[2..].trim())
}

/// Puts another copy of the logbook in its place.
fn clone(ward: &Ward, options: &[&str]) {
    let from = format!("file://{}/original", ward.folder().display());
    let from = if options.contains(&"--shared") { &from[7..] } else { &from };
    other_folder_from(ward, |_| {
        let done = git(ward.folder()).args(["clone", "--quiet"]).args(options).args([from, "other"]).output().unwrap();
        assert!(done.status.success(), "{done:?}");
    });
}

fn other_folder(ward: &Ward, arguments: &[&str]) {
    other_folder_from(ward, |_| {
        let done = git(&ward.folder().join("original")).args(arguments).output().unwrap();
        assert!(done.status.success(), "{done:?}");
    });
}

fn other_folder_from(ward: &Ward, make: impl FnOnce(())) {
    fs::rename(ward.root(), ward.folder().join("original")).unwrap();
    make(());
    let other = ward.folder().join("other");
    if other.join("site.yaml").exists() && other.join(".git").is_file() {
        let moved = git(&ward.folder().join("original")).args(["worktree", "move", "../other", "../logbook"]).output().unwrap();
        if moved.status.success() { return; }
    }
    fs::rename(other, ward.root()).unwrap();
}

fn fresh(ward: &Ward, options: &[&str]) {
    fs::remove_dir_all(ward.root().join(".git")).unwrap();
    ward.git(&[&["init", "--quiet", "--initial-branch=main"][..], options].concat());
    ward.git(&["add", "."]);
    ward.git(&["commit", "--quiet", "-m", "all"]);
}
fn sha256(ward: &Ward) { fresh(ward, &["--object-format=sha256"]) }

fn submodule(ward: &Ward) {
    fs::rename(ward.root(), ward.folder().join("original")).unwrap();
    let above = ward.folder().join("above");
    fs::create_dir(&above).unwrap();
    let run = |a: &[&str]| { let d = git(&above).args(["-c", "protocol.file.allow=always"]).args(a).output().unwrap(); assert!(d.status.success(), "{d:?}"); };
    run(&["init", "--quiet"]);
    run(&["submodule", "--quiet", "add", "../original", "logbook"]);
    std::os::unix::fs::symlink(above.join("logbook"), ward.root()).unwrap();
}

fn damage_pack(ward: &Ward) {
    for entry in fs::read_dir(ward.root().join(".git/objects/pack")).unwrap() {
        let place = entry.unwrap().path();
        if place.extension().is_some_and(|e| e == "pack") {
            let mut bytes = fs::read(&place).unwrap();
            let len = bytes.len();
            bytes.truncate(len / 2);
            fs::remove_file(&place).unwrap();
            fs::write(&place, bytes).unwrap();
        }
    }
}

fn conflict(ward: &Ward, how: &[&str]) {
    ward.git(&["switch", "--quiet", "--create", "theirs"]);
    put(ward, "notes.txt", "theirs\n");
    ward.git(&["add", "notes.txt"]);
    ward.git(&["commit", "--quiet", "-m", "theirs"]);
    ward.git(&["switch", "--quiet", "main"]);
    put(ward, "notes.txt", "ours\n");
    ward.git(&["add", "notes.txt"]);
    ward.git(&["commit", "--quiet", "-m", "ours"]);
    let done: Done = ward.try_git(&[how, &["theirs"]].concat());
    assert_ne!(done.status, Some(0));
}

#[test]
fn look() {
    for damage in DAMAGES {
        println!("=== {}", damage.what);
        for command in COMMANDS {
            let ward = Ward::new();
            ward.hand_in("06:00");
            ward.run(&["record", "../inbox"]).is(0);
            ward.hand_in("06:45");
            if command[0] == "keep" { put(&ward, "people.yaml", &(fs::read_to_string(ward.root().join("people.yaml")).unwrap() + "d: {name: D, role: provider, email: d@hospital.example}\n")); }
            if std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| (damage.make)(&ward))).is_err() { println!("CANNOT MAKE"); break }
            let before = ward.everything();
            let done = ward.run(command);
            let now = ward.everything();
            let touched: Vec<_> = now.iter().filter(|(k, v)| before.get(*k) != Some(v)).map(|(k, _)| k).collect();
            let gone: Vec<_> = before.keys().filter(|k| !now.contains_key(*k)).collect();
            println!("--- {} -> {:?} {} touched {touched:?} gone {gone:?}\n{}{}", command[0], done.status, if done.err.contains("next step") { "" } else { "NOSTEP" }, done.out.lines().take(4).map(|l| format!("   {l}\n")).collect::<String>(), done.err);
        }
    }
}
