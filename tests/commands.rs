//! The program as it is built, run as a person runs it, and the real git program as the judge of what it leaves behind.
//!
//! The program itself is always run with no other program on PATH and with no settings of git in its surroundings. Every
//! test ends each command with the same question: is git content? A machine without git cannot pass these tests.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test starts programs, reads files, and stops at what it did not expect"
)]

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

const NOW: &str = "2026-11-25T12:00:00Z";

/// What came of a command.
struct Done {
    status: i32,
    out: String,
    err: String,
}

impl Done {
    fn read(output: Output) -> Done {
        Done {
            status: output.status.code().expect("the program must end by itself"),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    #[track_caller]
    fn is(self, status: i32) -> Done {
        assert_eq!(self.status, status, "\n{}\n{}", self.out, self.err);
        for text in [&self.out, &self.err] {
            assert!(!text.contains('\u{1b}'), "escape codes on a pipe: {text:?}");
            assert!(!text.contains("panicked"), "{text}");
        }
        self
    }

    #[track_caller]
    fn says(self, words: &str) -> Done {
        assert!(self.out.contains(words), "`{words}` is not in\n{}\n{}", self.out, self.err);
        self
    }

    #[track_caller]
    fn complains(self, words: &str) -> Done {
        assert!(self.err.contains(words), "`{words}` is not in\n{}\n{}", self.err, self.out);
        self
    }

    #[track_caller]
    fn fails(self, words: &str) -> Done {
        let done = self.is(2).complains(words).complains("next step: ");
        assert!(done.err.lines().any(|line| line.starts_with("pinindex: ")), "{}", done.err);
        done
    }
}

/// The program in a folder: nothing else on PATH, no settings, a fixed moment.
fn program(folder: &Path) -> Command {
    program_at(folder, NOW)
}

fn program_at(folder: &Path, now: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    command.current_dir(folder).env_clear().env("PATH", "/nonexistent").args(["--now", now]);
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Done {
    Done::read(program(folder).args(arguments).output().unwrap())
}

fn git(root: &Path, arguments: &[&str]) -> String {
    let mut command = Command::new("git");
    command.arg("-C").arg(root).args(arguments);
    for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_string_lossy().starts_with("GIT_")) {
        command.env_remove(name);
    }
    command.envs([("GIT_CONFIG_GLOBAL", "/dev/null"), ("GIT_CONFIG_NOSYSTEM", "1"), ("LC_ALL", "C")]);
    // What git itself commits must not depend on the day on which the tests run.
    command.envs([("GIT_AUTHOR_DATE", NOW), ("GIT_COMMITTER_DATE", NOW)]);
    let output = command.output().expect("the git program must be installed");
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "git {arguments:?}: {stderr}");
    assert!(stderr.is_empty(), "git {arguments:?}: {stderr}");
    String::from_utf8(output.stdout).unwrap()
}

/// A logbook as `pinindex init` makes it, and an inbox beside it.
struct Hospital {
    folder: TempDir,
}

impl Hospital {
    fn new() -> Hospital {
        let hospital = Hospital { folder: tempfile::tempdir().unwrap() };
        run(hospital.folder.path(), &["init", "logbook"]).is(0).says("An empty logbook is in logbook.");
        fs::create_dir(hospital.inbox()).unwrap();
        hospital.in_order();
        hospital
    }

    fn root(&self) -> PathBuf {
        self.folder.path().join("logbook")
    }

    fn inbox(&self) -> PathBuf {
        self.folder.path().join("inbox")
    }

    /// Runs a command in the logbook's folder.
    fn run(&self, arguments: &[&str]) -> Done {
        run(&self.root(), arguments)
    }

    /// Runs a command in the logbook's folder, after which git must find everything in order and nothing uncommitted.
    #[track_caller]
    fn tidy(&self, arguments: &[&str]) -> Done {
        let done = self.run(arguments);
        self.in_order();
        done
    }

    #[track_caller]
    fn in_order(&self) {
        assert_eq!(self.git(&["status", "--porcelain"]), "");
        self.sound();
    }

    #[track_caller]
    fn sound(&self) {
        assert_eq!(self.git(&["fsck", "--full", "--strict", "--no-progress"]), "");
        assert_eq!(self.git(&["write-tree"]), self.git(&["rev-parse", "HEAD^{tree}"]));
        for leftover in ["index.lock", "pinindex.pending", "HEAD.lock", "refs/heads/main.lock"] {
            assert!(!self.root().join(".git").join(leftover).exists(), "{leftover} was left behind");
        }
    }

    fn git(&self, arguments: &[&str]) -> String {
        git(&self.root(), arguments)
    }

    /// Commits everything in the folder with git itself, as somebody without this program would.
    fn commit_otherwise(&self) {
        self.git(&["add", "--all"]);
        let name = ["-c", "user.name=Somebody", "-c", "user.email=somebody@hospital.example"];
        self.git(&[&name[..], &["commit", "--quiet", "--message", "by another program"]].concat());
    }

    fn commits(&self) -> usize {
        self.git(&["rev-list", "--count", "HEAD"]).trim().parse().unwrap()
    }

    fn put(&self, path: &str, text: &str) -> PathBuf {
        put(&self.root().join(path), text)
    }

    fn hand_in(&self, name: &str, text: &str) -> PathBuf {
        put(&self.inbox().join(name), text)
    }

    fn text(&self, path: &str) -> String {
        fs::read_to_string(self.root().join(path)).unwrap()
    }

    /// Changes a part of a file that is there.
    fn edit(&self, path: &str, from: &str, to: &str) {
        let text = self.text(path);
        assert!(text.contains(from), "`{from}` is not in {path}");
        self.put(path, &text.replacen(from, to, 1));
    }
}

fn put(place: &Path, text: &str) -> PathBuf {
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, text).unwrap();
    place.to_path_buf()
}

/// A short check of the example machine that ended at a time of the day and in which gas flowed, or did not.
fn check(finished: &str, gas_flow: &str) -> String {
    format!(
        "record: check
machine: theatre-1
procedure: each-patient
revision: 1
started: \"2026-11-25T07:40:00Z\"
finished: \"2026-11-25T{finished}Z\"
recorded: \"2026-11-25T{finished}Z\"
by: [a-provider]
results:
  suction: pass
  monitors: pass
  vaporizers-filled: {{sevoflurane: pass}}
  absorbent: {{choice: fresh}}
  circuit-complete: pass
  circuit-leak: {{from: 30 cmH2O, to: 30 cmH2O, in: 10 s}}
  gas-flow: {gas_flow}
  final-state: pass
  ready: pass
"
    )
}

const CHECK_PATH: &str = "records/2026/11/25/080500-theatre-1.check.yaml";
const FAULT_PATH: &str = "records/2026/11/25/080600-theatre-1.fault.yaml";

/// The fault that the check of 08:05:00 found.
fn fault(items: &str) -> String {
    format!(
        "record: fault
machine: theatre-1
found: \"2026-11-25T08:06:00Z\"
recorded: \"2026-11-25T08:07:30Z\"
by: [b-technician]
found-during:
  check: {CHECK_PATH}
  items: [{items}]
what: gas flows out and not back
use: withheld
"
    )
}

#[test]
fn a_new_logbook_has_no_faults_and_an_edited_file_is_kept() {
    let hospital = Hospital::new();
    hospital.tidy(&["validate"]).is(0).says("no problems");
    assert_eq!(hospital.git(&["log", "--format=%an %aI"]), format!("pinindex {NOW}\n"));
    hospital.edit("people.yaml", "First Example", "Ana Example");
    hospital
        .put("machines/theatre-2.yaml", &hospital.text("machines/theatre-1.yaml").replace("Theatre 1", "Theatre 2"));

    for command in [&["ready"][..], &["history", "theatre-1"], &["report", "2026-11", "--format", "md"]] {
        hospital.run(command).is(0).complains("2 files in the folder are not in the history and are not counted here;");
    }
    hospital.run(&["report", "2026-11", "--format", "md", "--commit", "HEAD"]).is(0);
    hospital
        .run(&["keep"])
        .fails("needs the name of who answers for this")
        .complains("a-provider, b-technician, c-biomed");
    hospital.run(&["keep", "--by", "ana"]).fails("there is no `ana` in `people.yaml`").complains("c-biomed");
    assert_eq!(hospital.commits(), 1);

    let done = hospital.tidy(&["keep", "--by", "a-provider"]).is(0);
    done.says("kept machines/theatre-2.yaml (new, commit ").says("kept people.yaml (changed, commit ");
    let log = hospital.git(&["log", "-1", "--format=%an|%ae|%aI|%cn|%cI|%s"]);
    assert_eq!(log, format!("Ana Example|first@hospital.example|{NOW}|Ana Example|{NOW}|Keep 2 changed files\n"));
    let blame = hospital.git(&["blame", "--line-porcelain", "people.yaml"]);
    assert_eq!(blame.matches("author Ana Example\n").count(), 1);
    let done = hospital.tidy(&["ready"]).is(0).says("theatre-2");
    assert_eq!(done.err, "");
    hospital.tidy(&["keep", "--by", "a-provider"]).is(0).says("Nothing to keep");
    assert_eq!(hospital.commits(), 2);
}

#[test]
fn only_the_named_files_are_kept() {
    let hospital = Hospital::new();
    hospital.edit("people.yaml", "First Example", "Ana Example");
    hospital.edit("site.yaml", "Name of your hospital", "Hill Hospital");
    hospital.put("README.md", "Ours.\n");
    // From another folder, by a path typed from there.
    run(&hospital.root().join("machines"), &["keep", "--by", "c-biomed", "../site.yaml"]).is(0).says("kept site.yaml");
    run(hospital.folder.path(), &["keep", "--by", "c-biomed", "--logbook", "logbook", "README.md"])
        .is(0)
        .says("kept README.md (changed");
    assert_eq!(hospital.git(&["status", "--porcelain"]), " M people.yaml\n");
    assert_eq!(hospital.git(&["log", "-2", "--format=%s"]), "Keep README.md (changed)\nKeep site.yaml (changed)\n");
    hospital.run(&["keep", "--by", "c-biomed", "machines"]).is(0).says("Nothing to keep");
    hospital.run(&["keep", "--by", "c-biomed", "peple.yaml"]).fails("no file or folder `peple.yaml`");
    hospital.run(&["keep", "--by", "c-biomed", "../inbox"]).fails("not one of the files");
    hospital.run(&["keep", "--by", "c-biomed", "records"]).fails("keeps no records").complains("pinindex record");
    hospital.tidy(&["keep", "--by", "c-biomed", "."]).is(0).says("kept people.yaml");
}

#[test]
fn the_examples_can_be_replaced_by_other_machines() {
    let hospital = Hospital::new();
    let machine = hospital.text("machines/theatre-1.yaml");
    fs::remove_file(hospital.root().join("machines/theatre-1.yaml")).unwrap();
    hospital.put("machines/room-a.yaml", &machine);
    hospital.edit("calendar/2026.yaml", "theatre-1:", "room-a:");
    hospital.run(&["ready"]).is(0).complains("1 file of the history is gone from the folder and still counts here");
    // The shipped procedures are in force already, and are there to be edited before the first record.
    hospital.edit("procedures/each-patient/1.yaml", "# approved-by: [", "approved-by: [");
    let done = hospital.tidy(&["keep", "--by", "c-biomed"]).is(0).says("kept machines/theatre-1.yaml (taken out,");
    done.says("kept machines/room-a.yaml (new,").says("kept procedures/each-patient/1.yaml (changed,");
    let names = hospital.git(&["ls-tree", "--name-only", "HEAD", "machines/"]);
    assert_eq!(names, "machines/room-a.yaml\n");
    hospital.tidy(&["validate"]).is(0);
}

#[test]
fn a_change_with_a_fault_is_refused_as_a_whole() {
    let hospital = Hospital::new();
    hospital.edit("people.yaml", "First Example", "Ana Example");
    hospital.edit("site.yaml", "Etc/UTC", "Nowhere/Town");
    let done = hospital.run(&["keep", "--by", "c-biomed"]).is(1).says("--> site.yaml:");
    done.says("problem[").says("1 problem; nothing was kept");
    let done = hospital.run(&["keep", "--by", "c-biomed", "--format", "json"]).is(1);
    assert_eq!(json_lines(&done.out), 1);
    assert_eq!(hospital.git(&["status", "--porcelain"]), " M people.yaml\n M site.yaml\n");
    assert_eq!(hospital.commits(), 1);
    hospital.sound();
    // The other file alone is good.
    hospital.run(&["keep", "--by", "c-biomed", "people.yaml"]).is(0);
    hospital.put("machines/notes.txt", "a note\n");
    hospital.run(&["keep", "--by", "c-biomed", "machines"]).is(1).says("stray-file");
    fs::remove_file(hospital.root().join("machines/notes.txt")).unwrap();
    hospital.edit("site.yaml", "Nowhere/Town", "Etc/UTC");
    fs::write(hospital.root().join("README.md"), b"\xff\xfe").unwrap();
    hospital.run(&["keep", "--by", "c-biomed"]).fails("`README.md` is not a plain text file");
    assert_eq!(hospital.commits(), 2);
}

#[test]
fn a_change_may_not_take_the_ground_from_under_a_record() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    hospital.edit("people.yaml", "a-provider:", "z-provider:");
    let done = hospital.run(&["keep", "--by", "c-biomed"]).is(1).says("problem[unknown-person]").says(CHECK_PATH);
    done.says("nothing was kept");
    assert_eq!(hospital.commits(), 2);
    hospital.edit("people.yaml", "z-provider:", "a-provider:");

    hospital.edit("procedures/each-patient/1.yaml", "# approved-by: [", "approved-by: [");
    hospital.run(&["keep", "--by", "c-biomed"]).fails("in force since 2026-11-25").complains("write revision 2");
    fs::rename(
        hospital.root().join("procedures/each-patient/1.yaml"),
        hospital.root().join("procedures/each-patient/2.yaml"),
    )
    .unwrap();
    hospital.edit("procedures/each-patient/2.yaml", "revision: 1", "revision: 2");
    hospital.edit("procedures/each-patient/2.yaml", "in-force-from: 2026-11-25", "in-force-from: 2026-12-01");
    hospital.run(&["keep", "--by", "c-biomed"]).fails("procedures/each-patient/1.yaml");
    hospital.git(&["checkout", "--quiet", "--", "procedures/each-patient/1.yaml"]);
    hospital.tidy(&["keep", "--by", "c-biomed"]).is(0).says("kept procedures/each-patient/2.yaml (new,");
    // Its day has not come, so it may still be changed.
    hospital.edit("procedures/each-patient/2.yaml", "2026-12-01", "2026-12-15");
    hospital.tidy(&["keep", "--by", "c-biomed"]).is(0).says("kept procedures/each-patient/2.yaml (changed,");
}

#[test]
fn records_are_left_to_record_and_recorded_in_their_places() {
    let hospital = Hospital::new();
    hospital.edit("people.yaml", "First Example", "Ana Example");
    let place = hospital.put(CHECK_PATH, &check("08:05:00", "pass"));
    let hint = format!("not taken: {CHECK_PATH}; `pinindex record {CHECK_PATH}` records it");
    hospital.run(&["keep", "--by", "c-biomed"]).is(0).says("kept people.yaml").says(&hint);
    assert_eq!(hospital.git(&["status", "--porcelain"]), "?? records/\n");
    hospital.run(&["keep"]).is(0).says("Nothing to keep").says(&hint);
    hospital.run(&["keep", "--by", "c-biomed", CHECK_PATH]).fails("keeps no records");
    hospital.tidy(&["record", CHECK_PATH]).is(0).says(&format!("recorded {CHECK_PATH} (commit "));
    assert_eq!(fs::read_to_string(&place).unwrap(), check("08:05:00", "pass"));
    // And once more, by every name it has.
    for name in [CHECK_PATH, place.to_str().unwrap(), "records/2026/11/25"] {
        hospital.tidy(&["record", name]).is(0).says(&format!("already recorded: {CHECK_PATH}"));
    }
    assert_eq!(hospital.commits(), 3);
}

#[test]
fn a_check_and_the_fault_it_found_come_in_together() {
    let hospital = Hospital::new();
    // Named against their order: the fault names a check that comes only after it.
    let fault_file = hospital.hand_in("a-fault.yaml", &fault("gas-flow"));
    let check_file = hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    let other = hospital.hand_in("note.txt", "not for the logbook\n");
    let done =
        hospital.tidy(&["record", "../inbox"]).is(0).says("finding[item-failed]").says("--> ../inbox/check.yaml:");
    done.says(&format!("recorded {CHECK_PATH} (commit ")).says(&format!("recorded {FAULT_PATH} (commit "));
    assert!(!fault_file.exists() && !check_file.exists() && other.exists());
    let log = hospital.git(&["log", "-2", "--format=%an|%ae|%aI|%cn|%cI|%s"]);
    let expected = format!(
        "Second Example|second@hospital.example|2026-11-25T08:07:30Z|Second Example|{NOW}|theatre-1: fault found, withheld from use, 2026-11-25 08:06\n\
         First Example|first@hospital.example|2026-11-25T08:05:00Z|First Example|{NOW}|theatre-1: each-patient check failed, 2026-11-25 08:05\n"
    );
    assert_eq!(log, expected);
    assert_eq!(hospital.text(CHECK_PATH), check("08:05:00", "fail"));
    let blame = hospital.git(&["blame", "--line-porcelain", FAULT_PATH]);
    let lines = fault("").lines().count();
    assert_eq!(blame.matches("author Second Example\n").count(), lines);
    assert_eq!(blame.matches("author-time 1795594050\n").count(), lines);
    hospital.tidy(&["ready"]).is(0).says("not ready").says("gas flows out and not back");
    hospital.tidy(&["history", "theatre-1"]).is(0).says("Second Example");
    hospital.tidy(&["validate"]).is(0);
}

#[test]
fn a_fault_finds_the_check_handed_in_with_it_also_when_the_name_of_the_check_is_taken() {
    let hospital = Hospital::new();
    // Somebody else's check of the same machine and second, in which nothing failed.
    hospital.hand_in("other.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let second = CHECK_PATH.replace(".check.", ".2.check.");
    let text = fault("gas-flow") + "remarks: see CHECK_PATH\n".replace("CHECK_PATH", CHECK_PATH).as_str();
    let fault_file = hospital.hand_in("a-fault.yaml", &text);
    let check_file = hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says(&format!("recorded {second} (commit "));
    done.says(&format!("../inbox/a-fault.yaml names what was handed in with it, which is filed as {second}\n"));
    assert!(!fault_file.exists() && !check_file.exists());
    // The name is all that differs from what was handed in; a remark stays as it was typed.
    assert_eq!(hospital.text(FAULT_PATH), text.replacen(CHECK_PATH, &second, 1));
    let done = hospital.run(&["validate", "--findings", "all"]).is(0);
    assert!(!done.out.contains("failed-check-without-fault") && !done.out.contains("passed-item"), "{}", done.out);

    // Handed in once more, both are known.
    hospital.hand_in("a-fault.yaml", &text);
    hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says(&format!("already recorded as {second}"));
    done.says(&format!("already recorded as {FAULT_PATH}"));
    assert_eq!(hospital.commits(), 4);
}

#[test]
fn a_fault_that_comes_after_its_check_means_the_check_it_names() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    // Both checks of that second are handed in with the fault, and one of them has the name that the fault gives.
    hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    hospital.hand_in("other.yaml", &check("08:05:00", "pass"));
    hospital.hand_in("fault.yaml", &fault("gas-flow"));
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says(&format!("recorded {FAULT_PATH} (commit "));
    assert!(!done.out.contains("names what was handed in with it"), "{}", done.out);
    assert_eq!(hospital.text(FAULT_PATH), fault("gas-flow"));
}

#[test]
fn a_correction_and_a_fault_handed_in_together_leave_the_name_as_it_is() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let corrects = format!("corrects: {{record: {CHECK_PATH}, because: gas did not flow back}}\n");
    let correction =
        check("08:05:00", "fail").replacen("recorded: \"2026-11-25T08:05:00", "recorded: \"2026-11-25T08:05:30", 1);
    hospital.hand_in("correction.yaml", &(correction + &corrects));
    hospital.hand_in("fault.yaml", &fault("gas-flow"));
    hospital.tidy(&["record", "../inbox"]).is(0).says(&format!("recorded {FAULT_PATH} (commit "));
    assert_eq!(hospital.text(FAULT_PATH), fault("gas-flow"));
    let done = hospital.run(&["validate", "--findings", "all"]).is(0);
    assert!(!done.out.contains("failed-check-without-fault"), "{}", done.out);
}

#[test]
fn a_form_that_is_out_of_date_is_told_when_its_check_comes_in_and_not_again() {
    let hospital = Hospital::new();
    let head = hospital.git(&["rev-parse", "HEAD"]).trim().to_owned();
    let filled_in = |finished: &str, form: &str| {
        check(finished, "pass").replace("results:\n", &format!("form: {{on: page, {form}}}\nresults:\n"))
    };
    hospital.hand_in("old.yaml", &filled_in("08:05:00", &format!("code: k7f3-q2x9, commit: {head}")));
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says("finding[form-out-of-date]");
    let done = done.says("--> ../inbox/old.yaml:9:").says("make a new page").says("recorded ");
    assert!(!done.out.contains("has no commit"), "{}", done.out);
    let code = done.out.split_once("the page of revision 1 is now ").unwrap().1.get(..9).unwrap().to_owned();

    hospital.hand_in("new.yaml", &filled_in("08:06:00", &format!("code: {code}, commit: {head}")));
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says("recorded ");
    assert!(!done.out.contains("finding["), "{}", done.out);

    let elsewhere = head.replace(|c: char| c.is_ascii_digit(), "f");
    hospital.hand_in("other.yaml", &filled_in("08:07:00", &format!("code: {code}, commit: {elsewhere}")));
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says("was made from another history than this logbook's");
    done.says(&format!("this logbook has no commit {}", &elsewhere[..10]));
    hospital.hand_in("both.yaml", &filled_in("08:08:00", &format!("code: k7f3-q2x9, commit: {elsewhere}")));
    hospital.tidy(&["record", "../inbox"]).is(0).says("is out of date").says("this logbook has no commit ");

    // The compliance was measured: the page of before cannot tell a leak in mL/min.
    let machine = hospital.text("machines/theatre-1.yaml") + "compliance: 7.5 mL/cmH2O\n";
    hospital.put("machines/theatre-1.yaml", &machine);
    hospital.tidy(&["keep", "--by", "c-biomed"]).is(0);
    hospital.hand_in("late.yaml", &filled_in("08:09:00", &format!("code: {code}, commit: {head}")));
    hospital.tidy(&["record", "../inbox"]).is(0).says("finding[form-out-of-date]");
    let done = hospital.run(&["validate", "--findings", "all"]).is(0);
    assert!(!done.out.contains("form-out-of-date"), "{}", done.out);
}

#[test]
fn a_refused_record_stays_where_it_was_and_the_others_come_in() {
    let hospital = Hospital::new();
    let good = hospital.hand_in("good.yaml", &check("08:05:00", "pass"));
    let bad = hospital.hand_in("bad.yaml", &check("08:09:00", "pass").replace("30 cmH2O, in", "30, in"));
    let stranger = hospital.hand_in("stranger.yaml", &check("08:10:00", "pass").replace("a-provider", "ana"));
    // What rests on a refused record falls with it.
    let follows = fault("gas-flow").replace("080500", "080900").replace("08:06:00", "08:11:00");
    let follows = hospital.hand_in("follows.yaml", &follows.replace("08:07:30", "08:12:00"));
    let done = hospital.tidy(&["record", "../inbox/"]).is(1).says("recorded ").says("problem[unknown-person]");
    let done =
        done.says("--> ../inbox/bad.yaml:").says("--> ../inbox/stranger.yaml:").says("--> ../inbox/follows.yaml:");
    done.says("3 files refused and left where they were");
    assert!(!good.exists() && bad.exists() && stranger.exists() && follows.exists());
    assert_eq!(hospital.commits(), 2);

    // The stranger is in the folder's people.yaml, but not yet in the history.
    hospital.edit(
        "people.yaml",
        "b-technician:",
        "ana:\n  name: Ana\n  role: provider\n  email: ana@hospital.example\nb-technician:",
    );
    hospital
        .run(&["record", "../inbox/stranger.yaml"])
        .is(1)
        .complains("`pinindex keep --by ID`")
        .complains("people.yaml");
    hospital.tidy(&["keep", "--by", "ana"]).is(0);
    hospital.tidy(&["record", "../inbox/stranger.yaml"]).is(0).says("recorded ");
    assert!(!stranger.exists());
}

#[test]
fn what_is_recorded_already_is_told_and_left() {
    let hospital = Hospital::new();
    let text = check("08:05:00", "pass");
    hospital.hand_in("one.yaml", &text);
    let twin = hospital.hand_in("twin.yaml", &text);
    let done = hospital.tidy(&["record", "../inbox"]).is(0).says("recorded ");
    done.says("the same as ../inbox/one.yaml; ../inbox/twin.yaml holds nothing else and can be deleted");
    assert_eq!(hospital.commits(), 2);
    let done = hospital.tidy(&["record", "../inbox/twin.yaml"]).is(0);
    done.says(&format!("already recorded as {CHECK_PATH}; ../inbox/twin.yaml holds nothing else and can be deleted"));
    assert!(twin.exists());
    assert_eq!(hospital.commits(), 2);
    let done = hospital.tidy(&["record", "--format", "json", "../inbox/twin.yaml"]).is(0);
    assert_eq!(done.out, "");
}

#[test]
fn two_records_of_one_second_are_numbered() {
    let hospital = Hospital::new();
    let second = "records/2026/11/25/080500-theatre-1.2.check.yaml";
    hospital.hand_in("a.yaml", &check("08:05:00", "pass"));
    hospital.hand_in("b.yaml", &format!("{}remarks: done again\n", check("08:05:00", "pass")));
    hospital
        .tidy(&["record", "../inbox"])
        .is(0)
        .says(&format!("recorded {CHECK_PATH}"))
        .says(&format!("recorded {second}"));
    hospital.hand_in("c.yaml", &format!("{}remarks: and again\n", check("08:05:00", "pass")));
    hospital.tidy(&["record", "../inbox/c.yaml"]).is(0).says("080500-theatre-1.3.check.yaml");
    // A numbered record in its place stays there, also when the first of its second lies in no commit yet.
    let hospital = Hospital::new();
    hospital.put(CHECK_PATH, &check("08:05:00", "pass"));
    hospital.put(second, &format!("{}remarks: done again\n", check("08:05:00", "pass")));
    hospital.run(&["record", second]).is(0).says(&format!("recorded {second}"));
    hospital.hand_in("c.yaml", &format!("{}remarks: and again\n", check("08:05:00", "pass")));
    hospital.run(&["record", "../inbox"]).is(0).says("080500-theatre-1.3.check.yaml");
    hospital.tidy(&["record", "records/2026/11/25"]).is(0).says(&format!("recorded {CHECK_PATH}"));
    assert_eq!(hospital.text(CHECK_PATH), check("08:05:00", "pass"));
    assert_eq!(hospital.commits(), 4);
}

#[test]
fn a_record_under_a_wrong_name_in_the_logbook_is_put_right() {
    let hospital = Hospital::new();
    let wrong = hospital.put("records/2026/11/25/my check.yaml", &check("08:05:00", "pass"));
    hospital.run(&["validate"]).is(1).says("problem[misfiled-record]");
    hospital.tidy(&["record", "records/2026/11/25/my check.yaml"]).is(0).says(&format!("recorded {CHECK_PATH}"));
    assert!(!wrong.exists());
    assert_eq!(hospital.text(CHECK_PATH), check("08:05:00", "pass"));
}

#[test]
fn a_recorded_file_is_never_recorded_in_another_text_nor_taken_away() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let good = hospital.hand_in("other.yaml", &check("08:09:00", "pass"));
    let place = hospital.put(CHECK_PATH, &check("08:05:00", "fail"));
    hospital
        .run(&["record", CHECK_PATH, "../inbox"])
        .fails("was changed after it was recorded")
        .complains("`pinindex correct`");
    assert!(place.exists() && good.exists());
    assert_eq!(hospital.commits(), 2);
    hospital.run(&["keep", "--by", "c-biomed"]).is(0).says("was changed in the folder after it was committed");
    fs::remove_file(&place).unwrap();
    hospital.run(&["keep", "--by", "c-biomed"]).is(0).says("is gone from the folder; the history still has it");
    hospital.sound();
}

#[test]
fn a_name_that_leads_nowhere_stops_everything_before_it_begins() {
    let hospital = Hospital::new();
    hospital.run(&["validate", "/nowhere/godo.yaml"]).fails("no file or folder `/nowhere/godo.yaml` in the logbook");
    let good = hospital.hand_in("good.yaml", &check("08:05:00", "pass"));
    hospital
        .tidy(&["record", "../inbox/good.yaml", "../inbox/godo.yaml"])
        .fails("no file or folder `../inbox/godo.yaml`");
    assert_eq!(hospital.commits(), 1);
    // The same file by several names, alone and with its folder.
    let absolute = good.to_str().unwrap();
    let done =
        hospital.tidy(&["record", "../inbox/good.yaml", absolute, "../inbox", "../inbox/../inbox/good.yaml"]).is(0);
    assert_eq!(done.out.matches("recorded ").count(), 1, "{}", done.out);
    assert_eq!(hospital.commits(), 2);
    hospital.tidy(&["record", "../inbox"]).is(0).says("nothing to record in ../inbox: it has no .yaml files");
}

#[test]
fn folders_inside_a_folder_and_hidden_files_are_passed_over() {
    let hospital = Hospital::new();
    let deeper = hospital.hand_in("old/check.yaml", &check("08:05:00", "pass"));
    let odd = hospital.hand_in("folder.yaml/check.yaml", &check("08:06:00", "pass"));
    let hidden = hospital.hand_in("._check.yaml", "\0\0");
    hospital.tidy(&["record", "../inbox"]).is(0).says("nothing to record in ../inbox");
    assert!(deeper.exists() && odd.exists() && hidden.exists());
    hospital.hand_in("UPPER.YAML", &check("08:07:00", "pass"));
    hospital.tidy(&["record", "../inbox", "../inbox/old"]).is(0);
    assert_eq!(hospital.commits(), 3);
    assert!(!deeper.exists());
}

#[cfg(unix)]
#[test]
fn links_pipes_and_giants_are_refused_and_the_others_come_in() {
    use std::os::unix::fs::symlink;
    let hospital = Hospital::new();
    let target = put(&hospital.folder.path().join("elsewhere/check.yaml"), &check("08:05:00", "pass"));
    symlink(&target, hospital.inbox().join("link.yaml")).unwrap();
    symlink("nowhere", hospital.inbox().join("broken.yaml")).unwrap();
    hospital.hand_in("giant.yaml", &"# more\n".repeat(10_000));
    hospital.hand_in("good.yaml", &check("08:06:00", "pass"));
    let pipe = hospital.inbox().join("pipe.yaml");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let done = hospital.tidy(&["record", "../inbox"]).is(1).says("a link stands where a file belongs");
    done.says("it is not a plain file")
        .says("problem[file-too-large]")
        .says("4 files refused and left where they were");
    assert!(target.exists() && pipe.exists() && hospital.inbox().join("link.yaml").is_symlink());
    assert_eq!(hospital.commits(), 2);
    // A folder may be reached through a link, as a share often is.
    symlink(target.parent().unwrap(), hospital.folder.path().join("share")).unwrap();
    hospital.tidy(&["record", "../share", "../elsewhere/check.yaml"]).is(0);
    assert!(!target.exists());
    assert_eq!(hospital.commits(), 3);
    // A link to a record of the logbook is no record of its own.
    symlink(hospital.root().join(CHECK_PATH), hospital.inbox().join("again.yaml")).unwrap();
    hospital.tidy(&["record", "../inbox/again.yaml"]).is(1).says("a link stands where a file belongs");
    assert!(hospital.root().join(CHECK_PATH).is_file());
}

#[test]
fn the_exit_status_tells_clean_from_faults_from_failures() {
    let hospital = Hospital::new();
    let root = hospital.root();
    assert_eq!(run(&root, &["validate"]).status, 0);
    assert_eq!(run(&root, &["explain", "unknown-person"]).status, 0);
    hospital.put("site.yaml", "name: [\n");
    assert_eq!(run(&root, &["validate"]).status, 1);
    run(hospital.folder.path(), &["validate"]).fails("no logbook here");
    run(&root, &["history", "theatre-9"]).fails("there is no machine `theatre-9`");
    run(&root, &["validate", "--commit", "nonsense"]).fails("no commit `nonsense`");
    run(hospital.folder.path(), &["init", "logbook"]).fails("is not empty");
    assert_eq!(run(&root, &["record"]).status, 2);
    assert_eq!(run(&root, &["no-such-command"]).status, 2);
    // A folder of files without a history.
    fs::remove_dir_all(root.join(".git")).unwrap();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    run(&root, &["record", "../inbox"]).fails("no git history").complains("pinindex init");
    run(&root, &["keep", "--by", "c-biomed"]).fails("no git history").complains("pinindex init");
}

#[test]
fn faults_can_be_read_by_programs() {
    let hospital = Hospital::new();
    hospital.put(CHECK_PATH, &check("08:05:00", "fail").replace("30 cmH2O, in", "30, in"));
    hospital
        .put("records/2026/11/25/080600-theatre-1.check.yaml", &check("08:06:00", "fail").replace("a-provider", "ana"));
    let json = hospital.run(&["validate", "--format", "json"]).is(1);
    let lines = json_lines(&json.out);
    assert!(lines >= 2, "{}", json.out);
    let short = hospital.run(&["validate", "--format", "short"]).is(1);
    assert_eq!(short.out.lines().count(), lines);
    for line in short.out.lines() {
        let (path, rest) = line.split_once(':').unwrap();
        let mut numbers = rest.splitn(3, ':');
        let number = |text: Option<&str>| text.and_then(|text| text.parse::<usize>().ok());
        assert!(hospital.root().join(path).is_file(), "{line}");
        assert!(
            number(numbers.next()).is_some_and(|n| n > 0) && number(numbers.next()).is_some_and(|n| n > 0),
            "{line}"
        );
        assert!(numbers.next().is_some_and(|text| text.starts_with(' ') && text.len() > 10), "{line}");
    }
    let record = hospital.run(&["record", "--format", "json", "records/2026/11/25"]).is(1);
    assert!(json_lines(&record.out) >= 2);
}

fn json_lines(text: &str) -> usize {
    for line in text.lines() {
        let value: serde_json::Value = serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"));
        assert!(value.is_object(), "{line}");
    }
    text.lines().count()
}

#[test]
fn colours_are_for_terminals_that_want_them() {
    let hospital = Hospital::new();
    hospital.put("site.yaml", "name: [\n");
    let coloured = |name: &str, value: &str| {
        let output = program(&hospital.root()).arg("validate").env(name, value).output().unwrap();
        assert_eq!(output.status.code(), Some(1));
        output.stdout.contains(&0x1b) || output.stderr.contains(&0x1b)
    };
    // Proof that the output has codes to leave out.
    assert!(coloured("CLICOLOR_FORCE", "1"));
    assert!(!coloured("NO_COLOR", "1"));
    assert!(!coloured("TERM", "xterm-256color"));
}

#[test]
fn a_reader_that_has_seen_enough_is_no_failure() {
    let hospital = Hospital::new();
    // More than a pipe holds, so that the program is still writing when the reader goes.
    for hour in 0..5 {
        for minute in 0..60 {
            let finished = format!("{hour:02}:{minute:02}:00");
            let text = check(&finished, "pass").replace("2026-11-25T07:40:00", "2026-11-24T23:00:00");
            hospital.hand_in(&format!("{hour:02}{minute:02}.yaml"), &text);
        }
    }
    let done = hospital.tidy(&["record", "../inbox"]).is(0);
    assert_eq!(done.out.matches("recorded ").count(), 300);
    let whole = hospital.tidy(&["history", "theatre-1", "--format", "json"]).is(0);
    assert!(whole.out.len() > 70_000, "{} bytes fit into a pipe", whole.out.len());

    let mut child = program(&hospital.root())
        .args(["history", "theatre-1", "--format", "json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = String::new();
    BufReader::with_capacity(16, child.stdout.take().unwrap()).read_line(&mut first).unwrap();
    assert!(whole.out.starts_with(&first) && !first.is_empty());
    let status = child.wait().unwrap();
    let mut words = String::new();
    child.stderr.take().unwrap().read_to_string(&mut words).unwrap();
    assert_eq!((status.code(), words.as_str()), (Some(0), ""));
}

#[test]
fn a_changed_machine_changes_no_old_verdict_when_it_says_what_was_before() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    // Another vaporizer from tomorrow on, said as if it had always been there: the check of today would lack an answer.
    hospital.edit("machines/theatre-1.yaml", "vaporizers: [sevoflurane]", "vaporizers: [desflurane]");
    hospital.run(&["keep", "--by", "c-biomed"]).is(1).says("problem[unknown-item]").says("nothing was kept");
    let text = hospital.text("machines/theatre-1.yaml");
    hospital.put(
        "machines/theatre-1.yaml",
        &format!("{text}\nbefore:\n  - until: 2026-11-25\n    vaporizers: [sevoflurane]\n"),
    );
    hospital.tidy(&["keep", "--by", "c-biomed"]).is(0).says("kept machines/theatre-1.yaml");
    hospital.tidy(&["validate"]).is(0).says("1 record: no problems");
    let done = hospital.tidy(&["history", "theatre-1", "--readings"]).is(0);
    done.says("pass      vaporizers-filled/sevoflurane: pass").says("each-patient check passed");
}

#[test]
fn nothing_is_counted_or_recorded_on_ground_that_cannot_be_read() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    hospital.edit("machines/theatre-1.yaml", "scavenging: active", "scavenging: actve");
    hospital.commit_otherwise();

    hospital.tidy(&["report", "2026-11"]).fails("`machines/theatre-1.yaml` has problems, and records rest on it");
    hospital.hand_in("second.yaml", &check("09:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).fails("`machines/theatre-1.yaml` has problems");
    assert!(hospital.inbox().join("second.yaml").exists());
    let done = hospital.tidy(&["ready"]).is(1).says("not ready").complains("machines/theatre-1.yaml has problems");
    done.says("- machines/theatre-1.yaml has problems and was not read");
    // The records that rest on it are not all called faulty for it.
    let done = hospital.tidy(&["validate", "--format", "short"]).is(1);
    assert_eq!(done.out.lines().count(), 1, "{}", done.out);
    done.says("machines/theatre-1.yaml:").says("wrong-shape");
}

#[test]
fn a_committed_record_that_nobody_can_read_is_settled_by_a_void() {
    let hospital = Hospital::new();
    let broken = "records/2026/11/25/070000-theatre-1.check.yaml";
    hospital.put(broken, "record: check\nmachine: [\n");
    hospital.commit_otherwise();
    hospital.tidy(&["validate"]).is(1).says("problem[not-yaml]");
    hospital.tidy(&["report", "2026-11", "--format", "md"]).is(1).complains("1 record with problems left out");
    hospital.tidy(&["ready"]).is(1).says("a record of this machine has a problem and was not counted");

    hospital.hand_in(
        "void.yaml",
        &format!(
            "record: void\nmachine: theatre-1\nof: {broken}\nrecorded: \"2026-11-25T10:00:00Z\"\nby: [a-provider]\n\
             because: cut off while it was written\n"
        ),
    );
    hospital.tidy(&["record", "../inbox"]).is(0);
    hospital.tidy(&["validate"]).is(0).says("no problems");
    hospital.tidy(&["report", "2026-11", "--format", "md"]).is(0);
    let report = hospital.text("reports/2026-11.md");
    assert!(report.contains("cut off while it was written"), "{report}");
}

#[test]
fn a_record_altered_after_its_commit_is_counted_nowhere() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let committed = hospital.git(&["rev-parse", "HEAD"]);
    hospital.edit(CHECK_PATH, "gas-flow: fail", "gas-flow: pass");
    hospital.run(&["validate"]).is(1).says("problem[record-altered]: record was changed after it was committed");

    hospital.commit_otherwise();
    let done = hospital.tidy(&["validate"]).is(1).says(&format!(" --> {CHECK_PATH}:1:1"));
    let done = done.says("committed 2026-11-25 12:00 by First Example, changed").says("by Somebody");
    done.says(&format!("git restore --source {} -- {CHECK_PATH}", &committed[..10]));
    hospital.tidy(&["ready"]).is(1).says("a record of this machine has a problem and was not counted");
    hospital.tidy(&["report", "2026-11", "--format", "md"]).is(1).complains("1 record with problems left out");
    assert!(hospital.text("reports/2026-11.md").contains("record was changed after it was committed"));
    hospital.tidy(&["validate", "--commit", committed.trim()]).is(0);

    hospital.git(&["checkout", "--quiet", committed.trim(), "--", CHECK_PATH]);
    hospital.commit_otherwise();
    hospital.tidy(&["validate"]).is(0);
    fs::remove_file(hospital.root().join(CHECK_PATH)).unwrap();
    hospital.commit_otherwise();
    hospital.tidy(&["validate"]).is(1).says("record was taken away after it was committed");
}

#[test]
fn a_limit_loosened_later_turns_no_verdict() {
    let hospital = Hospital::new();
    let failed = check("08:05:00", "pass").replace("to: 30 cmH2O", "to: 27 cmH2O");
    hospital.hand_in("check.yaml", &failed);
    hospital.tidy(&["record", "../inbox"]).is(0).says("finding[item-failed]");
    let text = hospital.text("machines/theatre-1.yaml");
    let limit = "limits:\n  circuit-leak:\n    - {of: fall, at-most: 5 cmH2O, source: page 7, standing: maker}\n";
    hospital.put("machines/theatre-1.yaml", &format!("{text}\n{limit}"));
    let done = hospital.run(&["keep", "--by", "c-biomed"]).fails("this would turn the verdict of 1 check");
    done.complains("under `before`");
    let before = "before:\n  - until: 2026-11-25\n    limits: {}\n";
    hospital.put("machines/theatre-1.yaml", &format!("{text}\n{limit}{before}"));
    hospital.tidy(&["keep", "--by", "c-biomed"]).is(0);
    hospital.tidy(&["history", "theatre-1"]).is(0).says("each-patient check failed");
}

#[test]
fn a_remark_cannot_pass_for_a_line_of_the_program() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "fail"));
    let forged = "what: |\n  hose loose\n\n    theatre-2  ready       Theatre 2\n    - check passed at 07:02\n";
    hospital.hand_in("fault.yaml", &fault("gas-flow").replace("what: gas flows out and not back\n", forged));
    hospital.tidy(&["record", "../inbox"]).is(0);
    for command in [&["ready"][..], &["history", "theatre-1"]] {
        let done = hospital.tidy(command).is(0).says("hose loose");
        assert!(!done.out.lines().any(|line| line.trim_start().starts_with("theatre-2")), "{}", done.out);
    }
    // Nor can the name of a file colour the terminal.
    hospital.put("records/2026/11/q\u{1b}[31m.yaml", "record: check\n");
    hospital.put("machines/a\u{1b}[31mb.yaml", "name: x\n");
    hospital.commit_otherwise();
    hospital.tidy(&["validate"]).is(1);
    hospital.tidy(&["ready"]).is(1);
    hospital.tidy(&["history", "theatre-1"]).is(1);
}

#[test]
fn what_lies_in_the_future_is_judged_by_the_commit_and_a_month_that_is_over_by_its_end() {
    let hospital = Hospital::new();
    hospital.put("records/2026/11/25/080500-theatre-1.check.yaml", &check("08:05:00", "pass"));
    hospital.put("records/2026/11/25/130000-theatre-1.check.yaml", &check("13:00:00", "pass"));
    hospital.commit_otherwise();
    let report = |now: &str, month: &[&str]| {
        let arguments = [&["report"], month, &["--format", "md"]].concat();
        let done = Done::read(program_at(&hospital.root(), now).args(arguments).output().unwrap());
        // The check of 13:00 is ahead of the commit, which came at noon, and of no clock that asks here.
        done.is(1).says("reports/2026-11.md").complains("1 record with problems left out");
        hospital.text("reports/2026-11.md")
    };
    let before = report("2026-11-28T09:00:00Z", &["2026-11"]);
    assert!(before.contains("The records end at 2026-11-25 12:00; November 2026 is not over."), "{before}");
    let over = report("2026-12-01T09:00:00Z", &[]);
    assert!(!over.contains("is not over"), "{over}");
    assert!(over.contains("had no check on "), "{over}");
    assert!(over.contains("30 Nov"), "{over}");
    assert_eq!(report("2027-06-01T09:00:00+02:00", &["2026-11"]), over);
}

#[test]
fn a_later_failure_today_takes_readiness_away() {
    let hospital = Hospital::new();
    let at = |finished: &str, gas_flow: &str| check(finished, gas_flow);
    hospital.hand_in("a.yaml", &at("08:05:00", "fail"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let done = hospital.tidy(&["ready"]).is(0).says("not ready");
    done.says("- check before a patient at 08:05 failed: Gas flows both ways");
    // A passed check of the same procedure does not say what became of it.
    hospital.hand_in("b.yaml", &at("08:25:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let path = "records/2026/11/25/080500-theatre-1.check.yaml";
    let open = format!(
        "- check before a patient at 08:05 failed: Gas flows both ways; no fault record says what became of it: \
         `pinindex fault theatre-1 --found-during {path}`"
    );
    hospital.tidy(&["ready"]).is(0).says("not ready").says(&open).says("no check before the first case today");
    // The command that is named answers for it.
    let fault = [
        "fault",
        "theatre-1",
        "--found-during",
        path,
        "--by",
        "a-provider",
        "--use",
        "restricted",
        "--what",
        "a hose was off",
    ];
    let how = ["--restriction", "only with a second bag at hand", "--until", "2026-12-01", "--owner", "a-provider"];
    hospital.tidy(&[&fault[..], &how].concat()).is(0);
    let done = hospital.tidy(&["ready"]).is(0).says("no check before the first case today");
    assert!(!done.out.contains("no fault record"), "{}", done.out);
}

#[test]
fn a_commit_by_a_slow_clock_puts_no_record_into_the_future() {
    let hospital = Hospital::new();
    hospital.hand_in("a.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    hospital.put("notes.txt", "by another program\n");
    let add = ["add", "notes.txt"];
    hospital.git(&add);
    let slow = "2026-11-20T12:00:00+01:00";
    let commit = ["commit", "--quiet", "--message", "by a slow clock"];
    let output = Command::new("git")
        .arg("-C")
        .arg(hospital.root())
        .args(["-c", "user.name=Somebody", "-c", "user.email=somebody@hospital.example"])
        .args(commit)
        .envs([("GIT_CONFIG_GLOBAL", "/dev/null"), ("GIT_AUTHOR_DATE", slow), ("GIT_COMMITTER_DATE", slow)])
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    // Neither when the month is over nor while it lasts.
    for now in ["2026-12-02T08:00:00+01:00", "2026-11-25T13:00:00+01:00"] {
        let report = ["report", "2026-11", "--format", "md"];
        Done::read(program_at(&hospital.root(), now).args(report).output().unwrap()).is(0);
        let text = hospital.text("reports/2026-11.md");
        assert!(!text.contains("has a time in the future") && text.contains("0 of 1 checks failed"), "{text}");
    }
}

#[test]
fn an_emergency_start_is_one_line_of_the_history() {
    let hospital = Hospital::new();
    let options = ["--set", "backup-ventilation=pass", "--set", "suction=pass", "--set", "gas-flow=pass"];
    let pressures = ["--set", "pipeline-pressure/oxygen=53", "--set", "pipeline-pressure/air=54"];
    let who = ["--by", "a-provider,b-technician", "--started", "1040"];
    let start = ["check", "theatre-1", "--emergency", "haemorrhage"];
    hospital.tidy(&[&start[..], &options, &pressures, &who].concat()).is(0);
    let done =
        hospital.tidy(&["history", "theatre-1"]).is(0).says("daily check, emergency start: haemorrhage; 18 steps left");
    assert!(!done.out.contains("not done:"), "{}", done.out);
    hospital.tidy(&["history", "theatre-1", "--readings"]).is(0).says("not done  ");
}

#[test]
fn a_report_holds_the_figures_that_were_asked_for_and_no_others() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    hospital.tidy(&["report", "2026-11", "--format", "md"]).is(0);
    assert!(!hospital.text("reports/2026-11.md").contains("## On request"));
    hospital.tidy(&["report", "2026-11", "--format", "md", "--also", "wilson,growth"]).is(0);
    let text = hospital.text("reports/2026-11.md");
    assert!(text.contains("## On request") && text.contains("Wilson from") && text.contains("Rarer or more frequent"));
    assert!(!text.contains("### Machine-days between faults"));
}

#[test]
fn a_report_replaces_a_link_and_does_not_follow_it() {
    let hospital = Hospital::new();
    hospital.hand_in("check.yaml", &check("08:05:00", "pass"));
    hospital.tidy(&["record", "../inbox"]).is(0);
    let victim = put(&hospital.folder.path().join("victim"), "untouched\n");
    fs::create_dir(hospital.root().join("reports")).unwrap();
    std::os::unix::fs::symlink(&victim, hospital.root().join("reports/2026-11.md")).unwrap();
    hospital.tidy(&["report", "2026-11", "--format", "md"]).is(0).says("2026-11.md");
    assert_eq!(fs::read_to_string(&victim).unwrap(), "untouched\n");
    assert!(hospital.text("reports/2026-11.md").contains("November 2026"));
    // There is no typst on PATH: the other forms are made, and what was asked for by name and is missing is told.
    hospital.tidy(&["report", "2026-11"]).is(0).says("no PDF: the typst program is not on PATH");
    hospital.tidy(&["report", "2026-11", "--format", "pdf,csv"]).fails("the PDF that was asked for");
}
