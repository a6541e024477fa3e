//! The readings of one place of one machine as a row of days and numbers in one unit, and what was done to the machine
//! in between.
//!
//! Takes a machine's life, gives one series for every item (or item and gas, item and vaporizer) that was answered by a
//! reading or by a pressure held, of which the fall is taken. One reading a day, the last; all occasions alike. Leaves out
//! readings of another kind than the newest, and asks nothing about limits.

use super::super::basis::Basis;
use crate::record::quantity::UNITS;
use crate::record::result::Entry;
use crate::record::{Answer, Date, Moment, Quantity, place};
use crate::register::LimitOf;
use crate::timeline::{Case, CheckDone, Life};
use std::collections::BTreeMap;

/// How many days of readings are looked at: 26 weeks.
pub const DAYS_LOOKED_AT: i64 = 182;

/// The readings of one place of one machine, at least one.
#[derive(Clone, Debug, PartialEq)]
pub struct Series<'a> {
    pub machine: &'a str,
    pub item: &'a str,
    /// The vaporizer or gas the readings are of.
    pub each: Option<&'a str>,
    /// What the numbers are: readings, or falls in pressure.
    pub of: LimitOf,
    /// The unit of the newest reading, in which all numbers are.
    pub scale: Scale,
    /// In the order of days, one a day.
    pub readings: Vec<Reading>,
    /// The check that the newest reading is of.
    pub newest: &'a CheckDone,
    /// What was done to the machine that may have changed its readings, in the order of time.
    pub changes: Vec<Change>,
}

/// One day's reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    pub day: Date,
    pub at: Moment,
    pub value: f64,
}

/// Something that was done to a machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Change {
    /// Readings after this moment are of the machine as it was then.
    pub at: Moment,
    pub why: Why,
}

/// Why readings before and after a moment are not of one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    Service,
    Repair,
    Release,
    /// The readings stepped to the safe side, and no record says what was done.
    Step,
}

impl Series<'_> {
    /// Returns the item with its vaporizer or gas as records name it: `pipeline-pressure/air`.
    pub fn place(&self) -> String {
        place(self.item, self.each)
    }
}

impl Why {
    /// Returns it in words.
    pub fn words(self) -> &'static str {
        match self {
            Why::Service => "service",
            Why::Repair => "repair",
            Why::Release => "release",
            Why::Step => "step, no record",
        }
    }
}

/// A unit as a scale: where its 0 and its 1 lie in the unit of the SI. Degrees Celsius do not begin at the SI's 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    pub symbol: &'static str,
    zero: f64,
    one: f64,
}

impl Scale {
    /// Returns the scale of a quantity's unit.
    fn of(quantity: &Quantity) -> Option<Scale> {
        let symbol = quantity.symbol();
        let si = |number: u8| format!("{number} {symbol}").parse::<Quantity>().ok().map(|q| q.measure().si());
        Some(Scale { symbol, zero: si(0)?, one: si(1)? })
    }

    /// Returns whether a quantity is of the kind that this scale measures.
    pub fn measures(self, quantity: &Quantity) -> bool {
        UNITS.iter().any(|unit| unit.symbol == self.symbol && unit.kind == quantity.measure().kind())
    }

    /// Returns a quantity's number on this scale. A number written in this very unit stays the number that was written:
    /// two equal readings must not become unequal by a conversion.
    pub fn number(self, quantity: &Quantity) -> f64 {
        let same = quantity.symbol() == self.symbol;
        let written = quantity.number().parse().ok().filter(|_| same);
        written.unwrap_or_else(|| tidy((quantity.measure().si() - self.zero) / (self.one - self.zero)))
    }
}

/// Returns a number without the noise of a conversion or a subtraction, which is far finer than any gauge.
fn tidy(number: f64) -> f64 {
    (number * 1e9).round() / 1e9
}

/// What was written for a place on a day.
#[derive(Clone, Copy)]
enum Seen<'a> {
    Reading(&'a Quantity),
    Fall(&'a Quantity, &'a Quantity),
}

impl<'a> Seen<'a> {
    fn of(answer: &'a Answer) -> Option<Seen<'a>> {
        match answer {
            Answer::Reading(quantity) => Some(Seen::Reading(quantity)),
            Answer::PressureHeld { from, to, .. } => Some(Seen::Fall(from, to)),
            Answer::Pass
            | Answer::Fail
            | Answer::NotFitted
            | Answer::Held(_)
            | Answer::Choice(_)
            | Answer::NotDone(_) => None,
        }
    }

    fn first(self) -> &'a Quantity {
        match self {
            Seen::Reading(quantity) | Seen::Fall(quantity, _) => quantity,
        }
    }

    /// Returns the number on the scale of the newest reading; nothing when it is of another kind.
    fn number(self, newest: Seen<'_>, scale: Scale) -> Option<f64> {
        let kind = newest.first().measure().kind();
        match (self, newest) {
            (Seen::Reading(quantity), Seen::Reading(_)) => {
                (quantity.measure().kind() == kind).then(|| scale.number(quantity))
            }
            (Seen::Fall(from, to), Seen::Fall(..)) => (from.measure().kind() == kind && to.measure().kind() == kind)
                .then(|| tidy(scale.number(from) - scale.number(to))),
            (Seen::Reading(_), Seen::Fall(..)) | (Seen::Fall(..), Seen::Reading(_)) => None,
        }
    }
}

type Answers<'a> = BTreeMap<(&'a str, Option<&'a str>), Vec<(Date, &'a CheckDone, Seen<'a>)>>;

/// Returns the series of a machine as known at the last moment that counts.
pub fn of_machine<'a>(basis: &Basis<'_>, machine: &'a str, life: &'a Life) -> Vec<Series<'a>> {
    answers(basis, life)
        .into_iter()
        .filter_map(|((item, each), answers)| {
            let (_, newest, last) = *answers.last()?;
            let scale = Scale::of(last.first())?;
            let of = if matches!(last, Seen::Fall(..)) { LimitOf::Fall } else { LimitOf::Reading };
            let readings = answers
                .iter()
                .filter_map(|(day, done, seen)| {
                    let value = seen.number(last, scale)?;
                    Some(Reading { day: *day, at: done.check.finished, value })
                })
                .collect();
            let changes = changes(basis, life, item, each);
            Some(Series { machine, item, each, of, scale, readings, newest, changes })
        })
        .collect()
}

/// Returns what was answered in numbers by place, one answer a day.
fn answers<'a>(basis: &Basis<'_>, life: &'a Life) -> Answers<'a> {
    let last = basis.last_moment();
    let today = basis.day(last);
    let recent = |day: Date| today.0.signed_duration_since(day.0).num_days() < DAYS_LOOKED_AT;
    let checks = life.checks.iter().rev().skip_while(|done| done.check.finished > last);
    let checks: Vec<(Date, &CheckDone)> =
        checks.map(|done| (basis.day(done.check.finished), done)).take_while(|(day, _)| recent(*day)).collect();
    let mut places = Answers::new();
    for (day, done) in checks.into_iter().rev() {
        let mut take = |item: &'a str, each: Option<&'a str>, answer: &'a Answer| {
            let Some(seen) = Seen::of(answer) else { return };
            let answers = places.entry((item, each)).or_default();
            if answers.last().is_some_and(|(earlier, ..)| *earlier == day) {
                answers.pop();
            }
            answers.push((day, done, seen));
        };
        for (item, entry) in &done.check.results.0 {
            match entry {
                Entry::One(result) => take(item, None, &result.answer),
                Entry::Each(each) => each.iter().for_each(|(id, result)| take(item, Some(id), &result.answer)),
            }
        }
    }
    places
}

/// Returns what was done to a machine that may have changed the readings of a place.
///
/// A service changes them all; a repair and a release those that their fault is about. The check that proves the machine
/// is done before the release is written, so that what it reads belongs to the time after.
fn changes(basis: &Basis<'_>, life: &Life, item: &str, each: Option<&str>) -> Vec<Change> {
    let last = basis.last_moment();
    let proof = |path: &str| {
        let path = basis.contents.speaking_for(path)?;
        Some(life.check(path)?.check.started)
    };
    let mut changes = Vec::new();
    for (_, _, service) in life.services.iter().filter(|(_, _, service)| service.finished <= last) {
        let proved = service.proved_by.as_deref().and_then(proof);
        let at = proved.map_or(service.finished, |proved| proved.max(service.started).min(service.finished));
        changes.push(Change { at, why: Why::Service });
    }
    for case in life.cases.iter().filter(|case| is_about(basis, life, case, item, each)) {
        let released = case.released.as_ref().filter(|released| released.released <= last);
        let proved = released.and_then(|released| proof(&released.proved_by));
        let works = case.works.iter().map(|work| (work.repair.finished, Why::Repair));
        let ends = works.chain(released.map(|released| (released.released, Why::Release)));
        for (end, why) in ends.filter(|(end, _)| *end <= last) {
            changes.push(Change { at: proved.map_or(end, |proved| end.min(proved)).max(case.found), why });
        }
    }
    changes.sort();
    changes
}

/// Returns whether a fault is about a place: it names it, or the check that showed it failed in it.
fn is_about(basis: &Basis<'_>, life: &Life, case: &Case, item: &str, each: Option<&str>) -> bool {
    let same = |place: &str| match place.split_once('/') {
        Some((named, of)) => named == item && each.is_none_or(|each| each == of),
        None => place == item,
    };
    let check = case.found_during.check.as_deref().and_then(|path| basis.contents.speaking_for(path));
    let check = check.and_then(|path| life.check(path));
    case.found_during.items.iter().any(|place| same(place))
        || check.is_some_and(|check| check.judgement.failures().any(|failed| same(&failed.place())))
}
