//! What is counted, each with its civil day: checks before use, faults, and the machine-days on which a check was
//! expected.
//!
//! Made once from a basis; every figure of every span of days is counted from here, so that two figures can never rest on
//! different counts of the same thing. Reaches back thirteen months, and to the new year, from the end of the period.

use super::basis::Basis;
use super::period::Period;
use super::proportion::Share;
use crate::procedure::{Sheet, Verdict, When};
use crate::record::Date;
use crate::register::Calendar;
use crate::timeline::{Case, CheckDone, Day, DayState, Life, expected_days};
use chrono::Datelike;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A check before use.
#[derive(Clone, Debug)]
pub struct Checked<'a> {
    pub machine: &'a str,
    pub day: Date,
    pub done: &'a CheckDone,
    pub failed: bool,
    /// It failed in an item that no fault open at that moment names: it brought something new to light. A defect that
    /// fails the check of every morning until it is repaired is found once.
    pub found_fault: bool,
}

/// A machine's days.
#[derive(Clone, Debug)]
struct MachineDays<'a> {
    machine: &'a str,
    days: Vec<Day>,
}

/// The counts of a span of days, of one machine or of all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Checks before use: before the first case of the day, and before each patient.
    pub checks: u64,
    pub failed: u64,
    /// Checks before use that brought a new fault to light.
    pub found_fault: u64,
    /// Faults found, in whatever way, each once.
    pub faults: u64,
    /// Of machines of which the calendar says when they are expected: their faults, and the machine-days on which they
    /// were expected and not withheld. Nothing when a calendar is missing.
    pub rated: Option<Rated>,
}

/// Faults and the machine-days they came from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rated {
    pub faults: u64,
    pub machine_days: u64,
}

/// Everything that is counted.
pub struct Tally<'a> {
    pub checks: Vec<Checked<'a>>,
    /// In the order in which they were found.
    pub faults: Vec<(Date, &'a Case)>,
    machines: Vec<MachineDays<'a>>,
    calendars: &'a BTreeMap<i32, Calendar>,
    /// The day of the logbook's first record.
    pub since: Option<Date>,
}

impl<'a> Tally<'a> {
    /// Counts once.
    pub fn of(basis: &Basis<'a>) -> Tally<'a> {
        let since = basis.since();
        let period = basis.period;
        let back = [period.twelve_months_before(), period.year_to_date(), period];
        let from = back.iter().map(|span| span.first).min().unwrap_or(period.first);
        let from = period.thirteen_months().first().map_or(from, |month| from.min(month.first));
        let from = since.map_or(from, |since| from.max(since)).min(period.first);
        let reach = Period { first: from, after: period.after };
        // Nobody wrote down what was done before the logbook began, so that no day of that time is missing.
        let begins = since.map_or(reach.first, |since| since.max(reach.first));
        let mut checks = Vec::new();
        let mut machines = Vec::new();
        for (id, life) in basis.lives {
            let Some(machine) = basis.contents.machines.get(id) else { continue };
            for done in life.checks.iter().filter(|c| c.when != When::AfterService) {
                let day = basis.day(done.check.finished);
                if done.check.finished > basis.last_moment() || !reach.contains(day) {
                    continue;
                }
                let failed = done.judgement.failures().next().is_some();
                let found_fault = failed && is_new(basis, life, done);
                checks.push(Checked { machine: id, day, done, failed, found_fault });
            }
            let in_use =
                machine.in_use.from < reach.after && machine.in_use.until.is_none_or(|until| reach.first <= until);
            let days =
                if in_use { expected_days(basis.contents, life, begins, reach.after, basis.as_of) } else { Vec::new() };
            machines.push(MachineDays { machine: id, days });
        }
        let mut faults: Vec<(Date, &Case)> = basis.cases().map(|case| (basis.day(case.found), case)).collect();
        faults.sort_by_key(|(_, case)| (case.found, &case.path));
        Tally { checks, faults, machines, calendars: &basis.contents.calendars, since }
    }

    /// Returns the counts of a span, of one machine or of all.
    pub fn counts(&self, span: Period, machine: Option<&str>) -> Counts {
        let wanted = |id: &str| machine.is_none_or(|machine| machine == id);
        let mut counts = Counts::default();
        for check in self.checks.iter().filter(|check| span.contains(check.day) && wanted(check.machine)) {
            counts.checks += 1;
            counts.failed += u64::from(check.failed);
            counts.found_fault += u64::from(check.found_fault);
        }
        counts.faults = self.faults_of(span, machine).count() as u64;
        counts.rated = self.rated(span, machine);
        counts
    }

    /// Returns the faults found in a span.
    pub fn faults_of<'s>(&'s self, span: Period, machine: Option<&'s str>) -> impl Iterator<Item = &'a Case> + 's {
        self.faults
            .iter()
            .filter(move |(day, case)| span.contains(*day) && machine.is_none_or(|machine| machine == case.machine))
            .map(|(_, case)| *case)
    }

    /// Returns the faults and machine-days of the machines of which it is known when they are expected.
    pub(super) fn rated(&self, span: Period, machine: Option<&str>) -> Option<Rated> {
        let mut rated = Rated::default();
        let mut known = false;
        for days in self.machines.iter().filter(|days| machine.is_none_or(|machine| machine == days.machine)) {
            if !self.is_known(days.machine, span) {
                continue;
            }
            known = true;
            rated.machine_days += days.days.iter().filter(|day| span.contains(day.date) && counts(day)).count() as u64;
            rated.faults += self.faults_of(span, Some(days.machine)).count() as u64;
        }
        known.then_some(rated)
    }

    /// Returns the answers before use that passed or failed, by item, most failures first.
    pub fn answers_by_item(&self, span: Period) -> Vec<(String, Share)> {
        // Checks of one machine and revision share a sheet; its places are counted in a row before they are named.
        let mut by_sheet: Vec<(&Arc<Sheet>, Vec<Share>)> = Vec::new();
        for checked in self.checks.iter().filter(|checked| span.contains(checked.day)) {
            let judgement = &checked.done.judgement;
            let known = by_sheet.iter().rposition(|(sheet, _)| Arc::ptr_eq(sheet, judgement.sheet()));
            let at = known.unwrap_or_else(|| {
                by_sheet.push((judgement.sheet(), vec![Share { k: 0, n: 0 }; judgement.verdicts().len()]));
                by_sheet.len() - 1
            });
            let shares = by_sheet.get_mut(at).map_or(&mut [][..], |(_, shares)| shares);
            for (share, verdict) in shares.iter_mut().zip(judgement.verdicts()) {
                share.k += u64::from(verdict == Verdict::Fail);
                share.n += u64::from(matches!(verdict, Verdict::Pass | Verdict::Fail));
            }
        }
        let mut items: BTreeMap<&str, Share> = BTreeMap::new();
        for (sheet, shares) in &by_sheet {
            for ((line, _), place) in sheet.places().zip(shares) {
                let share = items.entry(&line.item.id).or_insert(Share { k: 0, n: 0 });
                *share = Share { k: share.k + place.k, n: share.n + place.n };
            }
        }
        let mut items: Vec<(String, Share)> = items.into_iter().map(|(id, share)| (id.to_owned(), share)).collect();
        items.sort_by(|(a, x), (b, y)| y.k.cmp(&x.k).then(a.cmp(b)));
        items
    }

    /// Returns how many checks before the first case were done, of how many expected; nothing without a calendar.
    pub fn done_of_expected(&self, span: Period) -> Option<(u64, u64)> {
        let mut sums = None;
        for days in self.machines.iter().filter(|days| self.is_known(days.machine, span)) {
            let (done, expected) = sums.get_or_insert((0, 0));
            for day in days.days.iter().filter(|day| span.contains(day.date) && counts(day)) {
                *expected += 1;
                *done += u64::from(matches!(day.state, DayState::Done { .. }));
            }
        }
        sums
    }

    /// Returns a machine's days in a span: those on which it was expected, and those on which it was checked anyway.
    pub fn days<'s>(&'s self, machine: &'s str, span: Period) -> impl Iterator<Item = &'s Day> {
        let days = self.machines.iter().find(|days| days.machine == machine);
        days.into_iter().flat_map(|days| &days.days).filter(move |day| span.contains(day.date))
    }

    /// Returns for every civil day of a span how many machine-days it holds, over all machines; days without any are left
    /// out.
    pub fn machine_days_by_day(&self, span: Period) -> BTreeMap<Date, u64> {
        let mut by_day = BTreeMap::new();
        for days in self.machines.iter().filter(|days| self.is_known(days.machine, span)) {
            for day in days.days.iter().filter(|day| span.contains(day.date) && counts(day)) {
                *by_day.entry(day.date).or_insert(0) += 1;
            }
        }
        by_day
    }

    /// Returns whether the calendars of every year of a span say when a machine is expected. The time before the logbook's
    /// first record does not matter.
    pub fn is_known(&self, machine: &str, span: Period) -> bool {
        let first = self.since.map_or(span.first, |since| span.first.max(since)).min(span.last());
        (first.0.year()..=span.last().0.year())
            .all(|year| self.calendars.get(&year).is_some_and(|calendar| names(calendar, machine)))
    }

    /// Returns whether every year of a span has a calendar.
    pub fn has_calendars(&self, span: Period) -> bool {
        let first = self.since.map_or(span.first, |since| span.first.max(since)).min(span.last());
        (first.0.year()..=span.last().0.year()).all(|year| self.calendars.contains_key(&year))
    }

    /// Returns the part of a span that the logbook covers; nothing when it lies before the first record.
    pub fn covered(&self, span: Period) -> Option<Period> {
        span.covered_since(self.since?)
    }
}

/// Returns whether a day is a machine-day: expected, over, and not withheld throughout.
fn counts(day: &Day) -> bool {
    day.expected && !matches!(day.state, DayState::Withheld | DayState::NotYet)
}

/// Returns whether a calendar says of a machine when it is expected; an empty list of weekdays says it too.
fn names(calendar: &Calendar, machine: &str) -> bool {
    calendar.weekly.contains_key(machine) || calendar.also.iter().any(|also| also.machines.iter().any(|m| m == machine))
}

/// Returns whether a failed check failed in an item that no fault found otherwise and open at that moment names.
fn is_new(basis: &Basis<'_>, life: &Life, done: &CheckDone) -> bool {
    let finished = done.check.finished;
    let elsewhere = |case: &&Case| {
        let check = case.found_during.check.as_deref().and_then(|path| basis.contents.speaking_for(path));
        case.open_at(finished) && check != Some(done.path())
    };
    let open: Vec<&Case> = life.cases.iter().filter(elsewhere).collect();
    !done.judgement.failures().all(|failed| {
        let place = failed.place();
        open.iter().any(|case| case.found_during.items.iter().any(|item| *item == place || *item == failed.item))
    })
}
