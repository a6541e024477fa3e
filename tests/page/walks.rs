//! A check from the page to the commit, as people do it: by keyboard, by taps, in an emergency, with nasty words.
//!
//! axe-core and the Nu HTML checker judge the page on the way; git tells what was committed.

use super::program::pinindex;
use super::{ask, run};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A copy of the example logbook with a history of its own, and the page of theatre 1 made from it.
struct Theatre {
    folder: tempfile::TempDir,
}

impl Theatre {
    fn new() -> Theatre {
        let theatre = Theatre { folder: tempfile::tempdir().unwrap() };
        let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
        for entry in walkdir::WalkDir::new(&example) {
            let entry = entry.unwrap();
            let target = theatre.logbook().join(entry.path().strip_prefix(&example).unwrap());
            // The check of that morning is the one that the page is for.
            if entry.file_type().is_dir() {
                std::fs::create_dir_all(target).unwrap();
            } else if !entry.path().ends_with("25/065840-theatre-1.check.yaml") {
                std::fs::copy(entry.path(), target).unwrap();
            }
        }
        std::fs::create_dir(theatre.inbox()).unwrap();
        theatre.git(&["init", "--quiet", "--initial-branch", "main"]);
        theatre.git(&["add", "."]);
        theatre.git(&[
            "-c",
            "user.name=Test",
            "-c",
            "user.email=test@hospital.example",
            "commit",
            "--quiet",
            "-m",
            "As it was",
        ]);
        let made = pinindex_at("2026-11-25T06:30:00+01:00", &theatre.logbook(), &["page", "theatre-1"]);
        assert!(made.contains("needs no network"), "{made}");
        theatre
    }

    fn logbook(&self) -> PathBuf {
        self.folder.path().join("logbook")
    }

    fn inbox(&self) -> PathBuf {
        self.folder.path().join("inbox")
    }

    fn page(&self) -> PathBuf {
        self.logbook().join("reports/check-theatre-1-daily.html")
    }

    fn git(&self, arguments: &[&str]) -> String {
        let output = run::run(Command::new("git").arg("-C").arg(self.logbook()).args(arguments), "");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    fn walk(&self, name: &str) -> Value {
        ask("page_walk.mjs", &json!({"walk": name, "file": self.page(), "folder": self.inbox()})).remove(0)
    }

    /// Takes the saved files in and returns the names in the history's last commits, and what `git show` tells of one.
    fn take_in(&self) -> String {
        pinindex_at("2026-11-25T08:00:00+01:00", &self.logbook(), &["record", &self.inbox().display().to_string()]);
        self.git(&["log", "--format=", "--name-only"])
    }

    fn committed(&self, path: &str) -> String {
        self.git(&["show", &format!("HEAD:{path}")])
    }
}

fn pinindex_at(now: &str, logbook: &Path, arguments: &[&str]) -> String {
    let mut command = Command::new(pinindex().get_program());
    command.env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
    let output = run::run(command.args(["--now", now, "--logbook"]).arg(logbook).args(arguments), "");
    let (said, complaint) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{arguments:?}\n{said}\n{complaint}");
    said.into_owned()
}

/// Returns the paths of the records that a walk saved, as they are filed.
fn filed(walked: &Value) -> Vec<String> {
    let names = walked["files"].as_array().unwrap();
    names.iter().map(|name| format!("records/2026/11/25/{}", name.as_str().unwrap())).collect()
}

#[test]
fn a_clean_check_by_keyboard_and_by_taps() {
    let keys = Theatre::new();
    let walked = keys.walk("cleanKeys");
    println!("clean daily check of theatre-1, page, keyboard: {walked}");
    let path = filed(&walked).remove(0);
    assert!(keys.take_in().contains(&path), "{path} is in no commit");
    let record = keys.committed(&path);
    assert!(record.contains("form:\n  \"on\": \"page\"\n") && !record.contains("fail"), "{record}");
    assert!(walked["keys"].as_u64() <= Some(58), "a clean check takes more keys than it did: {walked}");

    let taps = Theatre::new();
    let walked = taps.walk("cleanTaps");
    println!("clean daily check of theatre-1, page, taps: {walked}");
    assert!(taps.take_in().contains(&filed(&walked)[0]));
    assert!(walked["taps"].as_u64() <= Some(36), "a clean check takes more taps than it did: {walked}");
}

#[test]
fn a_failed_check_by_keyboard_with_its_fault_record() {
    let theatre = Theatre::new();
    let walked = theatre.walk("faultKeys");
    let paths = filed(&walked);
    assert_eq!(paths.len(), 2, "{walked}");
    let history = theatre.take_in();
    assert!(paths.iter().all(|path| history.contains(path.as_str())), "{history}");
    let check = theatre.committed(&paths[0]);
    assert!(check.contains("\"earlier\": [{\"reading\": \"17.5 %\"}]"), "{check}");
    assert!(
        check.contains("\"reading\": \"20.9 %\"") && check.contains("\"low-pressure-leak\":\n    \"held\": \"10 s\""),
        "{check}"
    );
    assert!(check.contains("\"not-done\": \"the charger is being replaced\""), "{check}");
    assert!(check.contains("\"remark\": \"The float stands below its band.\""), "{check}");
    let fault = theatre.committed(&paths[1]);
    assert!(fault.contains(&format!("\"check\": \"{}\"", paths[0])) && fault.contains("[\"scavenging\"]"), "{fault}");
    assert!(fault.contains("\"until\": \"2026-12-02\"") && fault.contains("\"owner\": \"r-castellanos\""), "{fault}");
}

#[test]
fn a_number_that_is_hard_to_believe_is_taken_only_when_somebody_says_so() {
    let theatre = Theatre::new();
    let path = filed(&theatre.walk("doubted")).remove(0);
    assert!(theatre.take_in().contains(&path));
    let record = theatre.committed(&path);
    assert!(!record.contains("40000") && record.contains("\"reading\": \"52 bar\""), "{record}");
}

#[test]
fn an_emergency_start_asks_only_what_cannot_wait() {
    let theatre = Theatre::new();
    let walked = theatre.walk("emergency");
    let path = filed(&walked).remove(0);
    assert!(theatre.take_in().contains(&path));
    let record = theatre.committed(&path);
    assert!(record.contains("emergency-start: true"), "{record}");
    let steps = record.matches("\"pass\"").count() + record.matches("\"reading\"").count();
    assert_eq!(Some(steps as u64), walked["asked"].as_u64(), "{record}");
    assert_eq!(record.matches("\"emergency start: a patient could not wait\"").count(), 27 - steps, "{record}");
}

#[test]
fn nasty_words_arrive_as_they_were_typed() {
    let theatre = Theatre::new();
    let walked = theatre.walk("nasty");
    let path = filed(&walked).remove(0);
    assert!(theatre.take_in().contains(&path));
    let record = theatre.committed(&path);
    let (read, _) = pinindex::record::tree::read(&path, record.as_bytes());
    let read = read.unwrap().to_json();
    let typed = walked["remark"].as_str().unwrap().to_owned();
    assert_eq!(read["remarks"], format!("{typed}\nno\n12:30"));
    assert_eq!(read["results"]["status-label"]["not-done"], typed);
}

#[test]
fn an_unfinished_check_is_offered_and_a_wrong_clock_is_told() {
    Theatre::new().walk("yesterday");
}

#[test]
fn one_tab_works_on_a_check_and_the_other_waits() {
    Theatre::new().walk("twoTabs");
}

#[test]
fn a_saved_record_is_offered_until_it_is_in_its_place() {
    let theatre = Theatre::new();
    let path = filed(&theatre.walk("savedEarlier")).remove(0);
    assert!(theatre.take_in().contains(&path), "{path} is in no commit");
}

#[test]
fn the_page_begins_whatever_the_device_kept() {
    Theatre::new().walk("damaged");
}

#[test]
fn a_test_that_failed_is_not_erased_by_leaving_the_step_out() {
    let theatre = Theatre::new();
    let walked = theatre.walk("failedThenLeft");
    let paths = filed(&walked);
    let history = theatre.take_in();
    assert!(paths.len() == 2 && paths.iter().all(|path| history.contains(path.as_str())), "{paths:?}\n{history}");
    let check = theatre.committed(&paths[0]);
    assert!(check.contains("\"not-done\": \"no time was left\"\n    \"earlier\": [\"fail\"]"), "{check}");
    let fault = theatre.committed(&paths[1]);
    assert!(fault.contains("use: \"withheld\"") && !fault.contains("first failure"), "{fault}");
}

/// The checker works out no digest, so it takes what a policy allows by digest for forbidden. The browser, which does,
/// runs the page, and a word of it about the policy ends a walk.
const DIGESTS: &str = ".*violates Content Security Policy.*";

#[test]
fn the_checker_has_nothing_to_say() {
    let theatre = Theatre::new();
    let jar = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/node_modules/vnu-jar/build/dist/vnu.jar");
    let output = run::run(
        Command::new("java").arg("-jar").arg(jar).args(["--stdout", "--filterpattern", DIGESTS]).arg(theatre.page()),
        "",
    );
    let words = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && words.trim().is_empty(), "{words}");
}

#[test]
fn the_page_asks_for_nothing_from_outside() {
    let page = std::fs::read_to_string(Theatre::new().page()).unwrap();
    assert!(page.contains("default-src 'none'"));
    for outside in ["http://", "https://", " src=", "<link", "<img", "@import", "url(", "innerHTML", "eval("] {
        assert!(!page.contains(outside), "{outside}");
    }
}
