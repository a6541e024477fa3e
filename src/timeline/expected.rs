//! The checks that were expected: one before the first case of each day on which the calendar expects a machine in use.

use super::life::{CheckDone, Life};
use crate::contents::Contents;
use crate::procedure::When;
use crate::record::moment::start_of_day;
use crate::record::{Date, Moment};

/// What came of one machine's day.
#[derive(Clone, Debug, PartialEq)]
pub enum DayState {
    /// A complete check was done, before any patient's check of that day; whether a check of that day was written down
    /// late, and whether one failed.
    Done { path: String, late: bool, failed: bool },
    /// A check was begun and at least one item was not done, or every item was done only after a patient's check.
    Incomplete { path: String, late: bool, completed_after_patient: bool },
    /// Expected, and no check came.
    Missing,
    /// Withheld from use all day: no check was to be expected, and one that came all the same is not asked after.
    Withheld,
    /// The day is not over yet and no check has come.
    NotYet,
}

/// A day on which a check of a machine was expected, or came although none was expected.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    pub date: Date,
    pub expected: bool,
    pub state: DayState,
}

/// Returns the days from `from` up to and without `until` that matter for a machine, as known at `as_of`.
///
/// A day counts as withheld when the machine was withheld from its first to its last moment, whether or not a check
/// was done; such a day is left out when none was expected anyway. A day on which it was withheld only from some hour
/// on is like any other. Days without a calendar are not expected; days after `as_of` are left out.
pub fn expected_days(contents: &Contents, life: &Life, from: Date, until: Date, as_of: Moment) -> Vec<Day> {
    let (Some(site), Some(machine)) = (&contents.site, contents.machines.get(&life.machine)) else { return Vec::new() };
    let zone = site.time_zone;
    // By day, and within a day in the order in which they were finished.
    let mut checks: Vec<&CheckDone> = life.checks_until(as_of).iter().collect();
    checks.sort_by_key(|check| check.day);
    let mut days = Vec::new();
    let mut begins = start_of_day(from.0, zone);
    for day in from.0.iter_days().take_while(|day| *day < until.0) {
        if begins > as_of {
            break;
        }
        let date = Date(day);
        let ends = day.succ_opt().map_or(begins, |next| start_of_day(next, zone));
        let expected = machine.in_use_on(date) && contents.expects(&life.machine, date).unwrap_or(false);
        let state = if withheld_throughout(life, begins, ends) {
            DayState::Withheld
        } else {
            let first = checks.partition_point(|check| check.day < date);
            let after = checks.partition_point(|check| check.day <= date);
            match what_came(checks.get(first..after).unwrap_or_default()) {
                Some(state) => state,
                None if ends > as_of => DayState::NotYet,
                None => DayState::Missing,
            }
        };
        let came = matches!(state, DayState::Done { .. } | DayState::Incomplete { .. });
        if expected || came {
            days.push(Day { date, expected, state });
        }
        begins = ends;
    }
    days
}

/// Returns what the checks of a day come to; nothing when there was none.
fn what_came(of_the_day: &[&CheckDone]) -> Option<DayState> {
    let (patients, checks): (Vec<&CheckDone>, Vec<&CheckDone>) =
        of_the_day.iter().partition(|c| c.when == When::EachPatient);
    let first_patient = patients.iter().map(|c| c.check.started).min();
    let in_time = |c: &CheckDone| first_patient.is_none_or(|patient| c.check.finished <= patient);
    let late = checks.iter().any(|c| c.late);
    let complete = || checks.iter().rev().filter(|c| c.judgement.complete);
    if let Some(check) = complete().find(|c| in_time(c)) {
        let failed = checks.iter().any(|c| c.judgement.failures().next().is_some());
        return Some(DayState::Done { path: check.path().to_owned(), late, failed });
    }
    let completed = complete().next();
    let check = completed.or(checks.last())?;
    Some(DayState::Incomplete { path: check.path().to_owned(), late, completed_after_patient: completed.is_some() })
}

/// Returns whether some case or cases withheld the machine without a gap between two moments.
pub fn withheld_throughout(life: &Life, begins: Moment, ends: Moment) -> bool {
    let mut reached = begins;
    // Cases are in the order in which they were found, so that one pass joins those that touch.
    for case in life.cases.iter().filter(|c| c.usage == crate::record::Use::Withheld) {
        if case.found <= reached {
            match &case.released {
                None => return true,
                Some(released) => reached = reached.max(released.released),
            }
        }
    }
    reached >= ends
}
