//! The checks before the first case day by day: a calendar for a period of up to three months, a table by month for a
//! longer one.
//!
//! Takes the tally, gives blocks for the section on checks expected. Machines that no calendar names are left out: nobody
//! knows on which days they were expected.

use super::basis::Basis;
use super::document::{Block, Column, Picture, Table};
use super::expected::{Expected, MachineDays, all_machines, days_of, incomplete_how};
use super::period::Period;
use super::picture::{Calendar, CalendarMonth, CalendarRow, Day};
use super::tally::Tally;
use crate::diagnostic::counted;
use crate::record::Date;
use crate::record::moment::start_of_day;
use crate::timeline::{self, DayState, withheld_throughout};

/// The longest period that is drawn day by day: three months.
const LONGEST: i64 = 92;

/// The most machines whose missing days the sentence below a picture names; the table has them all.
const NAMED: usize = 8;

/// Returns whether a period is shown day by day.
pub fn is_drawn(period: Period) -> bool {
    period.days() <= LONGEST
}

/// Returns the calendar, or the table by month; nothing when no calendar says what was expected.
pub fn block(basis: &Basis<'_>, tally: &Tally<'_>, expected: &Expected) -> Option<Block> {
    let known: Vec<&str> = expected.machines.iter().filter(|d| d.known).map(|d| d.machine.as_str()).collect();
    if !expected.calendar || known.is_empty() {
        return None;
    }
    if !is_drawn(basis.period) {
        return Some(Block::Table(by_month(basis, tally, expected)));
    }
    Some(Block::Picture(Picture {
        id: "calendar".to_owned(),
        caption: format!("Checks before the first case, {}, day by day", basis.period.words()),
        reads: reads(basis, expected),
        drawing: drawn(basis, tally, &known).draw(),
        table: not_plainly_done(basis, tally, &known),
    }))
}

/// Returns what became of every day of some machines, month by month.
pub fn drawn(basis: &Basis<'_>, tally: &Tally<'_>, machines: &[&str]) -> Calendar {
    let month = |span: Period| CalendarMonth {
        title: span.words(),
        first: span.first.0,
        rows: machines.iter().filter_map(|id| row(basis, tally, id, span)).collect(),
    };
    Calendar { months: months(basis.period).into_iter().map(month).collect() }
}

/// Returns the calendar months of a period, the first and last as far as they belong to it.
fn months(period: Period) -> Vec<Period> {
    let month = |first: Date| {
        let month = Period::month_of(first).filter(|_| first < period.after)?;
        Some(Period { first, after: month.after.min(period.after) })
    };
    std::iter::successors(month(period.first), |span| month(span.after)).collect()
}

fn row(basis: &Basis<'_>, tally: &Tally<'_>, id: &str, span: Period) -> Option<CalendarRow> {
    let machine = basis.contents.machines.get(id)?;
    let (today, zone) = (basis.day(basis.as_of), basis.site.time_zone);
    let life = basis.lives.get(id);
    // An outage goes on over the days on which nobody expected a check.
    let withheld = |date: Date| {
        let [begins, ends] = [Some(date.0), date.0.succ_opt()].map(|day| day.map(|day| start_of_day(day, zone)));
        let (Some(life), Some(begins), Some(ends)) = (life, begins, ends) else { return false };
        begins <= basis.as_of && machine.in_use_on(date) && withheld_throughout(life, begins, ends)
    };
    let mut came = tally.days(id, span).peekable();
    let days = span.first.0.iter_days().map(Date).take_while(|date| *date < span.after).map(|date| {
        match came.next_if(|day| day.date == date) {
            Some(day) => match day.state {
                DayState::Done { late: false, .. } => Day::Done,
                DayState::Done { late: true, .. } => Day::DoneLate,
                DayState::Incomplete { .. } => Day::Incomplete,
                DayState::Missing => Day::Missing,
                DayState::Withheld => Day::Withheld,
                DayState::NotYet => Day::NotOver,
            },
            None if date >= today && machine.in_use_on(date) && basis.contents.expects(id, date) == Some(true) => {
                Day::NotOver
            }
            None if withheld(date) => Day::Withheld,
            None => Day::NotExpected,
        }
    });
    Some(CalendarRow { machine: basis.machine(id), days: days.collect() })
}

/// Returns the picture in words: which checks are missing and which incomplete.
fn reads(basis: &Basis<'_>, expected: &Expected) -> String {
    let total = &expected.total;
    let all = |of: &dyn Fn(&MachineDays) -> Vec<Date>| {
        let of_machine = |days: &MachineDays| {
            let dates: Vec<String> = of(days).iter().map(|date| date.0.format("%-d %b").to_string()).collect();
            (!dates.is_empty()).then(|| format!("{} on {}", basis.machine(&days.machine), dates.join(", ")))
        };
        let mut named: Vec<String> = expected.machines.iter().filter(|d| d.known).filter_map(of_machine).collect();
        if named.len() > NAMED {
            let more = named.len() - NAMED;
            named.truncate(NAMED);
            named.push(format!("and {}, in the table", counted(more, "more machine")));
        }
        named.join("; ")
    };
    let mut parts = Vec::new();
    let missing = all(&|days| days.missing.clone());
    if !missing.is_empty() {
        parts.push(format!("No check: {missing}."));
    }
    let incomplete = all(&|days| days.incomplete.iter().map(|left| left.date).collect());
    if !incomplete.is_empty() {
        parts.push(format!("Incomplete: {incomplete}."));
    }
    parts.push(match (total.expected, total.done) {
        (0, _) => "No day that is over was expected to have a check.".to_owned(),
        (expected, done) if expected == done => "Every check that was expected was done.".to_owned(),
        _ => "All other checks that were expected were done.".to_owned(),
    });
    if total.late > 0 {
        parts.push(format!("{} written down late.", counted(total.late, "check")));
    }
    parts.join(" ")
}

/// Returns the days that were not plainly done, those in a row that are alike in one line.
fn not_plainly_done(basis: &Basis<'_>, tally: &Tally<'_>, known: &[&str]) -> Table {
    let mut rows = Vec::new();
    for id in known {
        let days: Vec<&timeline::Day> = tally.days(id, basis.period).collect();
        // Between two expected days that follow each other lie only days on which nobody expected a check.
        let together =
            |one: &timeline::Day, next: &timeline::Day| one.expected || one.date.0.succ_opt() == Some(next.date.0);
        for run in days.chunk_by(|one, next| what(one) == what(next) && together(one, next)) {
            let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
            let Some(what) = what(first) else { continue };
            let dates = match run.len() {
                1 => weekday(first.date),
                n => {
                    let days = if first.expected { "expected days" } else { "days" };
                    format!("{} to {} ({n} {days})", weekday(first.date), weekday(last.date))
                }
            };
            rows.push(vec![basis.machine(id), dates, what]);
        }
    }
    if rows.is_empty() {
        rows.push(vec!["All machines".to_owned(), basis.period.words(), "nothing else".to_owned()]);
    }
    Table {
        caption: "Days that were not plainly done".to_owned(),
        columns: ["Machine", "Day", "What came of it"].map(Column::left).to_vec(),
        rows,
        total: false,
    }
}

/// Returns what came of a day; nothing when its check was expected, done and written down in time.
fn what(day: &timeline::Day) -> Option<String> {
    let words = match &day.state {
        DayState::Done { late, .. } => match (day.expected, late) {
            (true, false) => return None,
            (true, true) => "done, written down late".to_owned(),
            (false, false) => "done, though none was expected".to_owned(),
            (false, true) => "done, though none was expected; written down late".to_owned(),
        },
        DayState::Incomplete { path, completed_after_patient, .. } => {
            format!("incomplete: {}, see {path}", incomplete_how(*completed_after_patient))
        }
        DayState::Missing => "no check".to_owned(),
        DayState::Withheld => "withheld all day".to_owned(),
        DayState::NotYet => "not over yet".to_owned(),
    };
    Some(words)
}

fn by_month(basis: &Basis<'_>, tally: &Tally<'_>, expected: &Expected) -> Table {
    let cells = |name: String, days: &MachineDays| {
        let counts = [days.expected, days.done, days.late, days.incomplete.len(), days.missing.len(), days.withheld];
        std::iter::once(name).chain(counts.map(|k| k.to_string())).collect::<Vec<String>>()
    };
    let known: Vec<&str> = expected.machines.iter().filter(|d| d.known).map(|d| d.machine.as_str()).collect();
    let mut rows: Vec<Vec<String>> = months(basis.period)
        .into_iter()
        .map(|span| {
            let machines: Vec<MachineDays> = known.iter().map(|id| days_of(tally, id, true, span)).collect();
            cells(span.words(), &all_machines(&machines, true))
        })
        .collect();
    rows.push(cells("Whole period".to_owned(), &expected.total));
    let mut columns = vec![Column::left("Month")];
    let titles = ["Expected", "Done", "of these late", "Incomplete", "Missing", "Withheld"];
    columns.extend(titles.map(Column::right));
    Table {
        caption: format!("Checks before the first case of the day, {}, by month", basis.period.words()),
        columns,
        rows,
        total: true,
    }
}

/// Returns a day with its weekday: `Mon 2026-11-16`.
pub fn weekday(date: Date) -> String {
    date.0.format("%a %Y-%m-%d").to_string()
}
