//! Seals: git and SHA-256 by others as judges of what the program leaves, a tree written in another language, and the
//! script of the README on real and on tampered proofs.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test runs programs and reads what they wrote")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::command::sealed::{self, Sealed};
use pinindex::contents::{self, Contents};
use pinindex::logbook::{self, Snapshot};
use pinindex::seal::{Digest, NotProved, Proof, SealInHistory, Which, number_of, tree};
use run::run;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;
use tempfile::TempDir;

/// The day before the demo's hospital seals October.
const BEFORE: &str = "2026-11-02T12:00:00+01:00";
const LATER: &str = "2026-11-03T12:00:00+01:00";

/// A small hospital with records of September and October 2026, of which September is sealed; made once.
static MADE: LazyLock<TempDir> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let output =
        program(BEFORE).current_dir(folder.path()).args(["demo", "d", "--machines", "1", "--months", "2"]).output();
    let output = output.unwrap();
    assert!(output.status.success(), "{output:?}");
    folder
});

fn program(now: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    command.env_clear().env("PATH", "/nonexistent").args(["--now", now]);
    command
}

/// A copy of the hospital's logbook.
struct Logbook {
    _folder: TempDir,
    root: PathBuf,
}

impl Logbook {
    fn new() -> Logbook {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("d");
        let copied = run(Command::new("cp").arg("-r").arg(MADE.path().join("d")).arg(&root), "");
        assert!(copied.status.success(), "{copied:?}");
        Logbook { _folder: folder, root }
    }

    /// A logbook with October sealed as well.
    fn sealed() -> Logbook {
        let logbook = Logbook::new();
        logbook.does(&["seal", "2026-10", "--by", &logbook.biomed()], 0);
        logbook
    }

    fn biomed(&self) -> String {
        let people = self.read().1.people;
        let biomed = people.iter().find(|(_, person)| person.role == pinindex::register::Role::Biomed);
        biomed.unwrap().0.clone()
    }

    fn read(&self) -> (Snapshot, Contents) {
        let snapshot = logbook::read_commit(&self.root, "HEAD").unwrap();
        let (contents, _) = contents::read(&snapshot, &mut |_| {});
        (snapshot, contents)
    }

    fn history(&self) -> Sealed {
        Sealed::open(&self.root, self.git(&["rev-parse", "HEAD"]).trim()).unwrap()
    }

    fn all(&self) -> Vec<SealInHistory> {
        self.history().all(&self.read().1).unwrap()
    }

    /// Returns the faults of all seals, each as its rule and what is said.
    fn faults(&self) -> Vec<String> {
        let faults = self.all().into_iter().flat_map(|seal| seal.problems);
        faults.map(|fault| format!("{}: {}; {}", fault.rule, fault.headline, fault.label)).collect()
    }

    fn output(&self, now: &str, arguments: &[&str]) -> Output {
        program(now).current_dir(&self.root).args(arguments).output().unwrap()
    }

    /// Runs a command and returns what it said on both.
    #[track_caller]
    fn does(&self, arguments: &[&str], status: i32) -> String {
        let output = self.output(LATER, arguments);
        let said = String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(status), "{arguments:?}: {said}");
        assert!(!said.contains("panicked"), "{said}");
        said
    }

    #[track_caller]
    fn refuses(&self, arguments: &[&str], what: &str, next: &str) {
        let before = self.git(&["rev-parse", "HEAD"]);
        let said = self.does(arguments, 2);
        assert!(said.contains(what) && said.contains(&format!("next step: {next}")), "{said}");
        assert_eq!(self.git(&["rev-parse", "HEAD"]), before);
    }

    #[track_caller]
    fn git(&self, arguments: &[&str]) -> String {
        let mut command = Command::new("git");
        for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("GIT_")) {
            command.env_remove(name);
        }
        command.envs([("GIT_CONFIG_GLOBAL", "/dev/null"), ("GIT_CONFIG_NOSYSTEM", "1"), ("LC_ALL", "C")]);
        command.envs([("GIT_AUTHOR_DATE", LATER), ("GIT_COMMITTER_DATE", LATER)]);
        command.args(["-c", "user.name=Somebody", "-c", "user.email=somebody@program.example"]);
        let output = run(command.arg("-C").arg(&self.root).args(arguments), "");
        assert!(output.status.success(), "git {arguments:?}: {output:?}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// Changes a file with an editor and commits it with git.
    fn tamper(&self, path: &str, change: impl Fn(&str) -> String) {
        let file = self.root.join(path);
        let text = std::fs::read_to_string(&file).unwrap();
        std::fs::write(&file, change(&text)).unwrap();
        self.git(&["commit", "-qam", "Tidy up"]);
    }

    /// Returns the paths of the records of a month.
    fn records(&self, month: &str) -> Vec<String> {
        let listed = self.git(&["ls-files", &format!("records/{}", month.replace('-', "/"))]);
        listed.lines().map(str::to_owned).collect()
    }
}

fn sha256sum(file: &Path) -> String {
    let output = run(Command::new("sha256sum").arg(file), "");
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()[..64].to_owned()
}

#[test]
fn a_month_is_sealed_in_a_commit_of_its_own_by_who_sealed_it() {
    let logbook = Logbook::new();
    let (id, before) = (logbook.biomed(), logbook.git(&["rev-parse", "HEAD"]));
    let said = logbook.does(&["seal", "2026-10", "--by", &id], 0);
    assert!(said.contains("Now print the report of the month and keep it outside this computer"), "{said}");
    let file = logbook.root.join("seals/2026-10.yaml");
    let number = sha256sum(&file);
    assert!(said.replace(' ', "").contains(&format!("number{number}")), "{said}");
    let seal = std::fs::read_to_string(&file).unwrap();
    assert!(seal.contains(&format!("commit: {}", before.trim())), "{seal}");
    assert!(seal.contains(&format!("  sha256: {}\n", sha256sum(&logbook.root.join("seals/2026-09.yaml")))), "{seal}");
    assert!(seal.contains(&format!("records: {}\n", logbook.records("2026-10").len())), "{seal}");
    let everything =
        ["site.yaml", "people.yaml", "machines", "procedures", "calendar", "records", "seals/2026-09.yaml"];
    let everything = logbook.git(&[&["ls-files"], &everything[..]].concat()).lines().count();
    assert!(seal.contains(&format!("files: {everything}\n")), "{everything}: {seal}");
    let email = &logbook.read().1.people[&id].email;
    let log = logbook.git(&["log", "-1", "--format=%ae %ce %cI", "--name-status"]);
    assert_eq!(log.split_whitespace().collect::<Vec<_>>(), [email, email, LATER, "A", "seals/2026-10.yaml"]);
    assert_eq!(logbook.git(&["status", "--porcelain"]), "");
    logbook.git(&["fsck", "--strict"]);
    assert_eq!(logbook.faults(), [""; 0]);
    assert_eq!(logbook.all().len(), 2);
    assert_eq!(logbook.does(&["validate", "seals"], 0).lines().next(), Some("0 records: no problems, 0 findings"));
}

#[test]
fn what_cannot_be_sealed_is_refused_with_a_next_step() {
    let logbook = Logbook::new();
    let id = logbook.biomed();
    let seal = |months: &'static str| ["seal", months, "--by", id.as_str()].map(str::to_owned);
    let refuses = |months, what: &str, next: &str| {
        let arguments = seal(months);
        logbook.refuses(&arguments.each_ref().map(String::as_str), what, next);
    };
    refuses("2026-11", "November 2026 is not over", "seal it on 2026-12-01 or later");
    refuses("2026-10..2026-11", "November 2026 is not over", "seal it on 2026-12-01 or later");
    refuses("2026-09", "September 2026 is sealed already", "its number is");
    refuses("2026-08", "August 2026 comes before the first month", "its records are covered by every seal");
    for wrong in ["october", "2026-10..2026-09", "2026", ""] {
        refuses(wrong, "is not a month", "write a month, or a first and a last one");
    }
    logbook.refuses(&["seal", "2026-10"], "needs the name of who answers", "run `pinindex seal 2026-10 --by ");
    logbook.refuses(&["seal", "2026-10", "--by", "nobody"], "there is no `nobody`", "run `pinindex seal 2026-10 --by ");
    let path = &logbook.records("2026-10")[0];
    std::fs::write(logbook.root.join(path), "edited").unwrap();
    refuses("2026-10", path, "take new records in with `pinindex record`");
    logbook.git(&["checkout", "-q", "HEAD", "--", path]);
    std::fs::write(logbook.root.join("records/2026/10/05/070000-x.check.yaml"), "record: check").unwrap();
    refuses("2026-10", "records/2026/10/05/070000-x.check.yaml", "take new records in with `pinindex record`");
    std::fs::remove_file(logbook.root.join("records/2026/10/05/070000-x.check.yaml")).unwrap();
    logbook.does(&["seal", "2026-10", "--by", &id], 0);
}

#[test]
fn a_gap_names_the_months_to_seal_first_and_a_span_is_a_chain() {
    let logbook = Logbook::new();
    let id = logbook.biomed();
    let output = logbook.output("2027-02-03T12:00:00+01:00", &["seal", "2027-01", "--by", &id]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("January 2027 follows no sealed month"), "{said}");
    assert!(said.contains("`pinindex seal 2026-10..2027-01`"), "{said}");
    let output = logbook.output("2027-02-03T12:00:00+01:00", &["seal", "2026-10..2027-01", "--by", &id]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("sealed December 2026: 0 records of the month"), "{said}");
    assert_eq!(logbook.git(&["log", "--format=%s", "-4"]).lines().filter(|line| line.starts_with("Seal ")).count(), 4);
    assert_eq!(logbook.faults(), [""; 0]);
    assert_eq!(logbook.all().len(), 5);
}

#[test]
fn a_late_record_is_told_and_the_next_seal_covers_it() {
    let logbook = Logbook::sealed();
    let record = logbook.records("2026-09").into_iter().find(|path| path.ends_with(".check.yaml")).unwrap();
    let other = logbook::RecordName { ordinal: 9, ..logbook::parse_record_path(&record).unwrap() }.path();
    let late = logbook.root.join(&other);
    std::fs::create_dir_all(late.parent().unwrap()).unwrap();
    std::fs::copy(logbook.root.join(&record), &late).unwrap();
    logbook.git(&["add", "-A"]);
    logbook.git(&["commit", "-qm", "A record that came late"]);
    assert_eq!(logbook.faults(), [""; 0]);
    assert_eq!(logbook.all()[0].late.as_deref(), Some(&[other.clone()][..]));
    assert_eq!(logbook.all()[1].late.as_deref(), Some(&[][..]));
    let contents = logbook.read().1;
    let complaint = logbook.history().prove(&other, &contents).unwrap_err().to_string();
    assert!(complaint.contains("is covered by no seal yet"), "{complaint}");
    let output = logbook.output("2026-12-02T12:00:00+01:00", &["seal", "2026-11", "--by", &logbook.biomed()]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("1 record of earlier months came after their seals; this seal covers them"), "{said}");
    let proof = logbook.history().prove(&other, &logbook.read().1).unwrap();
    assert_eq!((proof.seal.to_string().as_str(), proof.tree), ("2026-11", Which::Logbook));
}

#[test]
fn a_changed_record_breaks_its_seal_and_no_further_month_is_sealed() {
    let logbook = Logbook::new();
    let path = logbook.records("2026-09")[1].clone();
    logbook.tamper(&path, |text| format!("{text}remarks: all was well\n"));
    let faults = logbook.faults();
    let expected = format!("seal-broken: 1 file that the seal of September 2026 covers is not what it was; {path}");
    assert_eq!(faults, [expected]);
    let said = logbook.does(&["seal", "2026-10", "--by", &logbook.biomed()], 1);
    assert!(said.contains("problem[seal-broken]") && said.contains("nothing was sealed"), "{said}");
    assert!(!logbook.root.join("seals/2026-10.yaml").exists());
    // The sealed text comes back by the line that is shown.
    let line = said.lines().find(|line| line.contains("git checkout")).unwrap().trim().to_owned();
    let words: Vec<&str> = line.trim_start_matches("git ").split(' ').collect();
    logbook.git(&words);
    logbook.git(&["commit", "-qam", "Bring it back"]);
    assert_eq!(logbook.faults(), [""; 0]);
}

#[test]
fn a_changed_seal_breaks_and_leaves_the_chain() {
    let logbook = Logbook::sealed();
    logbook.tamper("seals/2026-09.yaml", |text| text.replace("records: ", "records: 1"));
    let faults = logbook.faults();
    assert!(
        faults.iter().any(|fault| fault.starts_with("seal-broken: seal of September 2026 does not fit")),
        "{faults:?}"
    );
    assert!(
        faults.iter().any(|fault| fault.starts_with("seal-out-of-chain: seal of October 2026 names another")),
        "{faults:?}"
    );
    let logbook = Logbook::sealed();
    logbook.git(&["rm", "-q", "seals/2026-09.yaml"]);
    logbook.git(&["commit", "-qm", "Tidy up"]);
    let faults = logbook.faults();
    assert!(faults.iter().any(|fault| fault.starts_with("seal-out-of-chain")), "{faults:?}");
    let logbook = Logbook::sealed();
    logbook.tamper("seals/2026-09.yaml", |_| "seal: nonsense\n".to_owned());
    let contents = logbook.read().1;
    assert_eq!(sealed::unreadable(&contents)[0].rule, "seal-broken");
    assert!(logbook.does(&["validate", "seals"], 1).contains("seals/2026-09.yaml"));
}

#[test]
fn a_rewritten_history_is_told_with_what_became_of_the_records() {
    let logbook = Logbook::sealed();
    // The same files in other commits: what a rebase leaves.
    let tree = |rev: &str| logbook.git(&["rev-parse", &format!("{rev}^{{tree}}")]).trim().to_owned();
    let one = logbook.git(&["commit-tree", &tree("HEAD~1"), "-m", "Everything"]);
    let two = logbook.git(&["commit-tree", &tree("HEAD"), "-p", one.trim(), "-m", "Seal"]);
    logbook.git(&["reset", "-q", "--hard", two.trim()]);
    let faults = logbook.faults();
    assert_eq!(faults.len(), 2, "{faults:?}");
    assert!(faults.iter().all(|fault| fault.starts_with("history-rewritten: ")), "{faults:?}");
    assert!(faults[1].ends_with("all files it covers are in the history as they were, and no record changed since"));
    assert!(faults[0].ends_with("the records of September 2026 are still the same"), "{}", faults[0]);
    let path = logbook.records("2026-10")[0].clone();
    logbook.tamper(&path, |text| format!("{text}remarks: all was well\n"));
    let faults = logbook.faults();
    assert!(faults[1].ends_with("are not, or others came after it"), "{}", faults[1]);
}

#[test]
fn a_seal_is_found_by_its_digits_by_its_code_and_by_a_kept_copy() {
    let logbook = Logbook::sealed();
    let (snapshot, contents) = logbook.read();
    let path = "seals/2026-10.yaml";
    let number: Digest = sha256sum(&logbook.root.join(path)).parse().unwrap();
    for text in [number.to_string(), number.short(), format!("pinindex seal 2026-10 sha256:{number}")] {
        let found = sealed::named(&text, &contents).unwrap().unwrap();
        assert_eq!(found.seal.seal.to_string(), "2026-10", "{text}");
    }
    let complaint = sealed::named("1234", &contents).unwrap_err().to_string();
    assert!(complaint.contains("this is not the number of a seal"), "{complaint}");
    for text in ["0123456789abcdef", &format!("pinindex seal 2026-09 sha256:{number}")] {
        assert!(sealed::named(text, &contents).unwrap().is_none(), "{text}");
    }
    let bytes = snapshot.bytes(path).unwrap();
    let mut history = logbook.history();
    let copy = history.copy("copy.yaml", bytes, &contents).unwrap().unwrap();
    assert!(copy.is_ours() && copy.copy.problems.is_empty());
    let checkout = String::from_utf8_lossy(bytes).replace('\n', "\r\n");
    assert!(history.copy("copy.yaml", checkout.as_bytes(), &contents).unwrap().unwrap().is_ours());
    let forged = String::from_utf8_lossy(bytes).replace("records: ", "records: 1");
    let copy = history.copy("copy.yaml", forged.as_bytes(), &contents).unwrap().unwrap();
    assert!(!copy.is_ours() && copy.copy.problems[0].rule == "seal-broken");
    assert!(!history.copy("copy.yaml", b"nothing: here", &contents).unwrap().unwrap_err().is_empty());
}

#[test]
fn a_span_that_fails_half_way_tells_its_numbers_and_goes_on_when_run_again() {
    let logbook = Logbook::new();
    let arguments = ["seal", "2026-09..2026-12", "--by", &logbook.biomed()];
    let later = "2027-02-03T12:00:00+01:00";
    std::fs::create_dir(logbook.root.join("seals/2026-11.yaml")).unwrap();
    let output = logbook.output(later, &arguments);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    let said = String::from_utf8(output.stdout).unwrap();
    let number: Digest = sha256sum(&logbook.root.join("seals/2026-10.yaml")).parse().unwrap();
    assert!(said.contains("September 2026 is sealed already\n  number "), "{said}");
    assert!(said.contains("sealed October 2026: ") && said.contains(&number.in_groups()), "{said}");
    assert!(
        said.contains("not sealed: 2026-11..2026-12; what is sealed stays so, and the same command goes on"),
        "{said}"
    );
    assert!(!said.contains("Now print the report"), "{said}");

    std::fs::remove_dir(logbook.root.join("seals/2026-11.yaml")).unwrap();
    let output = logbook.output(later, &arguments);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains(&format!("October 2026 is sealed already\n  number {}", number.in_groups())), "{said}");
    assert!(said.contains("sealed November 2026: ") && said.contains("sealed December 2026: "), "{said}");
    assert_eq!(logbook.faults(), [""; 0]);
    assert_eq!(logbook.all().len(), 4);
}

#[test]
fn a_seal_that_says_another_day_or_person_is_told_and_not_repeated() {
    let logbook = Logbook::sealed();
    let (people, biomed) = (logbook.read().1.people, logbook.biomed());
    let (other, name) = people.iter().find(|(id, _)| **id != biomed).map(|(id, person)| (id, &person.name)).unwrap();
    let file = logbook.root.join("seals/2026-10.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    let sealed = text.lines().find(|line| line.starts_with("sealed: ")).unwrap();
    let text = text.replace(sealed, "sealed: \"2026-10-15T08:00:00+02:00\"");
    std::fs::write(&file, text.replace(&format!("by: {biomed}"), &format!("by: {other}"))).unwrap();
    logbook.git(&["commit", "-q", "--amend", "-a", "--no-edit"]);

    let faults = logbook.faults();
    let told = [
        "before the commit that it covers",
        "before the month was over",
        "before its commit",
        "and its commit is by another author",
    ];
    assert_eq!(faults.len(), told.len(), "{faults:#?}");
    for (fault, words) in faults.iter().zip(told) {
        assert!(fault.starts_with("seal-made-otherwise: ") && fault.contains(words), "{fault}");
    }
    assert!(logbook.does(&["audit"], 1).contains("problem[seal-made-otherwise]"));
    let number: Digest = sha256sum(&file).parse().unwrap();
    let said = logbook.does(&["audit", "--seal", &number.to_string()], 1);
    let true_name = &people[&biomed].name;
    assert!(said.contains(&format!("committed 2026-11-03 12:00 by {true_name}, which is not what it says")), "{said}");
    assert!(!said.contains("2026-10-15 08:00") && !said.contains(&format!("by {name}")), "{said}");
    logbook.does(&["report", "2026-10", "--format", "md", "--output", "out"], 0);
    let page = std::fs::read_to_string(logbook.root.join("out/2026-10.md")).unwrap();
    assert!(page.contains("This seal does not hold.") && page.contains(", not as it says"), "{page}");
    assert!(!page.contains("sealed 2026-10-15"), "{page}");
    // It can never be put right, and must not keep the next month open.
    let output = logbook.output("2026-12-02T12:00:00+01:00", &["seal", "2026-11", "--by", &biomed]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
}

#[test]
fn a_seal_made_before_somebody_got_another_address_stays_theirs() {
    let logbook = Logbook::sealed();
    let email = logbook.read().1.people[&logbook.biomed()].email.clone();
    logbook.tamper("people.yaml", |text| text.replace(&email, "another@hollerbruck.example"));
    assert_eq!(logbook.faults(), [""; 0]);
}

#[test]
fn sealed_records_that_do_not_count_any_more_are_told() {
    let logbook = Logbook::sealed();
    let record = logbook.records("2026-10")[3].clone();
    let outside = tempfile::tempdir().unwrap();
    let proof = outside.path().join("proof.json").display().to_string();
    logbook.does(&["audit", "--proof", &record, "--output", &proof], 0);
    let number = sha256sum(&logbook.root.join("seals/2026-10.yaml"));
    let without = logbook.does(&["audit", "--seal", &number], 0);
    assert!(!without.contains("declared void since"), "{without}");
    let biomed = logbook.biomed();
    logbook.does(&["void", &record, "--because", "written for another machine", "--by", &biomed], 0);

    let name = &logbook.read().1.people[&biomed].name;
    let said = logbook.does(&["audit", "--check-proof", &proof], 0);
    let line = said.lines().nth(1).unwrap();
    assert!(line.starts_with("it no longer counts: void by records/2026/11/03/"), "{said}");
    assert!(line.ends_with(&format!(".void.yaml, 2026-11-03, {name}")), "{said}");
    let said = logbook.does(&["audit", "--seal", &number], 0);
    assert!(said.contains(&format!("1 sealed record corrected or declared void since: {record}\n")), "{said}");
    logbook.does(&["report", "2026-10", "--format", "md", "--output", "out"], 0);
    let page = std::fs::read_to_string(logbook.root.join("out/2026-10.md")).unwrap();
    let line = format!("Corrected or declared void since October 2026 was sealed, 1 record: {record}.");
    assert!(page.contains(&line), "{page}");
}

#[test]
fn line_ends_of_another_system_are_no_alteration() {
    let logbook = Logbook::sealed();
    let record = logbook.records("2026-10")[3].clone();
    let outside = tempfile::tempdir().unwrap();
    let proof = outside.path().join("proof.json").display().to_string();
    logbook.does(&["audit", "--proof", &record, "--output", &proof], 0);
    let file = logbook.root.join(&record);
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text.replace('\n', "\r\n")).unwrap();
    assert!(logbook.does(&["audit", "--check-proof", &proof], 0).starts_with("proved: "));
    assert!(logbook.does(&["record", &record], 0).contains(&format!("already recorded: {record}")));
    std::fs::write(&file, text.replace('\n', "\r\n").replacen("\r\n", "\r\n\r\n", 1)).unwrap();
    assert!(logbook.does(&["audit", "--check-proof", &proof], 1).contains("problem[record-altered]"));
    assert!(logbook.does(&["record", &record], 2).contains("was changed after it was recorded"));
}

#[test]
fn what_was_broken_before_is_not_told_since() {
    let logbook = Logbook::sealed();
    let [first, second] = [3, 4].map(|at| logbook.records("2026-10")[at].clone());
    logbook.tamper(&first, |text| format!("{text}remarks: all was well\n"));
    let known = logbook.git(&["rev-parse", "HEAD"]).trim().to_owned();
    let broken = "problem[seal-broken]";
    assert!(logbook.does(&["audit"], 1).contains(broken));
    let said = logbook.does(&["audit", "--since", &known], 0);
    assert!(said.contains("no problems"), "{said}");
    logbook.tamper(&second, |text| format!("{text}remarks: all was well\n"));
    let said = logbook.does(&["audit", "--since", &known], 1);
    assert!(said.contains(broken) && said.contains(&second), "{said}");
}

#[test]
fn a_record_of_another_offset_comes_after_the_seal_of_its_month_at_the_site() {
    let logbook = Logbook::sealed();
    let path = "records/2026/11/01/045200-theatre-1.check.yaml";
    let record = logbook.records("2026-10").into_iter().rfind(|path| path.ends_with(".check.yaml")).unwrap();
    let text = std::fs::read_to_string(logbook.root.join(&record)).unwrap();
    let line = |field: &str| text.lines().find(|line| line.starts_with(field)).unwrap();
    let text = text
        .replace(line("started: "), "started: \"2026-11-01T04:42:00+14:00\"")
        .replace(line("finished: "), "finished: \"2026-11-01T04:52:00+14:00\"")
        .replace(line("recorded: "), "recorded: \"2026-10-31T15:53:00+01:00\"");
    std::fs::write(logbook.root.join("inbox.yaml"), &text).unwrap();
    let said = logbook.does(&["record", "inbox.yaml"], 1);
    assert!(said.contains("problem[offset-not-at-site]"), "{said}");
    assert!(said.contains("finished: \"2026-10-31T15:52:00+01:00\"") && said.contains("1 file refused"), "{said}");
    std::fs::remove_file(logbook.root.join("inbox.yaml")).unwrap();

    std::fs::create_dir_all(logbook.root.join(path).parent().unwrap()).unwrap();
    std::fs::write(logbook.root.join(path), text).unwrap();
    logbook.git(&["add", "-A"]);
    logbook.git(&["commit", "-qm", "A record of another clock"]);
    assert!(logbook.does(&["validate", path], 0).contains("finding[offset-not-at-site]"));
    let all = logbook.all();
    assert_eq!(all[1].late.as_deref(), Some(&[path.to_owned()][..]));
    assert_eq!(all[0].late.as_deref(), Some(&[][..]));
}

/// The script of the README and what it is given.
struct Auditor {
    folder: TempDir,
}

impl Auditor {
    fn new() -> Auditor {
        let readme = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
        let script = readme.split("```python\n").nth(1).expect("the README has a script").split("```").next().unwrap();
        assert!(script.lines().count() <= 15, "{script}");
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("proved.py"), script).unwrap();
        Auditor { folder }
    }

    fn proves(&self, record: &[u8], proof: &Value, seal: &[u8], number: &str) -> bool {
        let files = [("record", record.to_vec()), ("proof", proof.to_string().into_bytes()), ("seal", seal.to_vec())];
        for (name, content) in &files {
            std::fs::write(self.folder.path().join(name), content).unwrap();
        }
        let python = std::env::var("PININDEX_PYTHON").unwrap_or_else(|_| "python3".to_owned());
        let arguments = ["-I", "proved.py", "record", "proof", "seal", number];
        let output = run(Command::new(python).current_dir(self.folder.path()).args(arguments), "");
        let said = String::from_utf8_lossy(&[&output.stdout[..], &output.stderr[..]].concat()).into_owned();
        assert!(said.starts_with("proved: ") == output.status.success(), "{said}");
        assert!(output.status.success() || said.contains("NOT proved: ") || said.contains("KeyError"), "{said}");
        output.status.success()
    }
}

#[test]
fn ten_lines_of_python_prove_a_record_and_nothing_that_was_tampered_with() {
    let logbook = Logbook::sealed();
    let (snapshot, contents) = logbook.read();
    let auditor = Auditor::new();
    for (path, tree) in [(logbook.records("2026-10")[7].as_str(), "month"), ("machines/theatre-1.yaml", "logbook")] {
        let path = path.to_owned();
        let proof = logbook.history().prove(&path, &contents).unwrap();
        let (numbered, read, proved) = sealed::check_proof(proof.text().as_bytes(), &snapshot, &contents).unwrap();
        assert_eq!((read, proved), (proof.clone(), Ok(())));
        let record = snapshot.bytes(&path).unwrap();
        let seal = snapshot.bytes(&numbered.seal.seal.seal_path()).unwrap();
        let page = numbered.number.in_groups();
        let proof: Value = serde_json::from_str(&proof.text()).unwrap();
        assert_eq!(proof["tree"], tree);
        assert!(auditor.proves(record, &proof, seal, &page), "{path}");
        assert!(auditor.proves(record, &proof, String::from_utf8_lossy(seal).replace('\n', "\r\n").as_bytes(), &page));

        let changed = |change: &dyn Fn(&mut Value)| {
            let mut proof = proof.clone();
            change(&mut proof);
            proof
        };
        let other_side = |side: &Value| json!(if side == "left" { "right" } else { "left" });
        let tampered = [
            changed(&|p| p["path"] = json!(format!("{path}x"))),
            changed(&|p| p["siblings"][1]["sha256"] = json!("00".repeat(32))),
            changed(&|p| p["siblings"][0]["side"] = other_side(&p["siblings"][0]["side"])),
            changed(&|p| drop(p["siblings"].as_array_mut().unwrap().pop())),
            changed(&|p| p["siblings"].as_array_mut().unwrap().reverse()),
            changed(&|p| {
                p["siblings"].as_array_mut().unwrap().push(json!({"side": "left", "sha256": "11".repeat(32)}))
            }),
            changed(&|p| p["size"] = json!(p["size"].as_u64().unwrap() + 1)),
            changed(&|p| p["tree"] = json!(if p["tree"] == "month" { "logbook" } else { "month" })),
            changed(&|p| p["tree"] = json!("before")),
        ];
        for (at, proof) in tampered.iter().enumerate() {
            assert!(!auditor.proves(record, proof, seal, &page), "tampered proof {at}");
            // The program says the same, and why.
            let ours = sealed::check_proof(proof.to_string().as_bytes(), &snapshot, &contents);
            assert!(!matches!(ours, Ok((_, _, Ok(())))), "tampered proof {at}");
        }
        let mut edited = record.to_vec();
        edited[10] ^= 1;
        assert!(!auditor.proves(&edited, &proof, seal, &page), "an edited record");
        let forged = String::from_utf8_lossy(seal).replace("by: ", "by: x-");
        assert!(!auditor.proves(record, &proof, forged.as_bytes(), &page), "an edited seal");
        let forged_number = number_of(forged.as_bytes());
        assert!(!auditor.proves(record, &proof, seal, &forged_number.in_groups()), "another page");
        assert!(!auditor.proves(record, &proof, seal, &numbered.number.short()), "half a number");
        let before = snapshot.bytes("seals/2026-10.yaml").unwrap();
        let before = if before == seal { snapshot.bytes("seals/2026-09.yaml").unwrap() } else { before };
        assert!(!auditor.proves(record, &proof, before, &number_of(before).in_groups()), "the seal of another month");
    }
}

#[test]
fn the_audit_finds_a_seal_holds_a_copy_and_makes_and_checks_proofs() {
    let logbook = Logbook::sealed();
    let number: Digest = sha256sum(&logbook.root.join("seals/2026-10.yaml")).parse().unwrap();
    for text in [number.short(), format!("pinindex seal 2026-10 sha256:{number}")] {
        let said = logbook.does(&["audit", "--seal", &text], 0);
        assert!(said.contains("seal of October 2026, sealed 2026-11-03 12:00 by "), "{said}");
        assert!(
            said.contains(&number.in_groups())
                && said.contains("it holds: the records that it covers are in the history as they were sealed;")
        );
    }
    let said = logbook.does(&["audit", "--seal", "0123456789abcdef"], 1);
    assert!(said.contains("problem[seal-broken]: no seal of this logbook has this number"), "{said}");
    logbook.refuses(&["audit", "--seal", "1234"], "this is not the number of a seal", "type at least the first 16");
    let outside = tempfile::tempdir().unwrap();
    let [copy, proof] = ["copy.yaml", "proof.json"].map(|name| outside.path().join(name).display().to_string());
    std::fs::copy(logbook.root.join("seals/2026-10.yaml"), &copy).unwrap();
    let said = logbook.does(&["audit", "--seal-file", &copy], 0);
    assert!(
        said.starts_with("seal of October 2026, sealed 2026-11-03 12:00 by ") && said.contains("it holds: "),
        "{said}"
    );
    let record = logbook.records("2026-10")[3].clone();
    let said = logbook.does(&["audit", "--proof", &record, "--output", &proof], 0);
    assert!(said.contains("is part of the seal of October 2026"), "{said}");
    logbook.refuses(&["audit", "--proof", &record, "--output", &proof], "is there already", "name a file that is not");
    let said = logbook.does(&["audit", "--check-proof", &proof], 0);
    assert!(said.starts_with(&format!("proved: {record} is part")) && said.contains(&number.in_groups()), "{said}");
    logbook.refuses(
        &["audit", "--check-proof", &copy],
        "this is not a proof",
        "give the file that the proof was written to",
    );

    std::fs::write(&copy, std::fs::read_to_string(&copy).unwrap().replace("records: ", "records: 1")).unwrap();
    let said = logbook.does(&["audit", "--seal-file", &copy], 1);
    assert!(said.contains("problem[seal-broken]: logbook has another seal of October 2026"), "{said}");
    std::fs::write(&copy, "nothing: here").unwrap();
    assert!(logbook.does(&["audit", "--seal-file", &copy], 1).contains("copy.yaml:1:1"));
    assert_eq!(logbook.git(&["status", "--porcelain"]), "");
    logbook.tamper(&record, |text| format!("{text}remarks: all was well\n"));
    let said = logbook.does(&["audit", "--check-proof", &proof], 1);
    assert!(said.contains("problem[seal-broken]: proof does not hold: the file is not what was sealed"), "{said}");
    assert!(logbook.does(&["audit", "--seal", &number.to_string()], 1).ends_with("it does not hold\n"));
    assert!(logbook.does(&["audit"], 1).contains("problem[seal-broken]: 1 file that the seal of October 2026 covers"));
}

#[test]
fn a_proof_of_what_is_not_there_is_refused_in_words() {
    let logbook = Logbook::sealed();
    let (snapshot, contents) = logbook.read();
    let mut history = logbook.history();
    let complaint = history.prove("records/2026/10/05/nothing.yaml", &contents).unwrap_err().to_string();
    assert!(complaint.contains("is not in the history of this logbook"), "{complaint}");
    let proof = history.prove("site.yaml", &contents).unwrap();
    let complains = |text: &str| sealed::check_proof(text.as_bytes(), &snapshot, &contents).unwrap_err().to_string();
    assert!(complains("{}").contains("this is not a proof: missing field"));
    assert!(complains("not json").contains("this is not a proof"));
    let elsewhere = |proof: Proof| complains(&proof.text());
    assert!(elsewhere(Proof { path: "sites.yaml".to_owned(), ..proof.clone() }).contains("no file `sites.yaml`"));
    assert!(elsewhere(Proof { seal: proof.seal.previous(), ..proof.clone() }).contains("no seal of August 2026"));
    let other = Proof { path: "people.yaml".to_owned(), ..proof };
    let (_, _, proved) = sealed::check_proof(other.text().as_bytes(), &snapshot, &contents).unwrap();
    assert_eq!(proved, Err(NotProved::OtherFile));
}

/// Trees of many sizes, worked out by another program from the text of the standard.
#[test]
fn another_language_has_the_same_trees_and_paths() {
    let sizes = (0..=70).chain([127, 128, 129, 255, 256, 257, 1000]);
    let leaf = |at: usize| format!("leaf {at} {}", "x".repeat(at % 70)).into_bytes();
    let hex = |bytes: &[u8]| bytes.iter().map(|byte| format!("{byte:02x}")).collect::<String>();
    let places =
        |size: usize| [0, 1, size / 3, size / 2, size.saturating_sub(1)].into_iter().filter(move |at| *at < size);
    let sizes: Vec<usize> = sizes.collect();
    let questions: Vec<Value> = sizes
        .iter()
        .map(|size| {
            let leaves: Vec<String> = (0..*size).map(|at| hex(&leaf(at))).collect();
            json!({"leaves": leaves, "places": places(*size).collect::<Vec<_>>()})
        })
        .collect();
    let mut paths = 0;
    for (size, answer) in sizes.iter().zip(python::ask("trees.py", &questions)) {
        let leaves: Vec<Digest> = (0..*size).map(|at| tree::leaf(&[&leaf(at)])).collect();
        assert_eq!(answer["root"], tree::root(&leaves).to_string(), "{size} leaves");
        for (place, theirs) in places(*size).zip(answer["paths"].as_array().unwrap()) {
            let sides = tree::sides(place, *size).unwrap();
            let ours = sides.iter().zip(tree::path(&leaves, place).unwrap());
            let ours: Vec<Value> =
                ours.map(|(left, hash)| json!([if *left { "left" } else { "right" }, hash.to_string()])).collect();
            assert_eq!(theirs, &json!(ours), "place {place} of {size}");
            paths += 1;
        }
    }
    assert!(paths > 300, "only {paths} paths");
}
