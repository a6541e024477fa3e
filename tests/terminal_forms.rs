//! From a fault to the release at a real pseudo-terminal, key by key; git judges what is committed.

#![cfg(all(test, unix))]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test runs programs, reads what they wrote, and stops"
)]

#[path = "terminal/hospital.rs"]
mod hospital;
#[path = "terminal/seat.rs"]
#[expect(dead_code, reason = "other tests at the terminal use the rest")]
mod seat;

use hospital::{CHECK, Hospital};
use seat::Seat;

/// Returns the program at a moment after everything that other commands here write down.
fn later(hospital: &Hospital, arguments: &[&str]) -> std::process::Command {
    hospital.program_at("2026-11-27T07:00:00+01:00", arguments)
}

fn write_down_a_fault(hospital: &Hospital) {
    let mut seat = Seat::at(hospital.program(&["fault", "theatre-1"]));
    seat.asks("How was it found?", "q: stop").press("1");
    seat.asks("When was it found?", "found:").press("0600\r");
    seat.asks("Who found it?", "by:").press("1\r");
    seat.asks("What is wrong, as seen?", "what:").press("bellows stick\r");
    seat.asks("May the machine be used?", "q: stop").press("1");
    seat.asks("to read over", "record it?");
    assert!(seat.shows().contains("Call: Rosa Castellanos"), "{}", seat.shows());
    seat.press("y\r").sees("recorded records/2026/11/27/060000-theatre-1.fault.yaml");
    seat.sees("After the work: pinindex repair theatre-1").ends();
}

#[test]
fn a_machine_is_withheld_repaired_checked_and_released() {
    let hospital = Hospital::small();
    write_down_a_fault(&hospital);
    let (status, said) = hospital.run(&["release", "theatre-1"]);
    assert_eq!(status, 2, "{said}");
    assert!(said.contains("no complete check was begun after 2026-11-27 06:00 and passed"), "{said}");
    assert!(said.contains("pinindex check theatre-1 --procedure complete"), "{said}");

    let mut seat = Seat::at(hospital.program(&["repair", "theatre-1"]));
    seat.sees("bellows stick").asks("Who did the work?", "by:").press("1\r");
    seat.asks("When was the work begun?", "begun:").press("0605\r");
    seat.asks("When was it finished?", "finished:").press("0559\r");
    seat.sees("that is before the work was begun").press("0620\r");
    seat.asks("What was the cause?", "cause:").press("6\r");
    seat.asks("What was done?", "work:").press("bellows replaced\r");
    seat.asks("Which parts were fitted?", "parts:").press("bellows; O-ring\r");
    seat.asks("What did the work wait for", "waited for:").press("parts 5 min\r");
    seat.asks("Which test instruments", "instruments:").press("gas analyser 3, 2026-11-01\r");
    seat.asks("to read over", "record it?");
    assert!(seat.shows().contains("good until 2026-11-01 only"), "{}", seat.shows());
    // One line is changed, and the rest stays.
    seat.press("9\r").asks("Which test instruments", "instruments:").press("gas analyser 4, 2027-03-31\r");
    seat.asks("to read over", "record it?");
    assert!(seat.shows().contains("9  instruments: gas analyser 4, 2027-03-31"), "{}", seat.shows());
    seat.press("y\r").sees("recorded records/2026/11/27/062000-theatre-1.repair.yaml");
    seat.sees("pinindex check theatre-1 --procedure complete").ends();

    hospital.put("inbox.yaml", CHECK);
    let (status, said) = hospital.run(&["record", "inbox.yaml"]);
    assert_eq!(status, 0, "{said}");

    let mut seat = Seat::at(hospital.program(&["release", "theatre-1"]));
    seat.asks("Which faults are put right?", "faults:").press("\r");
    seat.asks("Which check proves the machine?", "q: stop").press("\r");
    seat.asks("Who releases it?", "by:").press("1,2\r");
    seat.asks("When is it released?", "released:").press("\r");
    seat.asks("to read over", "record it?");
    for words in ["bellows stick", "daily check of 2026-11-27 06:35, passed", "Rosa Castellanos", "Maryam Okafor"] {
        assert!(seat.shows().contains(words), "`{words}` is not on the screen\n{}", seat.shows());
    }
    seat.press("y\r").sees("-theatre-1.release.yaml (commit").ends();

    assert_eq!(hospital.recorded().len(), 4);
    assert_eq!(hospital.drafts(), [""; 0]);
    let authors = hospital.git(&["log", "-4", "--format=%an, %s"]);
    assert_eq!(
        authors,
        "Rosa Castellanos, theatre-1: released to service, 2026-11-27 06:42\n\
         Maryam Okafor, theatre-1: daily check passed, 2026-11-27 06:35\n\
         Rosa Castellanos, theatre-1: repair, wear or age, 2026-11-27 06:20\n\
         Maryam Okafor, theatre-1: fault found, withheld from use, 2026-11-27 06:00\n"
    );
    // The release was recorded some seconds after the moment at which each command here begins.
    let said = String::from_utf8(later(&hospital, &["ready"]).output().unwrap().stdout).unwrap();
    assert!(said.contains("theatre-1  ready"), "{said}");
}

#[test]
fn a_service_is_written_down() {
    let hospital = Hospital::small();
    let mut seat = Seat::at(hospital.program(&["service", "theatre-1", "--by", "r-castellanos"]));
    seat.asks("When was the work begun?", "begun:").press("2026-11-26 14:00\r");
    seat.asks("When was it finished?", "finished:").press("2026-11-26 16:30\r");
    seat.asks("What was done?", "work:").press("yearly maintenance\r");
    seat.asks("By which day is the next one due?", "next due:").press("2026-11-01\r");
    seat.sees("that is before the service was finished").press("2027-11-26\r");
    seat.asks("Which test instruments", "instruments:").press("\r");
    seat.asks("to read over", "record it?").press("y\r");
    seat.sees("recorded records/2026/11/26/163000-theatre-1.service.yaml").ends();
    assert!(hospital.text("records/2026/11/26/163000-theatre-1.service.yaml").contains("next-due: \"2027-11-26\""));
    assert_eq!(hospital.git(&["log", "-1", "--format=%an"]), "Rosa Castellanos\n");
}

#[test]
fn a_record_is_chosen_shown_and_voided() {
    let hospital = Hospital::small();
    write_down_a_fault(&hospital);
    let path = "records/2026/11/27/060000-theatre-1.fault.yaml";
    // Written down after the fault, however slow the machine was that wrote the fault down.
    let mut seat = Seat::at(later(&hospital, &["void", path]));
    seat.sees("what: bellows stick").asks("Why does it not count?", "because:").press("another machine was meant\r");
    seat.asks("Who declares it?", "by:").press("2\r");
    seat.asks("to read over", "record it?");
    assert!(seat.shows().contains("Both records stay readable"), "{}", seat.shows());
    seat.press("y\r").sees("-theatre-1.void.yaml (commit").ends();
    assert_eq!(hospital.recorded().len(), 2, "nothing was taken away");
    let said = String::from_utf8(later(&hospital, &["ready"]).output().unwrap().stdout).unwrap();
    assert!(said.contains("theatre-1") && !said.contains("withheld"), "{said}");
}

/// Answers the first two questions of a repair, and cuts the power.
fn begin_a_repair(hospital: &Hospital) {
    let mut seat = Seat::at(hospital.program(&["repair", "theatre-1"]));
    seat.asks("Who did the work?", "by:").press("1\r");
    seat.asks("When was the work begun?", "begun:").press("0605\r");
    seat.asks("When was it finished?", "finished:");
    seat.cut_power();
}

#[test]
fn what_was_typed_outlives_a_power_cut_and_a_second_thought() {
    let hospital = Hospital::small();
    write_down_a_fault(&hospital);
    begin_a_repair(&hospital);
    assert_eq!(hospital.drafts(), ["theatre-1.repair.record.yaml"]);
    let mut seat = Seat::at(hospital.program(&["repair", "theatre-1"]));
    seat.sees("is still here").sees("n: begin anew").press("\r");
    seat.asks("When was it finished?", "finished:").press("q\r");
    seat.sees("Nothing was recorded. What was answered is kept").ends();
    assert_eq!(hospital.recorded().len(), 1, "only the fault");
    let mut seat = Seat::at(hospital.program(&["repair", "theatre-1"]));
    seat.sees("n: begin anew").press("n").asks("Who did the work?", "by:").press("\u{3}").sees("Stopped.").ends();
}

#[test]
fn old_answers_are_gone_on_with_only_when_somebody_says_so() {
    let hospital = Hospital::small();
    write_down_a_fault(&hospital);
    begin_a_repair(&hospital);
    let next_day = || hospital.program_at("2026-11-28T07:00:00+01:00", &["repair", "theatre-1"]);
    let mut seat = Seat::at(next_day());
    seat.sees("is still here, kept 2026-11-27 ").sees("long ago").sees("q: stop").press("q");
    seat.sees("what was answered before is still kept").ends();
    let mut seat = Seat::at(next_day());
    seat.sees("g: go on with it").press("g").asks("When was it finished?", "finished:").press("\u{3}").ends();
    // Going on with them made them fresh again; a day later they are old.
    let draft = hospital.text("drafts/theatre-1.repair.record.yaml").replace("2026-11-28", "2026-11-27");
    hospital.put("drafts/theatre-1.repair.record.yaml", &draft);
    let mut seat = Seat::at(next_day());
    seat.sees("Enter: begin anew").press("\r").sees("The old one is drafts/theatre-1.repair.record.1.aside");
    seat.asks("Who did the work?", "by:").press("\u{3}").sees("Stopped.").ends();
}

#[test]
fn a_draft_that_became_a_record_is_not_recorded_again() {
    let hospital = Hospital::small();
    write_down_a_fault(&hospital);
    let repair = "records/2026/11/27/063000-theatre-1.repair.yaml";
    let mut seat = Seat::at(later(&hospital, &["repair", "theatre-1"]));
    seat.asks("Who did the work?", "by:").press("1\r");
    seat.asks("When was the work begun?", "begun:").press("0605\r");
    seat.asks("When was it finished?", "finished:").press("0630\r");
    seat.asks("What was the cause?", "cause:").press("1\r");
    seat.asks("What was done?", "work:").press("bellows seated\r");
    seat.asks("Which parts were fitted?", "parts:").press("\r");
    seat.asks("What did the work wait for", "waited for:").press("\r");
    seat.asks("Which test instruments", "instruments:").press("\r");
    seat.asks("to read over", "record it?");
    // While somebody else writes to the logbook, the draft lies there as a kill after the commit would leave it.
    let lock = std::fs::File::options().write(true).open(hospital.root().join(".git/pinindex.lock")).unwrap();
    lock.lock().unwrap();
    seat.press("y\r").sees("waiting for somebody else");
    let name = "drafts/theatre-1.repair.record.yaml";
    let draft = hospital.text(name);
    lock.unlock().unwrap();
    seat.sees(&format!("recorded {repair}")).ends();
    assert_eq!(hospital.drafts(), [""; 0]);
    hospital.put(name, &draft);

    let mut seat = Seat::at(later(&hospital, &["repair", "theatre-1"]));
    seat.sees(&format!("The draft that lay here is recorded as {repair}."));
    seat.asks("Who did the work?", "by:").press("q\r").sees("Nothing was recorded.").ends();
    assert_eq!(hospital.drafts(), ["theatre-1.repair.record.1.aside"]);
    assert_eq!(hospital.recorded().len(), 2, "the fault and one repair");
    // The same as options, given twice.
    let work = ["repair", "theatre-1", "--by", "r-castellanos", "--started", "0605", "--finished", "0620"];
    let done = ["--cause", "wear-or-age", "--work", "bellows replaced"];
    without_terminal(&hospital, 0, &[&work[..], &done].concat());
    let output = later(&hospital, &[&work[..], &done].concat()).stdin(std::process::Stdio::null()).output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(said, "already recorded as records/2026/11/27/062000-theatre-1.repair.yaml\n");
    assert_eq!(hospital.recorded().len(), 3);
}

/// Runs a command without a terminal, which must end with a status, and returns what it said.
#[track_caller]
fn without_terminal(hospital: &Hospital, status: i32, arguments: &[&str]) -> String {
    let (came_to, said) = hospital.run(arguments);
    assert_eq!(came_to, status, "{arguments:?}\n{said}");
    said
}

#[test]
fn everything_can_be_given_by_flags() {
    let hospital = Hospital::small();
    let found = ["fault", "theatre-1", "--found-during", "in-use", "--found", "0600", "--by", "m-okafor"];
    let fault = [&found[..], &["--what", "bellows stick", "--use", "restricted"]].concat();
    let restricted = ["--restriction", "by hand only", "--until", "2026-12-05", "--owner", "r-castellanos"];
    let said = without_terminal(&hospital, 0, &[&fault[..], &restricted].concat());
    assert!(said.contains("Put a sign on theatre-1 that says how it may be used."), "{said}");

    let work = ["repair", "theatre-1", "--by", "r-castellanos", "--started", "0605", "--finished", "0620"];
    let done = ["--cause", "wear-or-age", "--work", "bellows replaced", "--part", "bellows", "--part", "O-ring"];
    let waited =
        ["--waited", "parts 5 min", "--instrument", "gas analyser 3, 2027-03-31", "--remarks", "spare part used"];
    without_terminal(&hospital, 0, &[&work[..], &done, &waited].concat());
    let repair = hospital.text("records/2026/11/27/062000-theatre-1.repair.yaml");
    assert!(repair.contains("- O-ring") && repair.contains("remarks: spare part used"), "{repair}");

    hospital.put("inbox.yaml", CHECK);
    without_terminal(&hospital, 0, &["record", "inbox.yaml"]);
    let fault = "records/2026/11/27/060000-theatre-1.fault.yaml";
    let check = "records/2026/11/27/063500-theatre-1.check.yaml";
    let by = ["--by", "r-castellanos,m-okafor", "--recorded-by", "m-okafor"];
    let release = ["release", "theatre-1", "--fault", fault, "--proved-by", check];
    without_terminal(&hospital, 0, &[&release[..], &by].concat());
    assert_eq!(hospital.git(&["log", "-1", "--format=%an"]), "Maryam Okafor\n", "who wrote it down");

    let service = ["service", "theatre-1", "--by", "r-castellanos", "--started", "2026-11-26 14:00"];
    let rest = ["--finished", "2026-11-26 16:30", "--work", "yearly maintenance", "--next-due", "2027-11-26"];
    let said = without_terminal(&hospital, 0, &[&service[..], &rest].concat());
    assert!(said.contains("A complete check: pinindex check theatre-1 --procedure complete"), "{said}");

    let void = ["void", check, "--because", "another machine was meant", "--by", "m-okafor"];
    without_terminal(&hospital, 0, &void);
    assert_eq!(hospital.recorded().len(), 6);
}

#[test]
fn what_is_missing_without_a_terminal_is_listed_and_nothing_is_recorded() {
    let hospital = Hospital::small();
    let said = without_terminal(&hospital, 2, &["fault", "theatre-1", "--until", "2026-12-05", "--by", "nobody"]);
    for line in [
        "--found-during is missing: How was it found?\n    in-use: while the machine was in use",
        "--by: `nobody` is not one of m-okafor",
        "--what is missing: What is wrong, as seen?",
        "--use is missing: May the machine be used?",
        "--until does not go with what else was given",
        "pinindex: nothing was recorded: 5 answers missing or not as they must be",
        "next step: give them with the flags named above",
    ] {
        assert!(said.contains(line), "`{line}` is not in\n{said}");
    }
    for (arguments, why) in [
        (["repair", "theatre-1"], "theatre-1 has no open fault"),
        (["release", "theatre-1"], "theatre-1 has no open fault"),
        (["void", "theatre-1"], "the history has no record `theatre-1`"),
        (["void", "records/2026/11/27/063500-theatre-1.check.yaml"], "the history has no record"),
        (["service", "theatre-9"], "there is no machine `theatre-9`"),
    ] {
        let said = without_terminal(&hospital, 2, &arguments);
        assert!(said.contains(why) && said.contains("next step: "), "{said}");
    }
    assert_eq!(hospital.recorded(), [""; 0]);
}
