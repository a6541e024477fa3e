//! Runs the page of everything that the audit finds: after the lines on the page, done with the real git program to a small
//! logbook, `pinindex audit` must say exactly what the page shows.
//!
//! The logbook is the one in `tests/pages-base`, each record in a commit of its own. Lines run under `sh` in the logbook's
//! folder, at a fixed time and as somebody who is not of the hospital. `PAGES=overwrite cargo test --test audit_pages` writes
//! the outputs anew.

#![cfg(unix)]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test reads its files, runs programs, and stops at what it did not expect"
)]

use pinindex::audit::RULES;
use pinindex::diagnostic::Severity;
use pinindex::logbook::{self, Author, Turn};
use pinindex::record::{self, Moment};
use pinindex::rule::Rule;
use ssh_key::private::{Ed25519Keypair, Ed25519PrivateKey};
use ssh_key::{LineEnding, PrivateKey};
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;
use tempfile::TempDir;

/// The moment at which the lines of every page are run.
const NOW: &str = "2026-11-25T12:00:00+01:00";

const HISTORY: &str = "A history that has it";
const OUTPUT: &str = "What pinindex says";
const HEADINGS: [&str; 4] = ["Why it matters", HISTORY, OUTPUT, "Put right"];

#[test]
fn a_history_that_was_only_added_to_has_nothing_wrong_with_it() {
    let logbook = logbook();
    let said = audit(logbook.path(), &["--format", "short"]);
    assert!(said.status.success(), "{}", text(&said));
    let last = Command::new("git").args(["rev-parse", "HEAD"]).current_dir(logbook.path()).output().unwrap();
    let last = text(&last);
    let commits = format!("6 commits, the last of 2026-11-24 11:30: {last}");
    assert_eq!(text(&said), format!("{commits}5 records: no problems, 0 findings\n"));
    let said = text(&audit(logbook.path(), &["--format", "json"]));
    let line = format!(r#"{{"last-commit":"{}","committed":"2026-11-24T11:30:00+01:00","commits":6}}"#, last.trim());
    assert_eq!(said.lines().last(), Some(line.as_str()));
}

#[test]
fn every_page_has_its_headings_in_order() {
    for rule in RULES {
        let page = page(rule);
        assert!(page.starts_with(&format!("# {}\n\n", rule.name)), "{} has another title", rule.name);
        let headings: Vec<&str> = page.lines().filter_map(|line| line.strip_prefix("## ")).collect();
        assert_eq!(headings, HEADINGS, "headings of {}", rule.name);
    }
}

#[test]
fn every_page_shows_exactly_what_is_said() {
    let mut differing = Vec::new();
    for rule in RULES {
        let page = page(rule);
        let said = said(rule, block(&page, HISTORY, "sh"));
        let shown = block(&page, OUTPUT, "text");
        if said == shown {
            continue;
        }
        if std::env::var("PAGES").is_ok_and(|value| value == "overwrite") {
            let output = page.replacen(&format!("```text\n{shown}```"), &format!("```text\n{said}```"), 1);
            fs::write(path(rule), output).unwrap();
        } else {
            differing.push(format!("--- {} says\n{said}--- its page shows\n{shown}", rule.name));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

/// Keys of ours for the lines of a page, in `$KEYS`: those of Okafor and of Castellanos, and one of nobody here.
fn keys() -> &'static Path {
    static MADE: LazyLock<TempDir> = LazyLock::new(|| {
        let folder = tempfile::tempdir().unwrap();
        for (n, name) in [(1, "okafor"), (2, "castellanos"), (3, "stranger")] {
            let pair = Ed25519Keypair::from(Ed25519PrivateKey::from_bytes(&[n; 32]));
            let key = PrivateKey::from(pair);
            let place = folder.path().join(name);
            fs::write(&place, key.to_openssh(LineEnding::LF).unwrap().as_bytes()).unwrap();
            fs::set_permissions(&place, fs::Permissions::from_mode(0o600)).unwrap();
            fs::write(place.with_extension("pub"), key.public_key().to_openssh().unwrap()).unwrap();
        }
        folder
    });
    MADE.path()
}

/// Runs the lines of a page, and returns what the audit says of its rule.
fn said(rule: &Rule, lines: &str) -> String {
    let logbook = logbook();
    let root = logbook.path();
    let done = surrounded(Command::new("sh").args(["-e", "-c", lines]), root).output().unwrap();
    assert!(done.status.success(), "lines of {}: {}", rule.name, text(&done));
    let audit = audit(root, &[]);
    let is_fault = rule.severity == Severity::Problem;
    assert!(audit.status.code() == Some(1) || !is_fault, "{}: {}", rule.name, text(&audit));
    let all = text(&audit);
    let head = format!("[{}]:", rule.name);
    let own: Vec<&str> = all.split("\n\n").filter(|part| part.lines().next().unwrap_or("").contains(&head)).collect();
    assert!(!own.is_empty(), "the audit does not say {}: {all}", rule.name);
    own.iter().map(|part| format!("{part}\n")).collect::<Vec<_>>().join("\n")
}

/// A copy of the logbook that pages stand on.
fn logbook() -> TempDir {
    static MADE: LazyLock<TempDir> = LazyLock::new(made);
    let copy = tempfile::tempdir().unwrap();
    let from = MADE.path().join(".");
    assert!(Command::new("cp").arg("-a").arg(from).arg(copy.path()).status().unwrap().success());
    copy
}

/// A logbook whose records were taken in one after the other.
fn made() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    let base = project().join("tests/pages-base");
    let (records, files): (Vec<_>, Vec<_>) =
        gather(&base, "").into_iter().partition(|(path, _)| path.starts_with("records/"));
    let by = Author {
        name: "Rosa Castellanos".to_owned(),
        email: "r.castellanos@hospital.example".to_owned(),
        time: "2026-11-20T08:00:00+01:00".parse::<Moment>().unwrap().0,
    };
    logbook::create(root).unwrap();
    Turn::take(root, &mut || {}).unwrap().commit_all(&files, &by, &by, "Start the logbook").unwrap();

    let mut records: Vec<_> = records
        .iter()
        .map(|(path, text)| (record::read(path, text.as_bytes()).0.unwrap().common.recorded, text))
        .collect();
    records.sort();
    let inbox = tempfile::tempdir().unwrap();
    for (recorded, text) in records {
        let file = inbox.path().join("record.yaml");
        fs::write(&file, text).unwrap();
        let now = recorded.to_string();
        let mut pinindex = Command::new(env!("CARGO_BIN_EXE_pinindex"));
        let done = surrounded(pinindex.arg("record").arg(&file).args(["--now", &now]), root).output().unwrap();
        assert!(!file.exists(), "{}", text_of(&done));
    }
    folder
}

fn audit(root: &Path, arguments: &[&str]) -> Output {
    let mut pinindex = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    surrounded(pinindex.arg("audit").args(arguments).args(["--now", NOW]), root).output().unwrap()
}

/// Gives a program the surroundings of a page: the folder, the time, and nobody's configuration.
fn surrounded<'a>(program: &'a mut Command, root: &Path) -> &'a mut Command {
    let own = Path::new(env!("CARGO_BIN_EXE_pinindex")).parent().unwrap();
    let path = format!("{}:{}", own.display(), std::env::var("PATH").unwrap());
    program
        .current_dir(root)
        .env("PATH", path)
        .env("HOME", root)
        .env("KEYS", keys())
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_AUTHOR_NAME", "Somebody")
        .env("GIT_AUTHOR_EMAIL", "somebody@elsewhere.example")
        .env("GIT_COMMITTER_NAME", "Somebody")
        .env("GIT_COMMITTER_EMAIL", "somebody@elsewhere.example")
        .env("GIT_AUTHOR_DATE", "2026-11-25T09:00:00+01:00")
        .env("GIT_COMMITTER_DATE", "2026-11-25T09:00:00+01:00")
        .env("NO_COLOR", "1")
}

fn text(output: &Output) -> String {
    assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{}", String::from_utf8_lossy(&output.stdout));
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn text_of(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

fn gather(folder: &Path, prefix: &str) -> Vec<(String, String)> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let name = format!("{prefix}{}", entry.file_name().to_str().unwrap());
        if entry.file_type().unwrap().is_dir() {
            files.extend(gather(&entry.path(), &format!("{name}/")));
        } else {
            files.push((name, fs::read_to_string(entry.path()).unwrap()));
        }
    }
    files
}

fn project() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn path(rule: &Rule) -> PathBuf {
    project().join("src/audit").join(format!("{}.md", rule.name.replace('-', "_")))
}

fn page(rule: &Rule) -> String {
    fs::read_to_string(path(rule)).unwrap_or_else(|error| panic!("page of {}: {error}", rule.name))
}

/// Returns the block under a heading.
fn block<'a>(page: &'a str, heading: &str, kind: &str) -> &'a str {
    let (_, section) = page.split_once(&format!("\n## {heading}\n")).unwrap();
    let (_, block) = section.split_once(&format!("```{kind}\n")).unwrap();
    block.split_once("```").unwrap().0
}
