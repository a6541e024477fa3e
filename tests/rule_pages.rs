//! Runs the page of every rule: its faulty record must give exactly the output on the page, its mended record must be clean.
//! Runs the cases in `tests/rule-cases` too: what a rule does at its edges, and what it leaves alone.
//!
//! The files of a page or case are laid over the small logbook in `tests/pages-base`, which has nothing wrong with it. How a page
//! is written is told in `tests/README.md`. `PAGES=overwrite cargo test --test rule_pages` writes the outputs anew.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test reads its files, and stops at what it did not expect"
)]

use pinindex::bedside::form_age;
use pinindex::contents;
use pinindex::diagnostic::{Located, Severity, human, short};
use pinindex::logbook::{FileContent, Snapshot, Source};
use pinindex::record::{Moment, places};
use pinindex::rule::{self, Facts, RULES, Rule};
use pinindex::timeline;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The moment at which every page is judged.
const NOW: &str = "2026-11-25T12:00:00+01:00";

const FAULTY: &str = "A record that has it";
const OUTPUT: &str = "What pinindex says";
const MENDED: &str = "Put right";
const HEADINGS: [&str; 4] = ["Why it matters", FAULTY, OUTPUT, MENDED];

type Files = BTreeMap<String, FileContent>;

#[test]
fn the_logbook_that_pages_stand_on_has_nothing_wrong_with_it() {
    let files = base();
    assert!(files.len() > 10, "only {} files were read", files.len());
    assert_eq!(lines(&judged(&files)), Vec::<String>::new());
}

#[test]
fn every_page_has_its_headings_in_order() {
    for rule in RULES {
        let page = page(rule);
        assert!(page.starts_with(&format!("# {}\n\n", rule.name)), "{} has another title", rule.name);
        let headings: Vec<&str> = page.lines().filter_map(|line| line.strip_prefix("## ")).collect();
        assert_eq!(headings, HEADINGS, "headings of {}", rule.name);
        for heading in HEADINGS {
            assert!(!section(&page, heading).trim().is_empty(), "{}: nothing under `{heading}`", rule.name);
        }
    }
}

#[test]
fn every_page_shows_exactly_what_is_said() {
    let base = base();
    let mut differing = Vec::new();
    for rule in RULES {
        let page = page(rule);
        let faulty = laid_over(&base, section(&page, FAULTY));
        let said = output(rule, &faulty);
        assert!(!said.is_empty(), "the record on the page of {} does not have it", rule.name);
        if said == shown(rule, &page) {
            continue;
        }
        if overwrite() {
            fs::write(path(rule), page.replacen(&fenced(shown(rule, &page)), &fenced(&said), 1)).unwrap();
        } else {
            differing.push(format!("--- {} says\n{said}--- its page shows\n{}", rule.name, shown(rule, &page)));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

#[test]
fn every_mended_record_is_clean() {
    let base = base();
    let mut unclean = Vec::new();
    for rule in RULES {
        let page = page(rule);
        let mended = laid_over(&laid_over(&base, section(&page, FAULTY)), section(&page, MENDED));
        let left = judged(&mended);
        let wrong =
            left.iter().filter(|l| l.diagnostic.severity == Severity::Problem || l.diagnostic.rule == rule.name);
        unclean.extend(wrong.map(|located| format!("{}: {}", rule.name, short::render(located))));
    }
    assert!(unclean.is_empty(), "{}", unclean.join("\n"));
}

#[test]
fn every_case_says_exactly_what_it_shows() {
    let base = base();
    let mut differing = Vec::new();
    let mut cases: Vec<PathBuf> =
        fs::read_dir(root().join("tests/rule-cases")).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() > 10, "only {} cases were found", cases.len());
    for path in cases {
        let case = fs::read_to_string(&path).unwrap().replace("\r\n", "\n");
        let (files, _) = case.split_once("```text\n").unwrap_or_else(|| panic!("no text block in {}", path.display()));
        let said: String = lines(&judged(&laid_over(&base, files))).iter().map(|line| format!("{line}\n")).collect();
        if case == format!("{files}{}\n", fenced(&said)) {
            continue;
        }
        if overwrite() {
            fs::write(&path, format!("{files}{}\n", fenced(&said))).unwrap();
        } else {
            differing.push(format!("--- {} says\n{said}", path.display()));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

fn overwrite() -> bool {
    std::env::var("PAGES").is_ok_and(|value| value == "overwrite")
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn path(rule: &Rule) -> PathBuf {
    root().join("src/rule").join(format!("{}.md", rule.name.replace('-', "_")))
}

/// The page as it is on disk now, so that an overwritten one is not compared with the one that was compiled.
fn page(rule: &Rule) -> String {
    let page = fs::read_to_string(path(rule)).unwrap_or_else(|error| panic!("page of {}: {error}", rule.name));
    page.replace("\r\n", "\n")
}

fn section<'a>(page: &'a str, heading: &str) -> &'a str {
    let mark = format!("\n## {heading}\n");
    let start = page.find(&mark).unwrap_or_else(|| panic!("no heading `{heading}`")) + mark.len();
    let length = page[start..].find("\n## ").unwrap_or(page.len() - start);
    &page[start..start + length]
}

fn shown<'a>(rule: &Rule, page: &'a str) -> &'a str {
    let section = section(page, OUTPUT);
    let (_, block) = section.split_once("```text\n").unwrap_or_else(|| panic!("no text block in {}", rule.name));
    let end = block.find("```").unwrap_or_else(|| panic!("open text block in {}", rule.name));
    &block[..end]
}

fn fenced(text: &str) -> String {
    format!("```text\n{text}```")
}

fn output(rule: &Rule, files: &Files) -> String {
    let text = |path: &str| match files.get(path)? {
        FileContent::Bytes(bytes) => Some(String::from_utf8_lossy(bytes).into_owned()),
        _ => None,
    };
    let located = judged(files);
    let own = located.iter().filter(|located| located.diagnostic.rule == rule.name);
    own.map(|located| human::render(located, &text, false)).collect::<Vec<_>>().join("\n")
}

fn lines(located: &[Located]) -> Vec<String> {
    located.iter().map(short::render).collect()
}

/// Reads, replays and judges files as the program does.
fn judged(files: &Files) -> Vec<Located> {
    let snapshot = Snapshot { files: files.clone(), source: Source::WorkingFiles { head: None, uncommitted: false } };
    let (contents, mut diagnostics) = contents::read(&snapshot, &mut |_| {});
    let lives = timeline::lives(&contents);
    let now: Moment = NOW.parse().unwrap();
    diagnostics.extend(rule::judge(&Facts { contents: &contents, lives: &lives, now, came: None }));
    // What is only told of a record as it comes in: here every one comes in, from a form of this history.
    diagnostics.extend(contents.counting().filter_map(|filed| form_age::finding(&contents, filed, &|_| true)));
    places::locate(diagnostics, &|path| snapshot.bytes(path).map(<[u8]>::to_vec))
}

fn base() -> Files {
    let mut files = Files::new();
    gather(&root().join("tests/pages-base"), "", &mut files);
    files
}

fn gather(folder: &Path, prefix: &str, files: &mut Files) {
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let name = format!("{prefix}{}", entry.file_name().to_str().unwrap());
        if entry.file_type().unwrap().is_dir() {
            gather(&entry.path(), &format!("{name}/"), files);
        } else {
            files.insert(name, FileContent::Bytes(fs::read(entry.path()).unwrap().into()));
        }
    }
}

/// Lays the file blocks of a section over a logbook, and takes away the files it says are not there.
fn laid_over(base: &Files, section: &str) -> Files {
    let mut files = base.clone();
    let mut changes = 0;
    let mut lines = section.lines();
    while let Some(line) = lines.next() {
        if let Some(path) = line.strip_prefix("No file: ") {
            assert!(files.remove(path).is_some(), "`{path}` was not there to be taken away");
            changes += 1;
        } else if let Some(path) = line.strip_prefix("File: ") {
            let info = lines.find(|line| !line.is_empty()).unwrap_or_default();
            let kind = info.strip_prefix("```yaml").unwrap_or_else(|| panic!("no block after `{line}`"));
            let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            files.insert(path.to_owned(), content(kind.trim(), &format!("{}\n", block.join("\n"))));
            changes += 1;
        } else {
            assert!(!line.starts_with("```"), "a block without its file: {section}");
        }
    }
    assert!(changes > 0, "no file in: {section}");
    files
}

/// Returns the file that a block stands for; the words after `yaml` say how to read the block.
fn content(kind: &str, block: &str) -> FileContent {
    match kind.split_once(' ').unwrap_or((kind, "")) {
        ("", _) => FileContent::Bytes(block.as_bytes().into()),
        ("repeat", times) => FileContent::Bytes(block.repeat(times.parse().unwrap()).into_bytes().into()),
        ("escapes", _) => FileContent::Bytes(unescaped(block).into()),
        ("link", _) => FileContent::Link,
        _ => panic!("no such block: yaml {kind}"),
    }
}

/// Replaces `\xNN` by that byte and `\u{NNNN}` by that character.
fn unescaped(block: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut rest = block;
    while let Some((before, after)) = rest.split_once('\\') {
        bytes.extend(before.as_bytes());
        if let Some(hex) = after.strip_prefix('x') {
            bytes.push(u8::from_str_radix(&hex[..2], 16).unwrap());
            rest = &hex[2..];
        } else {
            let (hex, after) = after.strip_prefix("u{").and_then(|hex| hex.split_once('}')).unwrap();
            let character = char::from_u32(u32::from_str_radix(hex, 16).unwrap()).unwrap();
            bytes.extend(character.to_string().as_bytes());
            rest = after;
        }
    }
    bytes.extend(rest.as_bytes());
    bytes
}
