//! The checks that were expected: one before the first case of each day on which the calendar expects a machine in use.

use super::life::{CheckDone, Life};
use crate::contents::Contents;
use crate::procedure::When;
use crate::record::moment::start_of_day;
use crate::record::{Date, Moment};

/// What came of one machine's day.
#[derive(Clone, Debug, PartialEq)]
pub enum DayState {
    /// A complete check was done; whether it was written down late, and whether it failed.
    Done { path: String, late: bool, failed: bool },
    /// A check was begun and at least one item was not done.
    Incomplete { path: String, late: bool },
    /// Expected, and no check came.
    Missing,
    /// Withheld from use all day: no check was to be expected.
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
/// A day counts as withheld when the machine was withheld from its first to its last moment and no check was
/// done. Days without a calendar are not expected; days after `as_of` are left out.
pub fn expected_days(contents: &Contents, life: &Life, from: Date, until: Date, as_of: Moment) -> Vec<Day> {
    let (Some(site), Some(machine)) = (&contents.site, contents.machines.get(&life.machine)) else { return Vec::new() };
    let zone = site.time_zone;
    let mut days = Vec::new();
    for day in from.0.iter_days().take_while(|day| *day < until.0) {
        let date = Date(day);
        let begins = start_of_day(day, zone);
        if begins > as_of {
            break;
        }
        let ends = day.succ_opt().map_or(begins, |next| start_of_day(next, zone));
        let checks: Vec<&CheckDone> = life
            .checks
            .iter()
            .filter(|c| c.when != When::EachPatient && c.check.finished <= as_of)
            .filter(|c| Date(c.check.finished.date_in(zone)) == date)
            .collect();
        let expected = machine.in_use_on(date) && contents.expects(&life.machine, date).unwrap_or(false);
        let best = checks.iter().rev().find(|c| c.judgement.complete).or(checks.last());
        let state = match best {
            Some(check) if check.judgement.complete => DayState::Done {
                path: check.path.clone(),
                late: check.late,
                failed: checks.iter().any(|c| c.judgement.failures().next().is_some()),
            },
            Some(check) => DayState::Incomplete { path: check.path.clone(), late: check.late },
            None if !expected => continue,
            None if withheld_throughout(life, begins, ends) => DayState::Withheld,
            None if ends > as_of => DayState::NotYet,
            None => DayState::Missing,
        };
        days.push(Day { date, expected, state });
    }
    days
}

/// Returns whether some case or cases withheld the machine without a gap between two moments.
fn withheld_throughout(life: &Life, begins: Moment, ends: Moment) -> bool {
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
