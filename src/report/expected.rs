//! Section: the checks that were expected before the first case of the day, and what came of them.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::proportion::count;
use crate::diagnostic::counted;
use crate::procedure::When;
use crate::record::Date;
use crate::timeline::{DayState, expected_days};
use chrono::Datelike;

/// One machine's days of the period.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MachineDays {
    pub machine: String,
    pub expected: usize,
    pub done: usize,
    pub late: usize,
    pub missing: Vec<Date>,
    pub incomplete: Vec<(Date, String)>,
    pub withheld: usize,
    pub not_yet: usize,
    /// Checks on days on which none was expected.
    pub extra: usize,
}

/// All machines' days, and whether a calendar says what was expected.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    pub machines: Vec<MachineDays>,
    pub total: MachineDays,
    pub calendar: bool,
}

/// Counts the days of every machine.
///
/// Expected = done + incomplete + missing; days withheld and days not over yet are apart.
pub fn counted_days(basis: &Basis<'_>) -> Expected {
    let calendar = basis.contents.calendars.contains_key(&basis.period.first.0.year());
    let mut machines = Vec::new();
    for (id, _, life) in basis.machines() {
        let mut days = MachineDays { machine: id.to_owned(), ..MachineDays::default() };
        for day in expected_days(basis.contents, life, basis.period.first, basis.period.after, basis.as_of) {
            if !day.expected {
                days.extra += 1;
                continue;
            }
            match day.state {
                DayState::Done { late, .. } => {
                    days.expected += 1;
                    days.done += 1;
                    days.late += usize::from(late);
                }
                DayState::Incomplete { path, .. } => {
                    days.expected += 1;
                    days.incomplete.push((day.date, path));
                }
                DayState::Missing => {
                    days.expected += 1;
                    days.missing.push(day.date);
                }
                DayState::Withheld => days.withheld += 1,
                DayState::NotYet => days.not_yet += 1,
            }
        }
        machines.push(days);
    }
    let mut total = MachineDays { machine: "All machines".to_owned(), ..MachineDays::default() };
    for days in &machines {
        total.expected += days.expected;
        total.done += days.done;
        total.late += days.late;
        total.withheld += days.withheld;
        total.not_yet += days.not_yet;
        total.extra += days.extra;
        total.missing.extend(&days.missing);
        total.incomplete.extend(days.incomplete.iter().cloned());
    }
    Expected { machines, total, calendar }
}

/// Returns the whole in one sentence.
pub fn sentence(expected: &Expected) -> String {
    let MachineDays { expected: n, done, late, missing, incomplete, withheld, .. } = &expected.total;
    if !expected.calendar {
        return "There is no calendar for this year, so the number of checks expected is unknown.".to_owned();
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
pub fn section(basis: &Basis<'_>, expected: &Expected) -> (Section, Vec<Figure>) {
    let mut figures = Vec::new();
    let mut rows = Vec::new();
    for days in expected.machines.iter().chain([&expected.total]) {
        let total = std::ptr::eq(days, &expected.total);
        let (name, id) =
            if total { (days.machine.clone(), "all") } else { (basis.machine(&days.machine), days.machine.as_str()) };
        rows.push(vec![
            name,
            days.expected.to_string(),
            days.done.to_string(),
            days.late.to_string(),
            days.incomplete.len().to_string(),
            days.missing.len().to_string(),
            days.withheld.to_string(),
            days.extra.to_string(),
        ]);
        for (figure, k, note) in [
            (
                "checks-expected",
                days.expected,
                "machine-days on which the calendar expects a check before the first case",
            ),
            ("checks-done", days.done, "of the expected, with a complete check"),
            ("checks-done-late", days.late, "of the done, written down later than the site allows"),
            ("checks-incomplete", days.incomplete.len(), "of the expected, with a check that left an item undone"),
            ("checks-missing", days.missing.len(), "of the expected, without a check"),
            ("machine-days-withheld", days.withheld, "withheld from use all day; not expected"),
            ("checks-unexpected", days.extra, "days with a check although none was expected"),
        ] {
            figures.push(count(figure, id, k, note));
        }
    }
    let mut blocks = vec![Block::Paragraph(sentence(expected))];
    let named: Vec<String> = expected
        .machines
        .iter()
        .flat_map(|days| days.missing.iter().map(|date| (*date, basis.machine(&days.machine))))
        .map(|(date, machine)| format!("{machine}: no check on {}", weekday(date)))
        .collect();
    if !named.is_empty() {
        blocks.push(Block::Heading("Missing checks".to_owned()));
        blocks.push(Block::List(named));
    }
    let begun: Vec<String> = expected
        .machines
        .iter()
        .flat_map(|days| days.incomplete.iter().map(|(date, path)| (*date, basis.machine(&days.machine), path)))
        .map(|(date, machine, path)| format!("{machine}: check on {} left items undone, see {path}", weekday(date)))
        .collect();
    if !begun.is_empty() {
        blocks.push(Block::Heading("Incomplete checks".to_owned()));
        blocks.push(Block::List(begun));
    }
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

fn weekday(date: Date) -> String {
    date.0.format("%a %Y-%m-%d").to_string()
}
