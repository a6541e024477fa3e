//! What becomes of a check that is stopped by force: a power cut after every step, a closed terminal, two at one check.

use super::hospital::Hospital;
use super::seat::Seat;
use std::time::{Duration, Instant};

/// The steps of the small procedure: its title, the end of its prompt, the keys, and what is kept of it.
const STEPS: [(&str, &str, &str, &str); 5] = [
    ("1 of 5", "q stop", "p", "suction: pass"),
    ("2 of 5", "reading in psi:", "1530\r", "reading: 1530 psi"),
    ("3 of 5", "the seconds you counted:", "12\r", "held: 12 s"),
    ("4 of 5", "q stop", "1", "choice: fresh"),
    ("5 of 5", "down:", "30 to 30 in 10 s\r", "from: 30 cmH2O"),
];

const CHECK: [&str; 4] = ["check", "theatre-1", "--by", "m-okafor,j-lindqvist"];

#[test]
fn a_power_cut_after_every_step_costs_nothing() {
    let hospital = Hospital::small();
    for (n, (title, prompt, keys, kept)) in STEPS.iter().enumerate() {
        let mut seat = Seat::at(hospital.program(&CHECK));
        if n > 0 {
            seat.sees(&format!("{n} of 5 answered")).sees("Enter: go on with it").press("\r");
        }
        seat.asks(title, prompt).press(keys);
        // The next question stands on the screen, so that the answer before it must be kept.
        seat.sees(if n < 4 { STEPS[n + 1].0 } else { "Read it over" });
        seat.cut_power();
        let draft = hospital.text("drafts/theatre-1.daily.yaml");
        for (.., kept) in STEPS.iter().take(n) {
            assert!(draft.contains(kept), "`{kept}` was lost:\n{draft}");
        }
        assert!(draft.contains(kept), "`{kept}` was lost:\n{draft}");
        assert_eq!(hospital.recorded(), [""; 0], "a draft is nothing for git");
    }
    let mut seat = Seat::at(hospital.program(&CHECK));
    seat.sees("5 of 5 answered").sees("Enter: go on with it").press("\r");
    seat.asks("Read it over", "Enter, or what to change:").press("\r").sees("The check passed.").ends();
    assert_eq!(hospital.recorded().len(), 1);
    assert_eq!(hospital.drafts(), [""; 0]);
}

#[test]
fn a_closed_terminal_leaves_the_draft() {
    let hospital = Hospital::small();
    let mut seat = Seat::at(hospital.program(&CHECK));
    seat.asks("1 of 5", "q stop").press("p");
    seat.asks("2 of 5", "reading in psi:");
    let process = seat.process();
    drop(seat);
    let begun = Instant::now();
    while std::path::Path::new(&format!("/proc/{process}/cmdline")).exists() {
        let dead = std::fs::read(format!("/proc/{process}/cmdline")).is_ok_and(|line| line.is_empty());
        if dead {
            break;
        }
        assert!(begun.elapsed() < Duration::from_secs(30), "the program outlives its terminal");
        std::thread::sleep(Duration::from_millis(20));
    }
    assert!(hospital.text("drafts/theatre-1.daily.yaml").contains("suction: pass"));
}

#[test]
fn two_terminals_do_not_fill_in_one_check() {
    let hospital = Hospital::small();
    let mut first = Seat::at(hospital.program(&CHECK));
    first.asks("1 of 5", "q stop").press("p");
    first.asks("2 of 5", "reading in psi:");
    let mut second = Seat::at(hospital.program(&CHECK));
    second.sees("is being filled in at another terminal at this moment").ends();
    first.press("1530\r").asks("3 of 5", "the seconds you counted:");
}

#[test]
fn begun_anew_the_old_draft_is_put_aside() {
    let hospital = Hospital::small();
    let mut seat = Seat::at(hospital.program(&CHECK));
    seat.asks("1 of 5", "q stop").press("p").asks("2 of 5", "reading in psi:").press("q\r").sees("Stopped").ends();
    let mut seat = Seat::at(hospital.program(&CHECK));
    seat.sees("1 of 5 answered").sees("q: stop").press("n");
    seat.asks("1 of 5", "q stop").press("q").sees("nothing was kept").ends();
    assert_eq!(hospital.drafts(), ["theatre-1.daily.1.aside"], "nothing was answered, so that nothing is left");
}

#[test]
fn a_draft_that_is_no_text_is_put_aside_and_the_check_goes_on() {
    let hospital = Hospital::small();
    hospital.put("drafts/theatre-1.daily.yaml", "");
    std::fs::write(hospital.root().join("drafts/theatre-1.daily.yaml"), b"by: [\xff]").unwrap();
    let mut seat = Seat::at(hospital.program(&CHECK));
    seat.sees("cannot be read as a draft. It is put aside as drafts/theatre-1.daily.1.aside");
    seat.asks("1 of 5", "q stop").press("p").asks("2 of 5", "reading in psi:").press("q\r").sees("Stopped").ends();
    assert_eq!(hospital.drafts(), ["theatre-1.daily.1.aside", "theatre-1.daily.yaml"]);
}

/// Takes the day away that is suggested.
const CLEAR: &str = "\u{7f}\u{7f}\u{7f}\u{7f}\u{7f}\u{7f}\u{7f}\u{7f}\u{7f}\u{7f}";

#[test]
fn a_sheet_of_another_day_is_another_draft() {
    let hospital = Hospital::small();
    for day in ["2026-11-25", "2026-11-26"] {
        let mut seat =
            Seat::at(hospital.program(&["check", "theatre-1", "--from-paper", "--by", "m-okafor,j-lindqvist"]));
        seat.sees("day on the sheet:").press(&format!("{CLEAR}{day}\r"));
        seat.sees("started:").press("2026-11-24 0615\r").sees(&format!("another day than that of the sheet, {day}"));
        seat.press("0615\r").sees("finished:").press("0630\r").sees("who types it in").press("\r");
        seat.sees("code on the sheet")
            .press(&super::check::code_on_the_sheet(&hospital))
            .press("\r")
            .sees("1 Patient suction")
            .sees("q stop")
            .press("p");
        seat.sees("2 Spare oxygen cylinder").press("q\r").sees(&format!("The day on the sheet: {day}")).ends();
    }
    assert_eq!(hospital.drafts(), ["theatre-1.daily.2026-11-25.paper.yaml", "theatre-1.daily.2026-11-26.paper.yaml"]);
    let mut seat = Seat::at(hospital.program(&["check", "theatre-1", "--from-paper"]));
    seat.sees("day on the sheet:")
        .press(&format!("{CLEAR}2026-11-25\r"))
        .sees("begun 06:15")
        .sees("1 of 5 answered")
        .press("q");
    seat.ends();
}
