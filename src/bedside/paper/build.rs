//! Makes the blank form of a procedure for a machine.

use super::words::{CAUTIONS, EMERGENCY, RESTRICT, WITHHOLD, WORDS};
use super::{Day, Layout, Named, Paper, Row, Span, Week, day_words, rows};
use crate::bedside::{follow_up, form_code};
use crate::contents::Contents;
use crate::procedure::{Procedure, Sheet, When};
use crate::record::moment::start_of_day;
use crate::record::{Date, Moment};
use crate::register::{Machine, Site};

/// What a form is made from.
#[derive(Clone, Copy, Debug)]
pub struct Made<'a> {
    pub site: &'a Site,
    pub contents: &'a Contents,
    pub machine: &'a str,
    pub procedure: &'a str,
    pub span: Span,
    /// The day that a form without a date is made for.
    pub today: Date,
    /// The commit that the form was made from.
    pub commit: Option<&'a str>,
    /// The moment of that commit: the same commit gives the same bytes.
    pub made: Moment,
}

/// Returns the blank form; nothing when the machine or the procedure is not there on its first day.
pub fn build(made: &Made<'_>) -> Option<Paper> {
    let Made { site, contents, span, .. } = *made;
    let (first, last) = span.ends().unwrap_or((made.today, made.today));
    let (procedure, machine, sheet) = on(made, first)?;
    let code = form_code::of(procedure, made.machine, &sheet);
    let (rows, by) = rows::of(&sheet);
    let days = days(made, procedure.when);
    let span_words = span_words(span);
    let changed = day_by_day(first, last).find(|day| {
        on(made, *day).is_none_or(|(procedure, _, sheet)| form_code::of(procedure, made.machine, &sheet) != code)
    });
    let changed = changed.map(|day| {
        format!("From {} other items or limits are in force: make a new sheet for that day.", day_words(day))
    });
    let layout = Layout::of(site.report.paper, &rows, !days.is_empty());
    let unsaid = (days.is_empty() && !layout.instructions).then(|| {
        format!(
            "So that it fits on front and back, the sheet leaves out what to do: see procedure {}.",
            procedure.words()
        )
    });
    let revision = format!("procedure {}, machine {}", procedure.words(), made.machine);
    let from = made.commit.map_or_else(
        || "made from files that are in no history".to_owned(),
        |commit| format!("made from commit {}", commit.get(..12).unwrap_or(commit)),
    );
    Some(Paper {
        title: [procedure.title.as_str(), &machine.name, &span_words, &site.name].join(", "),
        language: "en",
        timestamp: made.made.0.timestamp(),
        layout,
        site: site.name.clone(),
        machine: machine.name.clone(),
        heading: procedure.title.clone(),
        span: span_words,
        facts: facts(machine),
        foot: format!("{code} · {revision} · {from}"),
        code,
        code_says: revision,
        date: match span {
            Span::Day(day) => day.map(day_words),
            Span::Week(_) => None,
        },
        emergency: rows.iter().any(|row| row.cannot_wait.is_some()),
        signs: signs(&rows, !days.is_empty()),
        by,
        days,
        rows,
        call: follow_up::whom_to_call(contents, start_of_day(first.0, site.time_zone)),
        notices: changed.into_iter().chain(unsaid).collect(),
        cautions: CAUTIONS.to_vec(),
        words: WORDS,
    })
}

/// Returns what is asked on a day.
fn on<'a>(made: &Made<'a>, day: Date) -> Option<(&'a Procedure, &'a Machine, Sheet)> {
    let procedure = made.contents.in_force(made.procedure, day)?;
    let machine = made.contents.machine_on(made.machine, day)?;
    Some((procedure, machine, Sheet::of(procedure, machine)))
}

fn day_by_day(first: Date, last: Date) -> impl Iterator<Item = Date> {
    first.0.iter_days().map(Date).take_while(move |day| *day <= last)
}

/// Returns the columns of a week sheet. A check after a service is not expected on any day of the calendar.
fn days(made: &Made<'_>, when: When) -> Vec<Day> {
    const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let Span::Week(week) = made.span else { return Vec::new() };
    let dates = week.map(Week::days).unwrap_or_default();
    let day = |(at, name)| {
        let date: Option<&Date> = dates.get(at);
        Day {
            name,
            date: date.map(|date| date.0.format("%-d %b").to_string()),
            expected: date
                .filter(|_| when != When::AfterService)
                .and_then(|date| made.contents.expects(made.machine, *date)),
        }
    };
    NAMES.into_iter().enumerate().map(day).collect()
}

fn span_words(span: Span) -> String {
    match (span, span.ends()) {
        (Span::Day(_), None) => "Day sheet".to_owned(),
        (Span::Day(_), Some((day, _))) => format!("Day sheet for {}", day_words(day)),
        (Span::Week(Some(week)), Some((first, last))) => {
            let [first, last] = [first, last].map(|day| day.0.format("%-d %B %Y").to_string());
            format!("Week sheet for {}, {first} to {last}", week.name())
        }
        (Span::Week(_), _) => "Week sheet".to_owned(),
    }
}

fn facts(machine: &Machine) -> Vec<Named> {
    let named = |name: &str, value: &str| Named { name: name.to_owned(), value: value.to_owned() };
    vec![named("Asset", &machine.asset), named("Serial", &machine.serial), named("Location", &machine.location)]
}

/// Returns what the signs of the sheet mean, those only that stand on it.
fn signs(rows: &[Row], week: bool) -> Vec<Named> {
    let sign = |name: &str, value: &str| Named { name: name.to_owned(), value: value.to_owned() };
    let mut signs = Vec::new();
    if week {
        signs.push(sign("✓", "pass"));
        signs.push(sign("F", "fails"));
        signs.push(sign("N", "not done"));
    }
    if rows.iter().any(|row| row.fails == WITHHOLD) {
        signs.push(sign(WITHHOLD, "after a failure: withheld from use"));
    }
    if rows.iter().any(|row| row.fails == RESTRICT) {
        signs.push(sign(RESTRICT, "after a failure: used only with a restriction"));
    }
    if rows.iter().any(|row| row.cannot_wait.is_some()) {
        signs.push(sign(
            EMERGENCY,
            if week {
                "done even when a patient cannot wait"
            } else {
                "done even when a patient cannot wait; the other items are then marked not done and completed afterwards"
            },
        ));
    }
    signs
}
