//! Whole checks at the terminal: a clean one, one that fails, one with second thoughts, and a terminal without colour.

use super::hospital::Hospital;
use super::seat::Seat;
use std::io::Write;

/// The steps of the daily check of theatre-1: its title, the end of its prompt, and the keys that answer it.
const DAILY: [(&str, &str, &str); 27] = [
    ("1 of 27  Status label", "q stop", "1"),
    ("2 of 27  Backup ventilation and oxygen", "q stop", "p"),
    ("3 of 27  Patient suction", "q stop", "p"),
    ("4 of 27  Mains power", "q stop", "p"),
    ("5 of 27  Backup battery", "q stop", "p"),
    ("6 of 27  Monitors and alarms", "q stop", "p"),
    ("7 of 27  Spare oxygen cylinder", "reading in psi:", "1530\r"),
    ("8 of 27  Pipeline pressure: oxygen", "reading in psi:", "53\r"),
    ("9 of 27  Pipeline pressure: nitrous oxide", "reading in psi:", "52\r"),
    ("10 of 27  Pipeline pressure: air", "reading in psi:", "54\r"),
    ("11 of 27  Vaporizers filled and closed: isoflurane", "q stop", "p"),
    ("12 of 27  Vaporizers filled and closed: sevoflurane", "q stop", "p"),
    ("13 of 27  Leak before the gas outlet", "the seconds you counted:", "\r"),
    ("14 of 27  Leak through a vaporizer: isoflurane", "the seconds you counted:", "\r"),
    ("15 of 27  Leak through a vaporizer: sevoflurane", "the seconds you counted:", "\r"),
    ("16 of 27  Flow controls", "q stop", "p"),
    ("17 of 27  Guard against too little oxygen", "reading in %:", "27\r"),
    ("18 of 27  Nitrous oxide stops", "q stop", "p"),
    ("19 of 27  Oxygen monitor in room air", "reading in %:", "21\r"),
    ("20 of 27  Oxygen monitor after flush", "reading in %:", "96\r"),
    ("21 of 27  Low oxygen alarm", "q stop", "p"),
    ("22 of 27  Scavenging, active", "q stop", "p"),
    ("23 of 27  Carbon dioxide absorbent", "q stop", "2"),
    ("24 of 27  Breathing system holds pressure", "Enter counts 10 s down:", "\r"),
    ("25 of 27  Two-bag test", "q stop", "p"),
    ("26 of 27  Ventilator delivers", "q stop", "p"),
    ("27 of 27  Ready, and written down", "q stop", "p"),
];

#[test]
fn a_clean_daily_check_is_asked_counted_down_read_over_and_committed() {
    let hospital = Hospital::whole();
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1"]));
    seat.sees("27 steps").sees("1  Maryam Okafor").sees("numbers, such as 1 or 1 4 (q: stop):").press("1 3\r");
    for (title, prompt, keys) in DAILY {
        seat.asks(title, prompt).press(keys);
        if keys == "\r" && prompt == "the seconds you counted:" {
            seat.sees("1 s left").sees("Did it hold to the end?").sees("q stop").press("p");
        }
        if title.starts_with("24 ") {
            seat.sees("1 s left").sees("pressure at the end in cmH2O:").press("30\r");
        }
    }
    seat.asks("Read it over", "Enter, or what to change:").press("\r");
    seat.sees("recorded records/2026/11/27/").asks("The check passed.", "for the clinician to decide.").ends();
    let records = hospital.recorded();
    assert_eq!(records.len(), 1);
    let text = hospital.text(&records[0]);
    for line in ["low-pressure-leak: {held: 10 s}", "held: 10 s", "reading: 1530 psi", "choice: part-used"] {
        let line = line.trim_start_matches("low-pressure-leak: {").trim_end_matches('}');
        assert!(text.contains(line), "`{line}` is not in\n{text}");
    }
    assert_eq!(hospital.git(&["log", "-1", "--format=%an"]), "Maryam Okafor\n");
    assert_eq!(hospital.drafts(), [""; 0]);
    let said = writeln!(std::io::stderr(), "a clean daily check of a machine with two vaporizers: {} keys", seat.keys);
    assert!(said.is_ok(), "the number is printed");
    // Every key was sent to the real terminal: none is held down, none is left out.
    let developers = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md")).unwrap();
    let row = format!("| terminal, key presses | {} |", seat.keys);
    assert!(developers.contains(&row), "DEVELOPERS.md must say `{row}`");
}

#[test]
fn a_failed_step_says_what_follows_and_a_thing_let_go_early_is_tested_again() {
    let hospital = Hospital::small();
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1", "--by", "m-okafor,j-lindqvist"]));
    seat.asks("1 of 5  Patient suction", "q stop").press("p");
    seat.asks("2 of 5  Spare oxygen cylinder", "reading in psi:").press("800\r");
    seat.sees("FAILS: 800 psi")
        .sees("limit not met: at least 1000 psi")
        .sees("withheld from use")
        .sees("Call: Rosa Castellanos");
    seat.sees("q stop").press("\r");
    seat.asks("3 of 5  Leak before the gas outlet", "the seconds you counted:").press("\r");
    // Let go after two seconds: a shorter time, which fails.
    seat.sees("8 s left").press(" ");
    seat.sees("FAILS: held").sees("q stop").press("a");
    seat.sees("the seconds you counted:").press("11\r");
    seat.sees("pass: held 11 s").asks("4 of 5  Carbon dioxide absorbent", "q stop").press("1");
    seat.asks("5 of 5  Breathing system holds pressure", "down:").press("30 to 30 in 10 s\r");
    seat.asks("Read it over", "Enter, or what to change:");
    assert!(seat.shows().contains("FAILS 2 Spare oxygen cylinder: 800 psi"), "{}", seat.shows());
    assert!(seat.shows().contains("tried before: held 2 s"), "{}", seat.shows());
    seat.press("q\r").sees("Stopped").ends();
    assert_eq!(hospital.drafts(), ["theatre-1.daily.yaml"]);
    assert_eq!(hospital.recorded(), [""; 0]);
}

/// Answers the small check with an empty cylinder, up to the reading over and Enter.
fn with_an_empty_cylinder(hospital: &Hospital) -> Seat {
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1", "--by", "m-okafor,j-lindqvist"]));
    seat.asks("1 of 5", "q stop").press("p");
    seat.asks("2 of 5", "reading in psi:").press("800\r").sees("FAILS: 800 psi").sees("q stop").press("\r");
    seat.asks("3 of 5", "the seconds you counted:").press("12\r");
    seat.asks("4 of 5", "q stop").press("1");
    seat.asks("5 of 5", "down:").press("30 to 30 in 10 s\r");
    seat.asks("Read it over", "Enter, or what to change:").press("\r");
    seat
}

#[test]
fn a_failed_check_asks_for_its_fault_and_both_are_committed() {
    let hospital = Hospital::small();
    let mut seat = with_an_empty_cylinder(&hospital);
    seat.sees("Fault of theatre-1").sees("What is wrong, as seen?").sees("Spare oxygen cylinder failed: 800 psi");
    seat.press("\r").sees("May the machine be used?").sees("q: stop").press("\r");
    seat.sees("to read over").sees("record it?").press("y\r");
    seat.sees(".fault.yaml").sees("Theatre 1 is withheld from use until it is released.").ends();
    let records = hospital.recorded();
    let [check, fault] = &records[..] else { panic!("{records:?}") };
    assert!(check.ends_with(".check.yaml") && hospital.text(fault).contains(&format!("check: {check}")), "{records:?}");
    assert!(hospital.text(fault).contains("use: withheld"), "{}", hospital.text(fault));
    assert_eq!(hospital.git(&["log", "-2", "--format=%an"]), "Maryam Okafor\nMaryam Okafor\n");
    assert_eq!(hospital.drafts(), [""; 0]);
    // The next check begins with what the records say of the machine.
    let later =
        hospital.program_at("2026-11-27T09:00:00+01:00", &["check", "theatre-1", "--by", "m-okafor,j-lindqvist"]);
    let mut seat = Seat::at(later);
    seat.sees("WITHHELD FROM USE").sees("A check does not release it.").sees("q stop").press("q").ends();
}

#[test]
fn a_fault_record_that_is_put_off_is_told_and_the_check_is_recorded() {
    let hospital = Hospital::small();
    let mut seat = with_an_empty_cylinder(&hospital);
    seat.sees("What is wrong, as seen?").sees("Spare oxygen cylinder failed: 800 psi").press("\u{3}");
    seat.sees("failed-check-without-fault").sees("pinindex fault theatre-1").ends();
    assert_eq!(hospital.recorded().len(), 1);
}

/// Returns the first signs of the code on the sheet of theatre-1, as the program prints it.
pub fn code_on_the_sheet(hospital: &Hospital) -> String {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().to_str().unwrap();
    let output = hospital.program(&["paper", "theatre-1", "--format", "html", "--output", place]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let sheet = std::fs::read_dir(folder.path()).unwrap().next().expect("a sheet was made").unwrap();
    let sheet = std::fs::read_to_string(sheet.path()).unwrap();
    let (_, after) = sheet.split_once("class=\"code\">").expect("the sheet shows its code");
    let (_, after) = after.split_once("<b>").expect("the sheet shows its code");
    after.chars().take(4).collect()
}

#[test]
fn a_sheet_of_paper_is_typed_in_and_marked() {
    let hospital = Hospital::small();
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1", "--from-paper"]));
    seat.sees("day on the sheet:").press("\r").sees("started:").press("0615\r").sees("finished:").press("0630\r");
    seat.sees("numbers, such as 1 or 1 4 (q: stop):").press("1 3\r").sees("who types it in").press("\r");
    seat.sees("code on the sheet")
        .press(&code_on_the_sheet(&hospital))
        .press("\r")
        .sees("1 Patient suction")
        .sees("q stop")
        .press("p");
    seat.sees("2 Spare oxygen cylinder").sees("reading in psi:").press("1400\r");
    seat.sees("3 Leak before the gas outlet").sees("time held in s:").press("\r").sees("a number is needed here");
    seat.press("10\r");
    seat.sees("4 Carbon dioxide absorbent").sees("q stop").press("1");
    seat.sees("pressure at the start in cmH2O:").press("30\r").sees("pressure at the end in cmH2O:").press("30\r");
    seat.sees("time watched in s:").press("10\r").asks("Read it over", "Enter, or what to change:").press("\r");
    seat.sees("recorded records/2026/11/27/063000-theatre-1.check.yaml")
        .sees("another day of this sheet")
        .press("\r")
        .ends();
    let text = hospital.text("records/2026/11/27/063000-theatre-1.check.yaml");
    assert!(text.contains("\"on\": paper") && text.contains("started: \"2026-11-27T06:15:00+01:00\""), "{text}");
    assert!(text.contains("recorded: \"2026-11-27T06:42:"), "written down when it was typed in:\n{text}");
}

#[test]
fn a_key_held_down_answers_one_question_and_not_the_next() {
    let hospital = Hospital::whole();
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1", "--by", "m-okafor,j-lindqvist"]));
    seat.asks("1 of 27", "q stop").press("1").asks("2 of 27", "q stop").holds_down("p", 40);
    seat.asks("3 of 27", "q stop")
        .press("p")
        .asks("4 of 27", "q stop")
        .press("q")
        .sees("3 of 27 steps answered")
        .ends();
}

#[test]
fn a_typed_word_starts_no_emergency_and_leaves_no_step_out() {
    let hospital = Hospital::small();
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1", "--by", "m-okafor,j-lindqvist"]));
    // Whether the rest of the word still comes after the question or is passed over, no key of it says yes.
    seat.asks("1 of 5", "q stop").press("help\r").sees("Begin an emergency start?").press("\r");
    seat.sees("q stop").press("p").asks("2 of 5", "reading in psi:").press("1400\r");
    seat.asks("3 of 5", "the seconds you counted:").press("12\r");
    seat.asks("4 of 5", "q stop").press("in-service\r").sees("Leave this step out?").press("\r");
    seat.sees("q stop").press("1").asks("5 of 5", "down:").press("30 to 30 in 10 s\r");
    seat.asks("Read it over", "Enter, or what to change:").press("y\r").sees("The check passed.").ends();
    let text = hospital.text(&hospital.recorded()[0]);
    assert!(!text.contains("emergency") && !text.contains("not-done"), "{text}");
}

#[test]
fn answers_that_were_given_are_meant_for_the_check_they_fit() {
    let hospital = Hospital::small();
    let answers = ["suction=pass", "spare-oxygen-cylinder=1500 psi", "low-pressure-leak=12 s", "absorbent=fresh"];
    let answers = answers.into_iter().chain(["circuit-leak=30 to 30 in 10 s"]).flat_map(|one| ["--set", one]);
    let given: Vec<&str> = ["check", "theatre-1", "--by", "m-okafor,j-lindqvist"].into_iter().chain(answers).collect();
    let given = [&given[..], &["--started", "0630", "--finished", "0640"]].concat();
    Seat::at(hospital.program(&given)).sees("The check passed.").ends();
    // Once it passed, nobody is asked whether another procedure is meant.
    let again = hospital.program_at("2026-11-27T07:12:10+01:00", &[&given[..given.len() - 1], &["0700"]].concat());
    Seat::at(again).sees("The check passed.").ends();
    assert_eq!(hospital.recorded().len(), 2);
}

#[test]
fn back_escape_skip_and_no_colour() {
    let hospital = Hospital::small();
    let mut command = hospital.program(&["check", "theatre-1", "--by", "m-okafor,j-lindqvist"]);
    command.env("NO_COLOR", "1").env("TERM", "dumb");
    let mut seat = Seat::at(command);
    seat.asks("1 of 5", "q stop").press("p");
    seat.asks("2 of 5", "reading in psi:").press("\u{1b}");
    seat.asks("1 of 5", "q stop").sees("answered: pass").press("\r");
    seat.asks("2 of 5", "reading in psi:").press("s\r");
    seat.sees("why is it not done?").press("no key\r");
    seat.sees("not done: no key").asks("3 of 5", "the seconds you counted:").press("b\r");
    seat.asks("2 of 5", "q stop").sees("answered: not done: no key").press("q");
    seat.sees("2 of 5 steps answered").sees("Go on with: pinindex check theatre-1 --procedure daily").ends();
    // A code of colour ends in `m`; others move the cursor.
    let shown = String::from_utf8_lossy(&seat.bytes);
    let codes =
        shown.split("\u{1b}[").skip(1).map(|code| code.split_inclusive(|c: char| c.is_ascii_alphabetic()).next());
    let colours = codes.flatten().filter(|code| code.starts_with('3') && code.ends_with('m') && *code != "39m").count();
    assert_eq!(colours, 0, "colour codes in {:?}", String::from_utf8_lossy(&seat.bytes));
}

#[test]
fn a_machine_that_was_withheld_while_the_check_was_asked_is_not_called_ready() {
    let hospital = Hospital::small();
    let seconds = ["--set", "low-pressure-leak=12 s", "--set", "circuit-leak=30 to 30 in 10 s"];
    let answers = ["--set", "spare-oxygen-cylinder=1500 psi", "--set", "absorbent=fresh"];
    let check = ["check", "theatre-1", "--by", "m-okafor,j-lindqvist"];
    let mut seat = Seat::at(hospital.program(&[&check[..], &seconds, &answers].concat()));
    seat.asks("Patient suction", "q stop");
    let found = ["fault", "theatre-1", "--found-during", "in-use", "--found", "0641", "--by", "m-okafor"];
    let fault = [&found[..], &["--what", "bellows stick", "--use", "withheld"]].concat();
    let output = hospital.program(&fault).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    seat.press("p").asks("Read it over", "Enter, or what to change:").press("\r");
    seat.sees("Theatre 1 is withheld from use until it is released.").ends();
    assert!(!seat.shows().contains("ready. Whether"), "{}", seat.shows());
}
