//! The walk through a check, key by key, with somebody who does what a list says.

use super::scripted::{Do, Scripted};
use super::*;
use crate::bedside::console::{Held, Key};
use crate::bedside::steps;
use crate::logbook;
use crate::procedure::Sheet;
use crate::record::{Answer, Quantity};
use std::path::Path;

fn p() -> Do {
    Do::Key(Key::Char('p'))
}

fn key(c: char) -> Do {
    Do::Key(Key::Char(c))
}

fn line(text: &str) -> Do {
    Do::Line(text.to_owned())
}

fn quantity(text: &str) -> Quantity {
    text.parse().unwrap()
}

/// What a walk left behind.
struct Walked {
    end: End,
    draft: Draft,
    console: Scripted,
    /// The text of the draft, each time it was kept.
    kept: Vec<String>,
}

/// Walks through some items of the example's daily procedure on theatre-1.
fn walk_from(items: &[&str], draft: Draft, from_paper: bool, script: impl IntoIterator<Item = Do>) -> Walked {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, _) = crate::contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    let mut procedure = contents.procedures[&("daily".to_owned(), 2)].clone();
    if !items.is_empty() {
        procedure.items.retain(|item| items.contains(&item.id.as_str()));
        assert_eq!(procedure.items.len(), items.len());
    }
    let machine = contents.machines["theatre-1"].clone();
    let sheet = Sheet::of(&procedure, &machine);
    let steps = steps(&sheet);
    let site = contents.site.clone().unwrap();
    let asked = Asked { contents: &contents, site: &site, machine: &machine, procedure: &procedure, steps: &steps };
    let mut console = Scripted::new(script);
    let mut kept = Vec::new();
    let mut keep = |draft: &Draft| {
        kept.push(draft.text()?);
        Ok(())
    };
    let started = draft.started.or(Some(console.now));
    let draft = Draft {
        machine: Some("theatre-1".to_owned()),
        by: vec!["m-okafor".to_owned(), "j-lindqvist".to_owned()],
        started,
        ..draft
    };
    let mut guide = Guide {
        console: &mut console,
        asked,
        draft,
        keep: &mut keep,
        from_paper,
        finish_given: from_paper,
        start_given: false,
    };
    let end = guide.run().unwrap();
    let draft = guide.draft;
    Walked { end, draft, console, kept }
}

fn walk(items: &[&str], script: impl IntoIterator<Item = Do>) -> Walked {
    walk_from(items, Draft::default(), false, script)
}

impl Walked {
    fn result(&self, item: &str) -> &crate::record::ItemResult {
        let single = self.draft.results.single().find(|(id, each, _, _)| crate::record::place(id, *each) == item);
        single
            .map(|(_, _, result, _)| result)
            .unwrap_or_else(|| panic!("{item} has no answer:\n{}", self.console.text()))
    }

    fn answer(&self, item: &str) -> &Answer {
        &self.result(item).answer
    }

    fn says(&self, words: &str) {
        assert!(self.console.text().contains(words), "`{words}` was not said:\n{}", self.console.text());
    }
}

#[test]
fn every_kind_of_step_takes_its_answer_and_says_the_verdict_at_once() {
    let items = ["suction", "spare-oxygen-cylinder", "low-pressure-leak", "absorbent", "circuit-leak"];
    let walked = walk(
        &items,
        [
            p(),
            line("1250"),
            Do::Enter,
            Do::Held(Held::ToTheEnd),
            p(),
            key('2'),
            Do::Enter,
            Do::Held(Held::ToTheEnd),
            line("29"),
            Do::Enter,
        ],
    );
    assert_eq!(walked.end, End::Record);
    assert_eq!(walked.answer("suction"), &Answer::Pass);
    assert_eq!(walked.answer("spare-oxygen-cylinder"), &Answer::Reading(quantity("1250 psi")));
    assert_eq!(walked.answer("low-pressure-leak"), &Answer::Held(quantity("10 s")));
    assert_eq!(walked.answer("absorbent"), &Answer::Choice("part-used".to_owned()));
    let (from, to, time) = (quantity("30 cmH2O"), quantity("29 cmH2O"), quantity("10 s"));
    assert_eq!(walked.answer("circuit-leak"), &Answer::PressureHeld { from, to, time });
    // 660 L times 1250/1900 of a full cylinder, at 2 L/min, each rounded down (worked out by hand).
    walked.says("about 434 L, 217 min at 2 L/min (label of the supplier)");
    walked.says("pass: held 10 s");
    walked.says("fall in pressure 1 cmH2O");
    assert_eq!(walked.kept.len(), items.len() + 1, "each answer is kept once, and the end of the check");
    assert!(walked.draft.finished > walked.draft.started);
}

#[test]
fn a_failure_says_what_follows_and_whom_to_call_and_is_kept_before_anything_else_is_asked() {
    let walked = walk(&["spare-oxygen-cylinder"], [line("800 psi")]);
    assert_eq!(walked.end, End::Stopped);
    assert!(walked.kept[0].contains("800 psi"));
    walked.says("FAILS: 800 psi");
    walked.says("reading 800 psi (limit not met: at least 1000 psi)");
    walked.says("the machine is withheld from use");
    walked.says("Call: Rosa Castellanos");
}

#[test]
fn tested_again_keeps_the_failed_try_and_typed_wrongly_does_not() {
    let walked = walk(&["spare-oxygen-cylinder"], [line("800"), key('a'), line("1400"), Do::Enter]);
    let result = walked.result("spare-oxygen-cylinder");
    assert_eq!(result.answer, Answer::Reading(quantity("1400 psi")));
    assert_eq!(result.earlier, [Answer::Reading(quantity("800 psi"))]);
    walked.says("tried before: 800 psi");
    let walked = walk(&["spare-oxygen-cylinder"], [line("140"), key('c'), line("1400"), Do::Enter]);
    assert_eq!(walked.result("spare-oxygen-cylinder").earlier, []);
    assert_eq!(walked.end, End::Record);
}

#[test]
fn a_step_left_after_a_failed_try_keeps_the_try() {
    let failed = [Answer::Reading(quantity("800 psi"))];
    let left = Answer::NotDone("no cylinder left".to_owned());
    let by_s = [line("800"), key('s'), key('y'), line("no cylinder left"), Do::Enter];
    let by_a_then_s = [line("800"), key('a'), line("s"), line("no cylinder left"), Do::Enter];
    for script in [by_s.to_vec(), by_a_then_s.to_vec()] {
        let walked = walk(&["spare-oxygen-cylinder"], script);
        assert_eq!(walked.end, End::Record);
        assert_eq!(walked.answer("spare-oxygen-cylinder"), &left);
        assert_eq!(walked.result("spare-oxygen-cylinder").earlier, failed);
        walked.says(
            "The failed try stays in the record. If something is wrong, write it down: `pinindex fault theatre-1`.",
        );
        walked.says("tried before: 800 psi");
    }
    // Typed wrongly, there was no try; what passed was no failed one.
    let mistyped = [line("800"), key('c'), line("s"), line("no cylinder left"), Do::Enter];
    let passed = [line("1400"), line("1"), key('s'), key('y'), line("no cylinder left"), Do::Enter];
    for script in [mistyped.to_vec(), passed.to_vec()] {
        let walked = walk(&["spare-oxygen-cylinder"], script);
        assert_eq!(walked.answer("spare-oxygen-cylinder"), &left);
        assert_eq!(walked.result("spare-oxygen-cylinder").earlier, []);
        assert!(!walked.console.text().contains("The failed try stays"), "{}", walked.console.text());
    }
}

#[test]
fn a_check_is_finished_when_it_is_recorded_also_after_a_stop() {
    let stopped = walk(&["suction"], [p(), line("q")]);
    assert_eq!((stopped.end, stopped.draft.finished), (End::Stopped, None));
    let old = "2026-11-27T06:42:11+01:00".parse().ok();
    let again = walk_from(&["suction"], Draft { finished: old, ..stopped.draft }, false, [Do::Enter]);
    assert_eq!(again.end, End::Record);
    assert_eq!(again.draft.finished, Some(again.console.now));
    let kept = again.kept.last().expect("the end is kept");
    assert!(kept.contains(&format!("finished: \"{}\"", again.console.now)), "{kept}");
}

#[test]
fn a_clock_that_was_put_back_is_told_and_the_check_can_be_recorded() {
    let started = "2026-11-27T07:42:00+01:00".parse().ok();
    let draft = Draft { started, remarks: Some("a quiet morning.".to_owned()), ..Draft::default() };
    let walked = walk_from(&["suction"], draft, false, [p(), Do::Enter]);
    assert_eq!(walked.end, End::Record);
    let told = "The clock of this computer was put back: the check was begun at 2026-11-27 07:42 by it, and now it says \
                2026-11-27 06:42.";
    walked.says(told);
    assert_eq!(walked.draft.remarks, Some(format!("a quiet morning. {told}")), "both times stay in the record");
    // A record whose end is before its beginning, or ahead of the clock, is refused.
    assert!(walked.draft.started <= walked.draft.finished && walked.draft.finished <= Some(walked.console.now));
}

#[test]
fn a_thing_let_go_early_was_held_for_a_shorter_time() {
    let walked = walk(&["low-pressure-leak"], [Do::Enter, Do::Held(Held::LetGo(6)), Do::Enter, Do::Enter]);
    assert_eq!(walked.answer("low-pressure-leak"), &Answer::Held(quantity("6 s")));
    walked.says("FAILS: held 6 s");
    let walked = walk(&["low-pressure-leak"], [Do::Enter, Do::Held(Held::CalledOff), line("14"), Do::Enter]);
    assert_eq!(walked.answer("low-pressure-leak"), &Answer::Held(quantity("14 s")));
}

#[test]
fn a_hold_does_not_pass_by_itself() {
    let counted = [Do::Enter, Do::Held(Held::ToTheEnd)];
    let then = |keys: &[Do]| walk(&["low-pressure-leak"], counted.iter().chain(keys).cloned());
    // Nobody touches the keyboard, or only Enter: there is no answer.
    let silent = then(&[Do::Enter, Do::Enter]);
    assert_eq!((silent.end, silent.kept.len()), (End::Stopped, 0));
    silent.says("The 10 s are over. Did it hold to the end?");
    assert_eq!(then(&[key('p'), Do::Enter]).answer("low-pressure-leak"), &Answer::Held(quantity("10 s")));
    assert_eq!(then(&[key('f'), Do::Enter, Do::Enter]).answer("low-pressure-leak"), &Answer::Fail);
    let typed = then(&[key('t'), line("7"), Do::Enter, Do::Enter]);
    assert_eq!(typed.answer("low-pressure-leak"), &Answer::Held(quantity("7 s")));
    let again = then(&[key('b'), Do::Enter, Do::Held(Held::ToTheEnd), key('p'), Do::Enter]);
    assert_eq!(again.end, End::Record);
}

#[test]
fn a_typed_word_leaves_nothing_out() {
    // `help` and Enter: of these keys only `e` is offered, and then none but Enter. `in-service` has an `s`.
    for letter in ['e', 's'] {
        let walked = walk(&["suction"], [key(letter), Do::Enter, p(), Do::Enter]);
        assert_eq!(walked.answer("suction"), &Answer::Pass);
        assert!(!walked.draft.emergency_start);
        walked.says("y yes  Enter no");
    }
    let failed = walk(&["suction"], [key('f'), key('s'), Do::Enter, Do::Enter, Do::Enter]);
    assert_eq!(failed.answer("suction"), &Answer::Fail);
    // Where a word can be typed it is read whole.
    let typed = walk(&["spare-oxygen-cylinder"], [line("skip"), line("no key"), Do::Enter]);
    assert_eq!(typed.answer("spare-oxygen-cylinder"), &Answer::NotDone("no key".to_owned()));
    let other = walk(&["spare-oxygen-cylinder"], [line("shelf"), line("fail"), Do::Enter, Do::Enter]);
    assert_eq!(other.answer("spare-oxygen-cylinder"), &Answer::Fail);
}

#[test]
fn leaving_out_what_cannot_wait_is_told() {
    let told = "one of the few that cannot wait, even in an emergency";
    let emergency = [key('e'), key('y'), Do::Enter, key('s'), key('y'), line("no time"), Do::Enter];
    walk(&["suction"], emergency).says(told);
    let calm = walk(&["suction"], [key('s'), key('y'), line("pump in repair"), Do::Enter]);
    assert!(!calm.console.text().contains(told), "{}", calm.console.text());
}

#[test]
fn whoever_may_do_a_step_is_offered_and_those_who_may_do_most_first() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, _) = crate::contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    let roles = |procedure: &str| {
        let mut known = contents.procedures.iter().filter(|((id, _), _)| id == procedure);
        let sheet = Sheet::of(known.next_back().unwrap().1, &contents.machines["theatre-1"]);
        let people = people::who_may_be(&contents, "2026-11-27".parse().unwrap(), &steps(&sheet));
        let mut roles: Vec<&str> = people.iter().map(|(_, person)| person.role.word()).collect();
        roles.dedup();
        roles.join(" ")
    };
    assert_eq!(roles("daily"), "provider technician");
    assert!(roles("complete").contains("biomed"), "{}", roles("complete"));
    assert!(!roles("complete").contains("auditor"));
    let setting = crate::bedside::setting::Setting { contents: &contents, machine: "theatre-1" };
    let offered = |first: &[crate::register::Role]| {
        let people = setting.people("2026-11-27".parse().unwrap(), first).into_iter();
        people.filter(|offer| offer.words.ends_with(", auditor")).count()
    };
    assert_eq!(offered(&[crate::register::Role::Biomed]), 0, "work is not an auditor's");
    assert_eq!(offered(&[]), 1, "an auditor may write something down");
    let mut console = Scripted::new([line("q")]);
    let sheet = Sheet::of(&contents.procedures[&("daily".to_owned(), 2)], &contents.machines["theatre-1"]);
    let day = "2026-11-27".parse().unwrap();
    assert_eq!(people::ask(&mut console, &contents, (day, &steps(&sheet)), "Who?").unwrap(), None);
}

#[test]
fn a_pressure_held_can_be_typed_in_one_line_and_a_leak_is_told_as_a_flow() {
    let walked = walk(&["circuit-leak"], [line("30 to 25 in 10 s"), Do::Enter, Do::Enter]);
    let (from, to, time) = (quantity("30 cmH2O"), quantity("25 cmH2O"), quantity("10 s"));
    assert_eq!(walked.answer("circuit-leak"), &Answer::PressureHeld { from, to, time });
    // 7 mL/cmH2O times 5 cmH2O in 10 s is 210 mL in a minute.
    walked.says("210 mL/min");
}

#[test]
fn back_shows_what_was_answered_and_enter_leaves_it() {
    let items = ["suction", "power-on", "monitors"];
    let walked =
        walk(&items, [p(), key('b'), Do::Enter, p(), Do::Escape, key('c'), key('f'), Do::Enter, p(), Do::Enter]);
    assert_eq!(walked.answer("suction"), &Answer::Pass);
    assert_eq!(walked.answer("power-on"), &Answer::Fail);
    assert_eq!(walked.answer("monitors"), &Answer::Pass);
    walked.says("answered: pass");
    let walked = walk(&["suction"], [key('b'), p(), Do::Enter]);
    walked.says("This is the first step.");
    assert_eq!(walked.end, End::Record);
}

#[test]
fn a_step_is_skipped_only_with_a_reason_and_takes_a_remark() {
    let items = ["suction", "spare-oxygen-cylinder", "circuit-leak"];
    let walked = walk(
        &items,
        [
            key('s'),
            key('y'),
            Do::Escape,
            key('s'),
            key('y'),
            line(""),
            line("pump in repair"),
            line("r"),
            line("gauge is scratched"),
            line("1400"),
            line("30s"),
            line("no time"),
            Do::Enter,
        ],
    );
    assert_eq!(walked.answer("suction"), &Answer::NotDone("pump in repair".to_owned()));
    assert_eq!(walked.result("spare-oxygen-cylinder").remark.as_deref(), Some("gauge is scratched"));
    assert_eq!(walked.answer("circuit-leak"), &Answer::NotDone("no time".to_owned()), "a letter behind the suggestion");
    walked.says("not done (pump in repair): 1 Patient suction");
    walked.says("remark 2 Spare oxygen cylinder: gauge is scratched");
}

#[test]
fn an_emergency_start_asks_only_what_cannot_wait() {
    // After the first step, four that cannot wait are left: suction, three gases, and the two-bag test.
    let cannot_wait = [p(), p(), line("51"), line("52"), line("53"), p(), Do::Enter];
    let script = [key('1'), key('e'), key('y'), Do::Enter].into_iter().chain(cannot_wait);
    let walked = walk(&[], script);
    assert_eq!(walked.end, End::Record);
    assert!(walked.draft.emergency_start);
    assert_eq!(walked.answer("battery"), &Answer::NotDone("emergency start".to_owned()));
    assert_eq!(walked.answer("gas-flow"), &Answer::Pass);
    assert_eq!(walked.answer("status-label"), &Answer::Choice("in-service".to_owned()));
    walked.says("EMERGENCY START");
    walked.says("before it is used again: `pinindex check theatre-1`");
}

#[test]
fn an_emergency_start_begun_by_mistake_is_taken_back() {
    let walked =
        walk(&["suction", "power-on"], [key('e'), key('y'), Do::Enter, key('e'), key('y'), p(), p(), Do::Enter]);
    assert!(!walked.draft.emergency_start);
    assert_eq!(walked.answer("power-on"), &Answer::Pass);
}

#[test]
fn what_was_skipped_for_its_own_reason_stays_so_when_it_was_no_emergency() {
    let items = ["suction", "power-on", "battery", "monitors"];
    let skipped = [p(), key('s'), key('y'), line("fuse out"), key('e'), key('y'), line("a patient waits")];
    let first = walk(&items, skipped.into_iter().chain([line("1"), key('q')]));
    assert_eq!(first.answer("monitors"), &Answer::NotDone("a patient waits".to_owned()));
    // The reason outlives a stop.
    let (draft, faults) = Draft::read("draft", first.kept.last().unwrap().as_bytes());
    assert_eq!(faults, []);
    let mut draft = draft.unwrap();
    draft.results.0.retain(|(id, _)| id != "suction");
    let second = walk_from(&items, draft, false, [key('e'), key('y'), p(), p(), p(), Do::Enter]);
    assert!(!second.draft.emergency_start && second.draft.emergency_reason.is_none());
    assert_eq!(second.end, End::Record);
    for item in ["suction", "battery", "monitors"] {
        assert_eq!(second.answer(item), &Answer::Pass, "{item}");
    }
    assert_eq!(second.answer("power-on"), &Answer::NotDone("fuse out".to_owned()));
}

#[test]
fn at_the_end_a_number_changes_a_step_and_a_remark_is_put_on_the_whole() {
    let walked = walk(
        &["suction", "absorbent"],
        [p(), key('1'), line("9"), line("2"), key('c'), key('2'), line("r"), line("a quiet morning"), Do::Enter],
    );
    assert_eq!(walked.answer("absorbent"), &Answer::Choice("part-used".to_owned()));
    assert_eq!(walked.draft.remarks.as_deref(), Some("a quiet morning"));
    walked.says("type y, a number from 1 to 2, r or q");
    assert_eq!(walk(&["suction"], [p(), line("q")]).end, End::Stopped);
}

#[test]
fn a_check_stopped_anywhere_goes_on_where_it_was() {
    let items = ["suction", "power-on", "monitors"];
    for answered in 0..items.len() {
        let first = walk(&items, std::iter::repeat_n(p(), answered).chain([key('q')]));
        assert_eq!(first.end, End::Stopped);
        let (draft, faults) = match first.kept.last() {
            Some(text) => Draft::read("draft", text.as_bytes()),
            None => (Some(Draft::default()), Vec::new()),
        };
        assert_eq!(faults, []);
        let rest = std::iter::repeat_n(p(), items.len() - answered).chain([Do::Enter]);
        let second = walk_from(&items, draft.unwrap(), false, rest);
        assert_eq!(second.end, End::Record);
        assert_eq!(second.draft.results.0.len(), items.len());
    }
}

#[test]
fn a_number_that_is_hard_to_believe_is_taken_only_when_somebody_says_so() {
    let items = ["spare-oxygen-cylinder", "pipeline-pressure"];
    // Typed again; then another one that the gauge shows.
    let script = [line("40000"), Do::Enter, line("1250"), line("52 bar"), key('y'), line("52"), line("51"), Do::Enter];
    let walked = walk(&items, script);
    walked.says("40000 psi? It is hard to believe: a full cylinder shows 1900 psi");
    walked.says("Enter: type it again   y: the gauge shows it");
    assert_eq!(walked.answer("spare-oxygen-cylinder"), &Answer::Reading(quantity("1250 psi")));
    assert_eq!(walked.answer("pipeline-pressure/oxygen"), &Answer::Reading(quantity("52 bar")));
    assert_eq!(walked.end, End::Record);
    let over = walked.console.text();
    let over = over.split("Read it over").nth(1).unwrap();
    assert!(over.contains("52 bar? It is hard to believe: a usual pipeline has about 400 kPa"), "{over}");
}

#[test]
fn what_cannot_be_understood_is_asked_again_with_a_reason() {
    let walked = walk(&["spare-oxygen-cylinder"], [line(""), line("1,250"), line("12 L"), line("1250"), Do::Enter]);
    walked.says("a number is needed here");
    walked.says("`1,250` could mean 1250 or 1.250");
    assert_eq!(walked.end, End::Record);
}

#[test]
fn every_question_and_the_read_over_fit_one_screen() {
    // The worst reading over: everything failed with a long remark.
    let script =
        std::iter::repeat_n([line("r"), line(&"a long remark about this step ".repeat(8)), line("1"), Do::Enter], 16);
    let items = ["spare-oxygen-cylinder", "pipeline-pressure", "oxygen-monitor-flush", "oxygen-monitor-air"];
    let walked = walk(&items, script.flatten().take(6 * 4).chain([Do::Enter]));
    let rows = |line: &str| line.chars().count() / 62 + 1;
    let parts: Vec<Vec<&String>> =
        walked.console.shown.split(|line| line == "---").map(|part| part.iter().collect()).collect();
    assert_eq!(parts.len(), 6 + 2, "six questions and the reading over:\n{}", walked.console.text());
    for part in parts {
        let rows: usize = part.iter().map(|line| rows(line)).sum();
        assert!(rows <= 22 || !part[0].starts_with("Read it over"), "{rows} rows:\n{part:?}");
    }
}

#[test]
fn from_paper_a_step_is_one_line_and_nothing_is_counted_down() {
    let items = ["suction", "low-pressure-leak", "circuit-leak"];
    let finished = "2026-11-27T06:58:00+01:00".parse().ok();
    let draft = Draft { finished, ..Draft::default() };
    let walked =
        walk_from(&items, draft, true, [p(), line("12"), line("30"), line("29"), line(""), line("10"), Do::Enter]);
    assert_eq!(walked.end, End::Record);
    assert_eq!(walked.answer("low-pressure-leak"), &Answer::Held(quantity("12 s")));
    assert_eq!(walked.draft.finished, finished, "the time on the sheet stays");
    assert!(!walked.console.text().contains("counting"), "{}", walked.console.text());
    for prompt in ["time held in s:", "pressure at the start in cmH2O:", "time watched in s:"] {
        let shown = walked.console.shown.iter().filter(|line| line.contains(prompt));
        assert!(
            shown.clone().count() > 0 && shown.clone().all(|line| line.ends_with(&format!("{prompt} "))),
            "{prompt}"
        );
    }
    assert!(!walked.console.text().contains("Turn suction on"), "no instructions");
}

#[test]
fn a_whole_sheet_of_paper_is_typed_in_within_two_minutes() {
    let head = [Do::Enter, line("0642"), line("0658"), line("1 3"), Do::Enter, line("k7f3")];
    let numbers = |numbers: [&str; 3]| numbers.map(line);
    let steps = [key('1'), p(), p(), p(), p(), p(), line("1530")]
        .into_iter()
        .chain(numbers(["53", "52", "54"]))
        .chain([p(), p(), line("12"), line("12"), line("12"), p(), line("27"), p(), line("21"), line("96")])
        .chain([p(), p(), key('2'), line("30"), line("30"), line("10"), p(), p(), p(), Do::Enter]);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, _) = crate::contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    let today = "2026-11-27".parse().unwrap();
    let mut console = Scripted::new(head);
    assert_eq!(paper::day(&mut console, today).unwrap(), Some(today));
    let mut draft = Draft::default();
    let zone = contents.site.as_ref().unwrap().time_zone;
    let sheet = Sheet::of(&contents.procedures[&("daily".to_owned(), 2)], &contents.machines["theatre-1"]);
    let known = (&contents, &crate::bedside::steps(&sheet)[..]);
    assert!(paper::head(&mut console, known, &mut draft, (today, zone), "k7f3-q2x9").unwrap());
    assert_eq!(draft.started.map(|started| started.to_string()).as_deref(), Some("2026-11-27T06:42:00+01:00"));
    assert_eq!(draft.form.as_ref().map(|form| form.code.as_str()), Some("k7f3-q2x9"));
    let head_keys = console.keys;
    let walked = walk_from(&[], draft, true, steps);
    assert_eq!(walked.end, End::Record);
    assert_eq!(walked.draft.results.single().count(), 27);
    let keys = head_keys + walked.console.keys;
    assert!(keys < 240, "more than two minutes at two keys a second");
    let row = format!("| sheet of paper typed in, key presses | {keys} |");
    assert!(include_str!("../../../DEVELOPERS.md").contains(&row), "DEVELOPERS.md must say `{row}`");
}

#[test]
fn a_sheet_made_for_other_limits_is_told_and_its_code_is_kept() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, _) = crate::contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    let day = "2026-11-27".parse().unwrap();
    let zone = contents.site.as_ref().unwrap().time_zone;
    let script = [
        line("2350"),
        line("2340"),
        line("0005"),
        line("1"),
        line("z-hrub"),
        line("z-hruba"),
        line("0000"),
        line("0000-1111"),
    ];
    let mut console = Scripted::new(script);
    let mut draft = Draft::default();
    let sheet = Sheet::of(&contents.procedures[&("daily".to_owned(), 2)], &contents.machines["theatre-1"]);
    let known = (&contents, &steps(&sheet)[..]);
    assert!(paper::head(&mut console, known, &mut draft, (day, zone), "k7f3-q2x9").unwrap());
    assert_eq!(draft.finished.map(|moment| moment.to_string()).as_deref(), Some("2026-11-28T00:05:00+01:00"));
    assert_eq!(draft.recorded_by.as_deref(), Some("z-hruba"));
    assert_eq!(draft.form.as_ref().map(|form| form.code.as_str()), Some("0000-1111"));
    assert!(console.text().contains("that is before it was started"));
    assert!(console.text().contains("did you mean `z-hruba`?"));
    assert!(console.text().contains("begins otherwise: type all eight signs"));
    assert!(!console.text().contains("k7f3"), "the code of now is not shown before that of the sheet is typed");
    assert!(console.text().contains("made for other items or other limits"));
}

#[test]
fn who_does_a_step_is_said_where_not_everybody_may() {
    let walked = walk(&["backup-ventilation", "suction", "ready"], [p(), p(), p(), Do::Enter]);
    assert_eq!(walked.console.text().matches("  done by").count(), 2, "{}", walked.console.text());
    walked.says("done by a provider and a technician");
    walked.says("done by a provider\n");
}

#[test]
fn an_answer_is_given_by_the_name_of_its_place() {
    let walked = walk(&[], [Do::Stop]);
    assert_eq!(walked.end, End::Stopped);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, _) = crate::contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    let sheet = Sheet::of(&contents.procedures[&("daily".to_owned(), 2)], &contents.machines["theatre-1"]);
    let steps = steps(&sheet);
    let named = |text: &str| {
        let (at, answer) = crate::bedside::named::named(&steps, text)?;
        Ok::<_, String>((steps[at].place(), crate::procedure::answer::seen(&answer)))
    };
    for (text, place, seen) in [
        ("suction=pass", "suction", "pass"),
        ("pipeline-pressure/oxygen=51", "pipeline-pressure/oxygen", "51 psi"),
        ("pipeline-pressure/oxygen=3,5 BAR", "pipeline-pressure/oxygen", "3.5 bar"),
        ("low-pressure-leak = 12 s", "low-pressure-leak", "held 12 s"),
        ("circuit-leak=30 to 29 in 10 s", "circuit-leak", "30 cmH2O to 29 cmH2O in 10 s"),
        ("absorbent=Part used", "absorbent", "part-used"),
        ("battery=not done: charger being replaced", "battery", "not done: charger being replaced"),
        ("spare-oxygen-cylinder=fail", "spare-oxygen-cylinder", "fail"),
    ] {
        assert_eq!(named(text), Ok((place.to_owned(), seen.to_owned())), "{text}");
    }
    for (text, why) in [
        ("suction", "`suction` has no `=`: write place and answer, such as `suction=pass`"),
        ("sucton=pass", "this check does not ask for `sucton`: did you mean `suction`?"),
        ("battery=not done", "`battery`: say why it was not done"),
        ("circuit-leak=30", "`circuit-leak`: write it as `30 to 29 in 10 s`"),
        (
            "vaporizer-leak=12 s",
            "`vaporizer-leak` is asked more than once: name one of vaporizer-leak/isoflurane, vaporizer-leak/sevoflurane",
        ),
    ] {
        assert_eq!(named(text), Err(why.to_owned()), "{text}");
    }
}
