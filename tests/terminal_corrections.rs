//! A committed record corrected at a real pseudo-terminal, by options and from a file; git judges what is committed.

#![cfg(all(test, unix))]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test runs programs, reads what they wrote, and stops"
)]

#[path = "terminal/hospital.rs"]
#[expect(dead_code, reason = "other tests at the terminal begin at a fixed moment")]
mod hospital;
#[path = "terminal/seat.rs"]
#[expect(dead_code, reason = "other tests at the terminal use the rest")]
mod seat;

use hospital::{CHECK, Hospital};
use seat::Seat;

const NOW: &str = "2026-11-27T07:30:00+01:00";
/// After a void that overruled a correction.
const AFTER: &str = "2026-11-27T07:50:00+01:00";
const PATH: &str = "records/2026/11/27/063500-theatre-1.check.yaml";
const CORRECTION: &str = "records/2026/11/27/063500-theatre-1.2.check.yaml";
const FAULT: &str = "records/2026/11/27/063500-theatre-1.fault.yaml";

/// The fault that a check with a failed suction found.
const WITHHELD: &str = "record: fault
machine: theatre-1
found: \"2026-11-27T06:35:00+01:00\"
recorded: \"2026-11-27T06:37:00+01:00\"
by: [m-okafor]
found-during: {check: records/2026/11/27/063500-theatre-1.check.yaml, items: [suction]}
what: suction does not hold
use: withheld
";

/// Returns what a command says without a terminal, which must end with a status.
#[track_caller]
fn says(hospital: &Hospital, status: i32, arguments: &[&str]) -> String {
    says_at(NOW, hospital, status, arguments)
}

#[track_caller]
fn says_at(now: &str, hospital: &Hospital, status: i32, arguments: &[&str]) -> String {
    let output = hospital.program_at(now, arguments).stdin(std::process::Stdio::null()).output().unwrap();
    let said = format!("{}{}", String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
    assert_eq!(output.status.code(), Some(status), "{arguments:?}\n{said}");
    said
}

#[track_caller]
fn holds(said: &str, all: &[&str]) {
    let mut rest = said;
    for words in all {
        let at = rest.find(words).unwrap_or_else(|| panic!("`{words}` is not in its place in\n{said}"));
        rest = &rest[at + words.len()..];
    }
}

fn with_a_check() -> Hospital {
    let hospital = Hospital::small();
    hospital.put("inbox.yaml", CHECK);
    says(&hospital, 0, &["record", "inbox.yaml"]);
    hospital
}

fn with_a_fault() -> Hospital {
    let hospital = Hospital::small();
    hospital.put("inbox/check.yaml", &CHECK.replace("suction: pass", "suction: fail"));
    hospital.put("inbox/fault.yaml", WITHHELD);
    says(&hospital, 0, &["record", "inbox"]);
    hospital
}

#[test]
fn a_line_is_picked_and_put_right_and_the_machine_is_called_something_else() {
    let hospital = with_a_check();
    let before = hospital.text(PATH);
    let mut seat = Seat::at(hospital.program_at(NOW, &["correct", "theatre-1"]));
    seat.asks("Which record has a mistake in it?", "record:").press("1\r");
    seat.asks("Correction of the check of theatre-1", "which line is wrong?");
    assert!(seat.shows().contains("6  Patient suction: pass"), "{}", seat.shows());
    seat.press("6\r").asks("Patient suction", "Patient suction:").press("f\r");
    seat.sees("FAILS").sees("6 Patient suction: pass -> fail").sees("which line is wrong?");
    // What was typed outlives a power cut.
    seat.cut_power();
    assert_eq!(hospital.drafts(), ["2026-11-27-063500-theatre-1.check.correction.yaml"]);
    let mut seat = Seat::at(hospital.program_at(NOW, &["correct", PATH]));
    seat.sees("is still here").sees("n: begin anew").press("\r");
    seat.sees("pass -> fail").sees("which line is wrong?").press("7\r");
    seat.asks("Spare oxygen cylinder", "Spare oxygen cylinder:").press("86 furlongs\r");
    seat.sees("is no unit known here").press("86 bar\r").sees("pass: 86 bar");
    seat.sees("which line is wrong?").press("\r");
    seat.asks("Why is it corrected?", "because:").press("the sheet says fail\r");
    seat.asks("Who corrects it?", "q: stop").press("4");
    seat.asks("to read over", "record it?");
    holds(
        &seat.shows(),
        &[
            "1  Patient suction: pass -> fail",
            "2  Spare oxygen cylinder: 1530 psi -> 86 bar",
            "3  because: the sheet says fail",
            "4  corrected by: Tomoe Nakagiri, provider",
            "As it was written, the check passed; as corrected, the check failed.",
            "Both records stay readable",
        ],
    );
    seat.press("y\r").sees(&format!("recorded {CORRECTION}"));
    seat.sees("Corrected: Patient suction: pass -> fail").sees("called theatre-1 ready; now they call it not ready");
    seat.ends();

    assert_eq!(hospital.recorded(), [CORRECTION, PATH]);
    assert_eq!(hospital.drafts(), [""; 0]);
    assert_eq!(hospital.text(PATH), before, "a committed record is never edited");
    let new = hospital.text(CORRECTION);
    holds(
        &new,
        &["by:\n- m-okafor\n- j-lindqvist\nrecorded-by: t-nakagiri\n", &format!("corrects:\n  record: {PATH}")],
    );
    let said = hospital.git(&["log", "-1", "--format=%an|%ae|%cn|%ad|%B", "--date=format-local:%F"]);
    assert!(said.starts_with("Tomoe Nakagiri|t.nakagiri@hollerbruck.example|Tomoe Nakagiri|2026-11-27|"), "{said}");
    holds(&said, &["theatre-1: daily check failed, 2026-11-27 06:35", &format!("Corrects {PATH}")]);
    assert_eq!(hospital.git(&["show", "--format=", "--name-status", "HEAD"]), format!("A\t{CORRECTION}\n"));

    let said = says(&hospital, 0, &["history", "theatre-1"]);
    holds(
        &said,
        &[
            &format!("corrects {PATH}, by Tomoe Nakagiri: the sheet says fail"),
            "corrected: Patient suction: pass -> fail",
            "corrected: Spare oxygen cylinder: 1530 psi -> 86 bar",
            &format!("does not count: corrected by {CORRECTION}"),
        ],
    );
}

#[test]
fn a_person_who_thinks_better_of_it_records_nothing() {
    let hospital = with_a_check();
    let mut seat = Seat::at(hospital.program_at(NOW, &["correct", PATH]));
    seat.sees("which line is wrong?").press("\r").sees("nothing differs from the record");
    seat.sees("which line is wrong?").press("q\r").sees("Stopped. Nothing was recorded.").ends();
    assert_eq!(hospital.recorded(), [PATH]);
}

#[test]
fn what_rested_on_the_old_record_is_named_with_the_next_step() {
    let hospital = with_a_fault();
    let mistake = ["--because", "the canister was open, the test was done again", "--by", "m-okafor"];
    let said = says(&hospital, 0, &[&["correct", PATH, "--set", "suction=pass"], &mistake[..]].concat());
    holds(
        &said,
        &[
            "Corrected: Patient suction: fail -> pass",
            "As it was written, the check failed; as corrected, the check passed.",
            "What rested on the old record is to be looked at:",
            "fault-names-passed-item",
            FAULT,
            "`pinindex correct` puts it right",
        ],
    );
    assert!(!said.contains("recorded-late"), "{said}");
    assert!(!hospital.text(CORRECTION).contains("recorded-by"), "the first of `by` corrects it");

    // The fault is corrected by the fields of its own.
    let fault = ["correct", FAULT, "--found-during", "in-use", "--found", "0640", "--what", "suction weak"];
    let who = ["--because", "it came to light in use", "--by", "r-castellanos"];
    let said = says(&hospital, 0, &[&fault[..], &who].concat());
    holds(&said, &["Corrected: found: 2026-11-27 06:35 -> 2026-11-27 06:40", "-> in use", "-> suction weak"]);
    assert_eq!(hospital.git(&["log", "-1", "--format=%an"]), "Rosa Castellanos\n");
    assert_eq!(says(&hospital, 0, &["validate"]).lines().last().unwrap(), "4 records: no problems, 0 findings");
}

#[test]
fn a_correction_is_corrected_and_a_void_is_overruled_and_both_are_told() {
    let hospital = with_a_check();
    let who = ["--because", "typed wrongly", "--by", "m-okafor"];
    says(&hospital, 0, &[&["correct", PATH, "--set", "absorbent=part-used"], &who[..]].concat());
    let said = says(&hospital, 0, &[&["correct", PATH, "--remarks", "lime changed at noon"], &who[..]].concat());
    holds(
        &said,
        &[
            "was corrected already",
            "recorded records/2026/11/27/063500-theatre-1.3.check.yaml",
            "Corrected: remarks: nothing -> lime",
        ],
    );
    let third = "records/2026/11/27/063500-theatre-1.3.check.yaml";
    assert!(hospital.text(third).contains(&format!("record: {CORRECTION}")), "{}", hospital.text(third));
    assert!(hospital.text(third).contains("choice: part-used"), "what was put right before stays");

    says_at("2026-11-27T07:40:00+01:00", &hospital, 0, &[&["void", third], &who[..]].concat());
    let said =
        says_at(AFTER, &hospital, 0, &[&["correct", third, "--done-by", "t-nakagiri,j-lindqvist"], &who[..]].concat());
    holds(
        &said,
        &[
            "It was declared void by records/2026/11/27/",
            "This correction will count in its place.",
            "by: Maryam Okafor, Jonas Lindqvist -> Tomoe Nakagiri, Jonas Lindqvist",
        ],
    );
    let said = says_at(AFTER, &hospital, 0, &["validate"]);
    assert!(said.contains("no problems"), "{said}");
    let said = says_at(AFTER, &hospital, 0, &["ready", "theatre-1"]);
    assert!(said.contains("theatre-1  ready"), "{said}");
}

/// Returns the path of the void that was recorded last.
fn last_void(hospital: &Hospital) -> String {
    let shown = hospital.git(&["show", "--format=", "--name-only", "HEAD"]);
    assert!(shown.trim().ends_with(".void.yaml"), "{shown}");
    shown.trim().to_owned()
}

#[test]
fn a_void_that_is_corrected_lets_the_machine_be_withheld_again() {
    let hospital = with_a_fault();
    let withheld = |at: &str| {
        let said = says_at(at, &hospital, 0, &["ready", "theatre-1"]);
        (said.contains("withheld from use"), said)
    };
    assert!(withheld(NOW).0);
    let void = ["void", FAULT, "--because", "it was the other machine", "--by", "m-okafor"];
    says_at(NOW, &hospital, 0, &void);
    assert!(!withheld(NOW).0, "{}", withheld(NOW).1);
    let wrong = last_void(&hospital);
    let later = "2026-11-27T07:40:00+01:00";
    let who = ["--because", "the check was meant", "--by", "m-okafor"];
    says_at(later, &hospital, 0, &[&["correct", &wrong, "--record", PATH], &who[..]].concat());
    let (is_withheld, said) = withheld(later);
    assert!(is_withheld, "{said}");
    says_at(later, &hospital, 0, &["validate"]);

    let right = last_void(&hospital);
    let history = says_at(later, &hospital, 0, &["history", "theatre-1", "--format", "json"]);
    let standing = |path: &str| {
        let lines = history.lines().map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap());
        let line = lines.into_iter().find(|line| line["record"] == path).unwrap();
        line["standing"].as_str().unwrap().to_owned()
    };
    assert_eq!(standing(FAULT), "counts");
    assert_eq!(standing(&wrong), format!("corrected by {right}"));
    assert_eq!(standing(PATH), format!("void by {right}"));
    says_at(later, &hospital, 0, &["report", "2026-11-27", "--format", "md", "--output", "out"]);
    let page = hospital.text("out/2026-11-27.md");
    assert!(page.contains(&format!("| {PATH} | void | {right} |")), "{page}");
    assert!(!page.contains(&format!("| {FAULT} | void |")), "{page}");
}

#[test]
fn a_void_of_a_void_of_a_void_takes_the_record_out_again() {
    let hospital = with_a_check();
    let mut named = PATH.to_owned();
    for (n, is_ready) in [(1, false), (2, true), (3, false), (4, true)] {
        let now = format!("2026-11-27T07:3{n}:00+01:00");
        let who = ["--because", "thought better of it", "--by", "m-okafor"];
        let said = says_at(&now, &hospital, 0, &[&["void", &named], &who[..]].concat());
        let (was, is) = if is_ready { ("not ready", "ready") } else { ("ready", "not ready") };
        assert!(said.contains(&format!("called theatre-1 {was}; now they call it {is}.")), "{said}");
        assert_eq!(said.contains("What that void took out counts again: "), n > 1, "{said}");
        named = last_void(&hospital);
    }
}

#[test]
fn what_does_not_count_is_not_voided_twice() {
    let hospital = with_a_check();
    let who = ["--because", "typed wrongly", "--by", "m-okafor"];
    says(&hospital, 0, &[&["correct", PATH, "--set", "absorbent=part-used"], &who[..]].concat());
    let said = says(&hospital, 2, &[&["void", PATH], &who[..]].concat());
    holds(&said, &["was corrected, and counts as", CORRECTION, &format!("next step: `pinindex void {CORRECTION}`")]);
    let said = says(&hospital, 0, &[&["void", CORRECTION], &who[..]].concat());
    holds(&said, &[&format!("as it was written: {PATH}"), &format!("should not count either: pinindex void {PATH}")]);
    let said = says(&hospital, 0, &["history", "theatre-1"]);
    assert!(!said.contains("does not count: corrected by"), "{said}");

    says(&hospital, 0, &[&["void", PATH], &who[..]].concat());
    let void = last_void(&hospital);
    let before = hospital.recorded();
    for named in [&["void", PATH][..], &["void", "theatre-1", "--record", PATH]] {
        let said = says(&hospital, 2, &[named, &who[..]].concat());
        holds(&said, &["is void already: ", &void, "Maryam Okafor", "next step: ", &format!("pinindex void {void}")]);
    }
    assert_eq!(hospital.recorded(), before);
}

#[test]
fn a_record_that_nobody_can_read_is_corrected_as_a_whole() {
    let hospital = Hospital::small();
    hospital.put(PATH, &CHECK.replace("1530 psi", "1530"));
    hospital.git(&["add", "--all"]);
    let who = ["-c", "user.name=Test", "-c", "user.email=test@hollerbruck.example"];
    hospital.git(&[&who[..], &["commit", "--quiet", "--message", "by hand"]].concat());
    says(&hospital, 1, &["validate"]);

    let who = ["--because", "the unit was missing", "--by", "t-nakagiri"];
    let said = says(&hospital, 2, &[&["correct", PATH, "--set", "suction=pass"], &who[..]].concat());
    holds(&said, &["cannot be read as a record", "next step: ", &format!("pinindex correct {PATH} --from FILE")]);

    hospital.put("inbox.yaml", &CHECK.replace("1530 psi", "1530 furlongs"));
    let said = says(&hospital, 1, &[&["correct", PATH, "--from", "inbox.yaml"], &who[..]].concat());
    holds(&said, &["unknown-unit", "1 problem in inbox.yaml; nothing was recorded"]);

    hospital.put("inbox.yaml", CHECK);
    let said = says(&hospital, 2, &["correct", PATH, "--from", "inbox.yaml", "--set", "suction=fail"]);
    holds(&said, &["taken as a whole", "leave `--set` out"]);
    let said = says(&hospital, 0, &[&["correct", PATH, "--from", "inbox.yaml"], &who[..]].concat());
    holds(&said, &[&format!("recorded {CORRECTION}"), "the whole record, which could not be read"]);
    holds(
        &hospital.text(CORRECTION),
        &["recorded: \"2026-11-27T07:30:00+01:00\"", "recorded-by: t-nakagiri", "the unit was missing"],
    );
    let said = says(&hospital, 0, &["validate"]);
    assert!(said.contains("no problems"), "{said}");
    std::fs::remove_file(hospital.root().join("inbox.yaml")).unwrap();
    assert_eq!(hospital.recorded(), [CORRECTION, PATH]);
}

#[test]
fn what_cannot_be_taken_is_told_and_nothing_is_recorded() {
    let hospital = with_a_check();
    let who = ["--because", "typed wrongly", "--by", "m-okafor"];
    hospital.put("other.yaml", WITHHELD);
    hospital.put("same.yaml", CHECK);
    let cases: [(&[&str], &[&str]); 8] = [
        (&[PATH], &["nothing was recorded: nothing differs from the record", "next step: "]),
        (&[PATH, "--set", "suction=pass"], &["nothing differs from the record"]),
        (&[PATH, "--set", "sucton=fail"], &["this check has no `--set sucton`: did you mean `--set suction`?"]),
        (&[PATH, "--cause", "battery"], &["this check has no `--cause`"]),
        (&[PATH, "--finished", "0610"], &["--finished: that is before the check was begun (2026-11-27 06:25)"]),
        (&[PATH, "--from", "other.yaml"], &["is a fault, and records/2026/11/27/063500-theatre-1.check.yaml is not"]),
        (&[PATH, "--from", "same.yaml"], &["nothing differs from the record"]),
        (&["theatre-1"], &["no terminal to choose a record at", "pinindex history theatre-1"]),
    ];
    for (arguments, words) in cases {
        let said = says(&hospital, 2, &[&["correct"], arguments, &who].concat());
        holds(&said, words);
    }
    let said = says(&hospital, 2, &["correct", PATH, "--set", "suction=fail"]);
    holds(
        &said,
        &["--because is missing: Why is it corrected?", "--by is missing: Who corrects it?", "m-okafor: Maryam Okafor"],
    );
    let said = says(&hospital, 2, &[&["correct", "records/2026/11/27/070000-theatre-1.check.yaml"], &who[..]].concat());
    holds(&said, &["the history has no record", "next step: "]);
    for file in ["other.yaml", "same.yaml"] {
        std::fs::remove_file(hospital.root().join(file)).unwrap();
    }
    assert_eq!(hospital.recorded(), [PATH]);
}
