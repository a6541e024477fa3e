//! What needs a decision on page one: what to repair, to look into, to book, to ask, the most pressing first.
//!
//! Takes what was counted and gives lines that each begin with an act. What is far off is one line, and what no longer
//! matters comes last.

use super::basis::Basis;
use super::cases;
use super::expected::Expected;
use super::repeats::DAYS_WATCHED;
use super::returns;
use super::summary::Counted;
use crate::diagnostic::counted as many;
use crate::record::{Date, Use};
use crate::timeline::Case;

/// A service that is due within this many days is told in time to plan it.
const DAYS_AHEAD: i64 = 30;

/// Returns what somebody has to decide or follow up, the most pressing first. Each line begins with what to do.
pub fn decisions(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<String> {
    let (still, closed) = open_faults(basis);
    let mut list = still;
    for (id, check) in cases::without_fault(basis) {
        list.push(format!(
            "Record a fault of {}: its check of {} failed and none was recorded",
            basis.machine(id),
            basis.clock(check.check.finished)
        ));
    }
    list.extend(signalled(basis, counted));
    let today = basis.day(basis.as_of);
    let days_until = |day: Date| day.0.signed_duration_since(today.0).num_days();
    let services: Vec<(Date, String)> = basis
        .machines()
        .filter_map(|(id, _, life)| Some((life.service_due(basis.last_moment())?, basis.machine(id))))
        .collect();
    for (due, machine) in services.iter().filter(|(due, _)| *due < today) {
        list.push(format!("Have {machine} serviced: that was due on {due}"));
    }
    list.extend(came_back(basis, counted, days_until));
    list.extend(near_limits(basis, counted, days_until));
    for (due, machine) in services.iter().filter(|(due, _)| (0..=DAYS_AHEAD).contains(&days_until(*due))) {
        list.push(format!("Book the service of {machine}: due on {due}"));
    }
    list.extend(not_done(basis, &counted.expected));
    list.extend(closed);
    list
}

/// Returns a line for each difference that a test signals.
fn signalled(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<String> {
    let mut list = Vec::new();
    if counted.signals.against_before.signals() {
        list.push("Look for a common cause: new faults differ from before, see above".to_owned());
    }
    if let Some(compared) = counted.signals.three_months.as_ref().filter(|compared| compared.signals()) {
        list.push(format!("Look for a common cause. {}", compared.sentence()));
    }
    if let Some(last) = counted.signals.last_faults.as_ref().filter(|last| last.signals(basis.period)) {
        list.push(format!(
            "Look for a common cause: the last three faults came within {}, faster than before",
            many(last.machine_days as usize, "machine-day")
        ));
    }
    for machine in counted.comparison.iter().flat_map(|comparison| &comparison.machines) {
        if machine.signals() && machine.ratio.is_none_or(|ratio| ratio > 1.0) {
            list.push(format!("Look into {}: {}", basis.machine(&machine.machine), machine.times()));
        }
    }
    list
}

/// The most days since a fault came back for which it is a line of its own.
const DAYS_BACK: i64 = 60;

/// Returns a line for each fault that came back lately, and one for those earlier in the period.
fn came_back(basis: &Basis<'_>, counted: &Counted<'_>, days_until: impl Fn(Date) -> i64) -> Vec<String> {
    let again: Vec<&(&Case, &Case)> =
        counted.repeats.pairs.iter().filter(|(_, later)| basis.in_period(later.found)).collect();
    let (fresh, older): (Vec<_>, Vec<_>) =
        again.into_iter().partition(|(_, later)| -days_until(basis.day(later.found)) <= DAYS_BACK);
    let mut list: Vec<String> = fresh
        .into_iter()
        .map(|(case, later)| {
            format!(
                "Look into {} again: {}; it came back on {}, within {} days of its release",
                basis.machine(&case.machine),
                case.what.trim(),
                basis.day(later.found),
                DAYS_WATCHED
            )
        })
        .collect();
    if !older.is_empty() {
        list.push(format!("See which faults came back: {} earlier in the period", many(older.len(), "fault")));
    }
    list
}

/// The most days ahead for which a reading near its limit is a line of its own.
const DAYS_TO_LIMIT: i64 = 45;

/// Returns a line for each reading that may reach its limit soon, and one for all that may later.
fn near_limits(basis: &Basis<'_>, counted: &Counted<'_>, days_until: impl Fn(Date) -> i64) -> Vec<String> {
    let dated = counted.drifts.dated();
    let (soon, later): (Vec<_>, Vec<_>) =
        dated.into_iter().partition(|drift| days_until(drift.earliest) <= DAYS_TO_LIMIT);
    let mut list: Vec<String> = soon
        .into_iter()
        .map(|drift| {
            let what = lower_first(&basis.item(&drift.place));
            let when = if drift.reached {
                "the line through its readings has reached its limit".to_owned()
            } else {
                format!("it may reach its limit from {} on, about {}", drift.earliest, drift.estimate)
            };
            format!("See to the {what} of {}: {when}", basis.machine(&drift.machine))
        })
        .collect();
    if let Some(first) = later.first() {
        list.push(format!(
            "Plan ahead: {} may reach a limit later, the first from {} on",
            many(later.len(), "reading"),
            first.earliest
        ));
    }
    list
}

/// Returns a line for each machine with checks that are missing or incomplete.
fn not_done(basis: &Basis<'_>, expected: &Expected) -> Vec<String> {
    let mut list = Vec::new();
    if !expected.calendar {
        list.push(
            "Write a calendar for every year of the period, so that the number of checks expected is known".to_owned(),
        );
    }
    for days in &expected.machines {
        let machine = basis.machine(&days.machine);
        if expected.calendar && !days.known {
            list.push(format!("Put {machine} into the calendar: how many checks were expected is unknown"));
        }
        if !days.missing.is_empty() {
            list.push(format!("Ask why {machine} had no check on {}", short_dates(days.missing.iter())));
        }
        if !days.incomplete.is_empty() {
            let dates = short_dates(days.incomplete.iter().map(|left| &left.date));
            list.push(format!("Ask why {machine} had an incomplete check on {dates}"));
        }
    }
    list
}

/// Returns a title for the middle of a sentence; one that begins with an abbreviation stays as it is.
fn lower_first(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => title.to_owned(),
    }
}

/// The most days that a line of page one names; a section names them all.
const DAYS: usize = 6;

/// Returns days for a line: each of a few, else how many and the last of them.
fn short_dates<'a>(dates: impl Iterator<Item = &'a Date>) -> String {
    let dates: Vec<String> = dates.map(|date| date.0.format("%-d %b").to_string()).collect();
    match dates.last() {
        Some(last) if dates.len() > DAYS => format!("{} days, the last of them {last}", dates.len()),
        _ => dates.join(", "),
    }
}

/// Returns the faults open at the end: those that are open still, and those that were released after it.
fn open_faults(basis: &Basis<'_>) -> (Vec<String>, Vec<String>) {
    let (later, still): (Vec<&Case>, Vec<&Case>) =
        returns::open_cases(basis).into_iter().partition(|case| case.released.is_some());
    let (withheld, restricted): (Vec<&Case>, Vec<&Case>) =
        still.into_iter().partition(|case| case.usage == Use::Withheld);
    let still = withheld
        .into_iter()
        .chain(restricted)
        .map(|case| {
            let (machine, what, open) = (basis.machine(&case.machine), case.what.trim(), basis.open_for(case));
            match &case.usage {
                Use::Withheld => format!("Get {machine} back into service: withheld, {what} (open for {open})"),
                Use::Restricted { until, .. } if *until < basis.day(basis.as_of) => {
                    format!(
                        "Repair {machine} or withhold it: its restriction ended on {until}, {what} (open for {open})"
                    )
                }
                Use::Restricted { until, .. } => {
                    format!("Repair {machine} by {until}, when its restriction ends: {what} (open for {open})")
                }
            }
        })
        .collect();
    let closed = later
        .into_iter()
        .filter_map(|case| {
            let what_then = match &case.usage {
                Use::Withheld => "withheld",
                Use::Restricted { .. } => "restricted",
            };
            Some(format!(
                "Nothing more to do: {} was {what_then} {}, and was released on {} ({})",
                basis.machine(&case.machine),
                basis.at_the_end(),
                basis.day(case.released.as_ref()?.released),
                case.what.trim()
            ))
        })
        .collect();
    (still, closed)
}
