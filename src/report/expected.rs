//! Section: the checks that were expected before the first case of the day, and what came of them.

use super::basis::Basis;
use super::calendar::{self, weekday};
use super::document::{Block, Column, Figure, Section, Table};
use super::period::Period;
use super::proportion::count;
use super::tally::Tally;
use crate::diagnostic::counted;
use crate::procedure::When;
use crate::record::Date;
use crate::timeline::DayState;

/// One machine's days of the period.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MachineDays {
    pub machine: String,
    /// Whether the calendar says when the machine is expected. Without that, nothing is known to be expected or
    /// missing, and what was done is counted for itself.
    pub known: bool,
    pub expected: usize,
    pub done: usize,
    pub late: usize,
    pub missing: Vec<Date>,
    pub incomplete: Vec<LeftIncomplete>,
    pub withheld: usize,
    pub not_yet: usize,
    /// Checks on days on which none was expected.
    pub extra: usize,
}

/// A check that was not complete before the day's first patient.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftIncomplete {
    pub date: Date,
    pub path: String,
    /// Every item was done, but only after a patient's check.
    pub completed_after_patient: bool,
}

/// All machines' days, and whether a calendar says what was expected.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    pub machines: Vec<MachineDays>,
    /// The sum over the machines of which it is known when they are expected.
    pub total: MachineDays,
    pub calendar: bool,
}

/// Counts the days of every machine.
///
/// Expected = done + incomplete + missing; days withheld and days not over yet are apart.
pub fn counted_days(basis: &Basis<'_>, tally: &Tally<'_>) -> Expected {
    let calendar = tally.has_calendars(basis.period);
    let machines: Vec<MachineDays> =
        basis.machines().map(|(id, ..)| days_of(tally, id, tally.is_known(id, basis.period), basis.period)).collect();
    let total = all_machines(&machines, calendar);
    Expected { machines, total, calendar }
}

/// Counts the days of one machine in a span.
pub fn days_of(tally: &Tally<'_>, id: &str, known: bool, span: Period) -> MachineDays {
    let mut days = MachineDays { machine: id.to_owned(), known, ..MachineDays::default() };
    for day in tally.days(id, span) {
        if known && !day.expected {
            days.extra += usize::from(day.state != DayState::Withheld);
            continue;
        }
        days.expected += usize::from(!matches!(day.state, DayState::Withheld | DayState::NotYet));
        match &day.state {
            DayState::Done { late, .. } => {
                days.done += 1;
                days.late += usize::from(*late);
            }
            DayState::Incomplete { path, completed_after_patient, .. } => {
                let (path, completed_after_patient) = (path.clone(), *completed_after_patient);
                days.incomplete.push(LeftIncomplete { date: day.date, path, completed_after_patient });
            }
            DayState::Missing => days.missing.push(day.date),
            DayState::Withheld => days.withheld += 1,
            DayState::NotYet => days.not_yet += 1,
        }
    }
    days
}

/// Adds the days of the machines of which it is known, or of those of which it is not known, when they are expected.
pub fn all_machines(machines: &[MachineDays], known: bool) -> MachineDays {
    let mut total = MachineDays { machine: "All machines".to_owned(), known, ..MachineDays::default() };
    for days in machines.iter().filter(|days| days.known == known) {
        total.expected += days.expected;
        total.done += days.done;
        total.late += days.late;
        total.withheld += days.withheld;
        total.not_yet += days.not_yet;
        total.extra += days.extra;
        total.missing.extend(&days.missing);
        total.incomplete.extend(days.incomplete.iter().cloned());
    }
    total
}

/// Returns the whole in one sentence.
pub fn sentence(expected: &Expected) -> String {
    let MachineDays { expected: n, done, late, missing, incomplete, withheld, .. } = &expected.total;
    if !expected.calendar {
        return "There is no calendar for every year of the period, so the number of checks expected is unknown."
            .to_owned();
    }
    let mut parts = vec![format!("{done} of {n} checks expected before the first case were done")];
    parts.push(format!("{late} of them written down late"));
    if !incomplete.is_empty() {
        parts.push(format!("{} left incomplete", counted(incomplete.len(), "check")));
    }
    parts.push(format!("{} missing", missing.len()));
    let withheld = match withheld {
        0 => String::new(),
        days => format!(
            " On {} a machine was withheld from use and no check was expected.",
            counted(*days, "further machine-day")
        ),
    };
    format!("{}.{withheld}", parts.join(", "))
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, tally: &Tally<'_>, expected: &Expected) -> (Section, Vec<Figure>) {
    let mut figures = Vec::new();
    let mut rows = Vec::new();
    for days in expected.machines.iter().chain([&expected.total]) {
        let total = std::ptr::eq(days, &expected.total);
        let (name, id) =
            if total { (days.machine.clone(), "all") } else { (basis.machine(&days.machine), days.machine.as_str()) };
        let known = |k: usize| if days.known { k.to_string() } else { "–".to_owned() };
        rows.push(vec![
            name,
            known(days.expected),
            days.done.to_string(),
            days.late.to_string(),
            days.incomplete.len().to_string(),
            known(days.missing.len()),
            known(days.withheld),
            known(days.extra),
        ]);
        let of = if days.known { "of the expected" } else { "days" };
        for (figure, k, rests_on_calendar, note) in [
            (
                "checks-expected",
                days.expected,
                true,
                "machine-days on which the calendar expects a check before the first case".to_owned(),
            ),
            ("checks-done", days.done, false, format!("{of}, with a check complete before the first patient's check")),
            (
                "checks-done-late",
                days.late,
                false,
                "of the done, with a check written down later than the site allows".to_owned(),
            ),
            (
                "checks-incomplete",
                days.incomplete.len(),
                false,
                format!("{of}, with a check that left an item undone or was completed only after a patient's check"),
            ),
            ("checks-missing", days.missing.len(), true, "of the expected, without a check".to_owned()),
            ("machine-days-withheld", days.withheld, true, "withheld from use all day; not expected".to_owned()),
            ("checks-unexpected", days.extra, true, "days with a check although none was expected".to_owned()),
        ] {
            let known = days.known || !rests_on_calendar;
            figures.push(if known { count(figure, id, k, note) } else { unknown(figure, id) });
        }
    }
    let mut blocks = vec![Block::Paragraph(sentence(expected))];
    let calendar = calendar::block(basis, tally, expected);
    // The calendar has every day that was not plainly done in the table behind it.
    let drawn = matches!(calendar, Some(Block::Picture(_)));
    let named: Vec<&MachineDays> = expected.machines.iter().filter(|days| !(drawn && days.known)).collect();
    blocks.extend(left_undone(basis, &named));
    blocks.extend(calendar);
    blocks.push(Block::Table(Table {
        caption: format!("Checks before the first case of the day, {}, by machine", basis.period.words()),
        columns: vec![
            Column::left("Machine"),
            Column::right("Expected"),
            Column::right("Done"),
            Column::right("of these late"),
            Column::right("Incomplete"),
            Column::right("Missing"),
            Column::right("Withheld"),
            Column::right("Not expected"),
        ],
        rows,
        total: true,
    }));
    if expected.calendar && expected.machines.iter().any(|days| !days.known) {
        blocks.push(Block::Paragraph(
            "A machine that the calendar never names has “–”: how many checks were expected is unknown, and the total leaves it out."
                .to_owned(),
        ));
    }
    let before_patients: usize =
        basis.machines().map(|(_, _, life)| basis.checks(life).filter(|c| c.when == When::EachPatient).count()).sum();
    figures.push(count("checks-before-patients", "all", before_patients, "checks recorded before single patients"));
    blocks.push(Block::Paragraph(format!(
        "{} before single patients were recorded. How many were expected is not known: the logbook holds no list of patients, and must not.",
        counted(before_patients, "check")
    )));
    let section =
        Section { id: "expected".to_owned(), title: "Checks expected and done".to_owned(), blocks, new_page: true };
    (section, figures)
}

/// Returns the missing and the incomplete checks one by one.
fn left_undone(basis: &Basis<'_>, machines: &[&MachineDays]) -> Vec<Block> {
    let mut blocks = Vec::new();
    let missing: Vec<String> = machines
        .iter()
        .flat_map(|days| days.missing.iter().map(|date| (*date, basis.machine(&days.machine))))
        .map(|(date, machine)| format!("{machine}: no check on {}", weekday(date)))
        .collect();
    if !missing.is_empty() {
        blocks.push(Block::Heading("Missing checks".to_owned()));
        blocks.push(Block::List(missing));
    }
    let begun: Vec<String> = machines
        .iter()
        .flat_map(|days| days.incomplete.iter().map(|left| (left, basis.machine(&days.machine))))
        .map(|(left, machine)| {
            let how = incomplete_how(left.completed_after_patient);
            format!("{machine}: check on {} {how}, see {}", weekday(left.date), left.path)
        })
        .collect();
    if !begun.is_empty() {
        blocks.push(Block::Heading("Incomplete checks".to_owned()));
        blocks.push(Block::List(begun));
    }
    blocks
}

/// Returns in what way a check was not complete before the day's first patient.
pub fn incomplete_how(completed_after_patient: bool) -> &'static str {
    if completed_after_patient { "completed only after a patient's check" } else { "left items undone" }
}

/// Returns a figure of which nobody can say what it is.
fn unknown(figure: &str, of: &str) -> Figure {
    Figure {
        k: None,
        value: None,
        state: "not-recorded".to_owned(),
        ..count(figure, of, 0, "unknown, because no calendar says when a check was expected")
    }
}
