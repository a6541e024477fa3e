//! The first command of the README, as a stranger types it, with and without typst; git and poppler judge what it leaves.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test runs programs and reads what they wrote")]

#[path = "outside/program.rs"]
mod program;
#[path = "outside/run.rs"]
mod run;

use chrono::{DateTime, FixedOffset};
use pinindex::command::sealed::Sealed;
use pinindex::contents::{self, Contents};
use pinindex::logbook;
use pinindex::seal::Month;
use program::pinindex;
use run::run;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

/// A logbook that the command made, and what it said.
struct Made {
    folder: PathBuf,
    said: String,
}

/// The demo with every program on PATH; made once, because it takes its time.
static WITH_TYPST: LazyLock<Made> = LazyLock::new(|| made("with-typst", |_| {}));

/// The demo with no program on PATH at all.
static WITHOUT_TYPST: LazyLock<Made> = LazyLock::new(|| {
    made("without-typst", |command| {
        command.env("PATH", Path::new(env!("CARGO_TARGET_TMPDIR")).join("nothing-here"));
    })
});

fn made(name: &str, surround: impl Fn(&mut Command)) -> Made {
    let parent = Path::new(env!("CARGO_TARGET_TMPDIR")).join("demo-command");
    let folder = parent.join(name);
    std::fs::create_dir_all(&parent).unwrap();
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    let mut command = pinindex();
    surround(&mut command);
    let output = run(command.current_dir(&parent).args(["demo", name]), "");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    Made { folder, said: String::from_utf8(output.stdout).unwrap() }
}

impl Made {
    fn report(&self, ending: &str) -> PathBuf {
        self.folder.join("reports").join(format!("2026-10.{ending}"))
    }

    fn contents(&self) -> Contents {
        let (contents, faults) = contents::read(&logbook::read_working_files(&self.folder).unwrap(), &mut |_| {});
        assert_eq!(faults, []);
        contents
    }

    /// Returns what git says, which must end well.
    fn git(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new("git");
        for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("GIT_")) {
            command.env_remove(name);
        }
        command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1").env("LC_ALL", "C");
        let output = run(command.arg("-C").arg(&self.folder).args(arguments), "");
        assert!(output.status.success(), "git {arguments:?}: {output:?}");
        output
    }

    /// Returns what a program of poppler says of the PDF.
    fn poppler(&self, program: &str, arguments: &[&str]) -> String {
        let output = run(Command::new(program).args(arguments).arg(self.report("pdf")).arg("-"), "");
        assert!(output.status.success(), "{program}: {output:?}");
        String::from_utf8(output.stdout).unwrap()
    }
}

#[test]
fn it_is_the_readme_s_first_command() {
    let readme = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let first = readme.lines().skip_while(|line| !line.starts_with("```")).nth(1).unwrap();
    assert_eq!(first, "cargo run --release -- demo demo-logbook");
}

#[test]
fn without_typst_it_says_so_and_the_rest_is_there() {
    let demo = &*WITHOUT_TYPST;
    let sentence = demo.said.lines().find(|line| line.starts_with("no PDF: ")).expect("it says that there is no PDF");
    assert!(sentence.contains("the typst program is not on PATH"), "{sentence}");
    assert!(sentence.contains("cargo install --locked typst-cli"), "no next step: {sentence}");
    assert!(!demo.report("pdf").exists());
    assert!(!demo.said.contains("pdf"), "a PDF is spoken of that is not there:\n{}", demo.said);
    for ending in ["html", "md", "csv", "json"] {
        assert!(demo.report(ending).metadata().unwrap().len() > 1000, "{ending}");
    }
    let page = std::fs::read_to_string(demo.report("html")).unwrap();
    let site = demo.contents().site.unwrap().name;
    assert!(page.contains(&site) && page.contains("October 2026"));
}

#[test]
fn with_typst_there_is_a_pdf_with_its_title_and_first_page() {
    let demo = &*WITH_TYPST;
    assert!(demo.report("pdf").exists(), "`tests/run` installs typst\n{}", demo.said);
    assert!(demo.said.contains("2026-10.pdf"), "{}", demo.said);
    let site = demo.contents().site.unwrap().name;
    let info = run(Command::new("pdfinfo").arg(demo.report("pdf")), "");
    let info = String::from_utf8(info.stdout).unwrap();
    let entry = |key: &str| {
        let line = info.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix(':'));
        line.unwrap_or_else(|| panic!("pdfinfo knows no {key}:\n{info}")).trim().to_owned()
    };
    assert!(entry("Title").ends_with(&format!(", {site}, October 2026")), "title: {}", entry("Title"));
    assert_eq!(entry("Tagged"), "yes");
    assert!(entry("Pages").parse::<u32>().unwrap() > 3, "pages: {}", entry("Pages"));
    let first_page = demo.poppler("pdftotext", &["-f", "1", "-l", "1", "-layout"]);
    assert!(first_page.contains(&site) && first_page.contains("October 2026"), "{first_page}");
}

#[test]
fn the_figures_in_the_pdf_are_the_files_beside_it() {
    let demo = &*WITH_TYPST;
    let folder = tempfile::tempdir().unwrap();
    let output =
        run(Command::new("pdfdetach").arg("-saveall").arg("-o").arg(folder.path()).arg(demo.report("pdf")), "");
    assert!(output.status.success(), "{output:?}");
    let names: BTreeSet<String> =
        folder.path().read_dir().unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(names.into_iter().collect::<Vec<_>>(), ["figures.csv", "report.json"]);
    for (attached, beside) in [("figures.csv", "csv"), ("report.json", "json")] {
        let same = std::fs::read(folder.path().join(attached)).unwrap() == std::fs::read(demo.report(beside)).unwrap();
        assert!(same, "{attached} in the PDF is not the {beside} beside it");
    }
}

#[test]
fn git_finds_its_history_in_order() {
    let demo = &*WITH_TYPST;
    assert_eq!(String::from_utf8_lossy(&demo.git(&["status", "--porcelain"]).stdout), "");
    let fsck = demo.git(&["fsck", "--full", "--strict", "--no-progress"]);
    assert_eq!(String::from_utf8_lossy(&fsck.stdout) + String::from_utf8_lossy(&fsck.stderr), "");
}

#[test]
fn each_record_is_a_commit_of_its_recorder_at_its_time() {
    let demo = &*WITH_TYPST;
    let contents = demo.contents();
    assert!(contents.records.len() > 2000, "only {} records", contents.records.len());
    let output = demo.git(&["log", "--reverse", "--format=%x00%ae%n%ce%n%aI%n%cI", "--name-status", "--no-renames"]);
    let log = String::from_utf8(output.stdout).unwrap();
    let commits: Vec<&str> = log.split('\0').skip(1).collect();
    assert_eq!(commits.len(), contents.records.len() + contents.seals.len() + 1);
    // The fourteen whole months before that of the last day.
    assert_eq!(contents.seals.len(), 14);
    let mut seen = BTreeSet::new();
    for commit in &commits[1..] {
        let lines: Vec<&str> = commit.lines().filter(|line| !line.is_empty()).collect();
        let [author, committer, authored, committed, change] = lines.as_slice() else { panic!("{commit}") };
        let path = change.strip_prefix("A\t").unwrap_or_else(|| panic!("{change}"));
        if let Some(seal) = Month::of_seal_path(path).and_then(|month| contents.seals.get(&month)) {
            let person = &contents.people[&seal.seal.by];
            assert_eq!((*author, *committer), (person.email.as_str(), person.email.as_str()), "{path}");
            assert_eq!(
                (*authored, *committed),
                (&*seal.seal.sealed.to_string(), &*seal.seal.sealed.to_string()),
                "{path}"
            );
            assert!(seen.insert(path), "{path} is committed twice");
            continue;
        }
        let record = &contents.record(path).unwrap_or_else(|| panic!("{path} is no record")).record;
        let person = &contents.people[record.common.recorder()];
        assert_eq!((*author, *committer), (person.email.as_str(), person.email.as_str()), "{path}");
        let recorded = record.common.recorded.0;
        for time in [authored, committed] {
            let time: DateTime<FixedOffset> = time.parse().unwrap();
            assert_eq!((time, time.offset()), (recorded, recorded.offset()), "{path}");
        }
        assert!(seen.insert(path), "{path} is committed twice");
    }
    let first: Vec<&str> = commits[0].lines().collect();
    assert!(contents.people.values().any(|person| person.email == first[0]), "{} began the logbook", first[0]);
    assert!(!commits[0].contains("records/"), "records came in with the first files");
}

#[test]
fn every_whole_month_is_sealed_and_every_seal_holds() {
    let demo = &*WITHOUT_TYPST;
    let contents = demo.contents();
    let head = String::from_utf8(demo.git(&["rev-parse", "HEAD"]).stdout).unwrap();
    let seals = Sealed::open(&demo.folder, head.trim()).unwrap().all(&contents).unwrap();
    let months: Vec<String> = seals.iter().map(|seal| seal.numbered.seal.seal.to_string()).collect();
    assert_eq!((months.len(), months[0].as_str(), months[13].as_str()), (14, "2025-09", "2026-10"));
    for seal in &seals {
        assert_eq!(seal.problems, [], "{}", seal.numbered.seal.seal);
        assert!(seal.numbered.seal.month.records > 100, "{}", seal.numbered.seal.seal);
    }
    let number = seals[13].numbered.number;
    for ending in ["html", "md", "json"] {
        let report = std::fs::read_to_string(demo.report(ending)).unwrap();
        assert!(report.contains(&number.in_groups()), "the {ending} shows not the whole number");
        assert!(report.contains(&format!("seal of 2026-10: {}", number.short())), "the foot of the {ending}");
    }
}

#[test]
fn the_same_day_gives_the_same_history() {
    let [one, other] = [&*WITH_TYPST, &*WITHOUT_TYPST].map(|demo| demo.git(&["rev-parse", "HEAD"]).stdout);
    assert_eq!(one, other);
}

#[test]
fn the_commands_that_it_names_next_can_be_typed() {
    let demo = &*WITH_TYPST;
    let program = format!("  {} ", env!("CARGO_BIN_EXE_pinindex"));
    let next: Vec<&str> = demo.said.lines().filter_map(|line| line.strip_prefix(&program)).collect();
    assert!(next.len() >= 3, "{}", demo.said);
    for words in next {
        let output = run(pinindex().current_dir(demo.folder.parent().unwrap()).args(words.split(' ')), "");
        // A check asks a person; without a terminal it lists what it would ask.
        let (status, said) = if words.starts_with("check ") { (2, &output.stderr) } else { (0, &output.stdout) };
        assert_eq!(output.status.code(), Some(status), "pinindex {words}: {output:?}");
        assert!(!said.is_empty(), "pinindex {words} says nothing");
    }
}
