//! The numbers of a check, place by place, and how often they stayed the same from one check to the next.
//!
//! A place is an item, or an item and a gas or vaporizer. All numbers of one answer (the pressures at the start and the
//! end, the time) are one value: they go together, and to count each by itself would make a repeat look too rare. Two
//! values are equal when numbers and units are; `20.9 %` equals `20.90 %`.

use super::Span;
use crate::record::{Answer, Check, Quantity};
use crate::statistics::repeats::repeat_share;
use crate::timeline::{CheckDone, Life};
use std::collections::BTreeMap;

/// The numbers of one answer with their units, as they compare.
pub type Value = Vec<(u64, &'static str)>;

/// The values of a check by place.
pub type Values = BTreeMap<String, Value>;

/// How few pairs of checks are too few to know how often a value repeats.
pub const FEWEST_PAIRS: usize = 20;

/// Returns the number of a quantity; nothing for one that no number can hold.
pub fn number(quantity: &Quantity) -> Option<f64> {
    quantity.number().parse::<f64>().ok().filter(|number| number.is_finite())
}

/// Returns the values of a check: its readings, and the times it was held.
pub fn values(check: &Check) -> Values {
    let part = |q: &Quantity| {
        // Nought has two signs and only one meaning.
        let number = number(q).map(|number| if number == 0.0 { 0.0 } else { number })?;
        Some((number.to_bits(), q.symbol()))
    };
    let value = |answer: &Answer| -> Option<Value> {
        match answer {
            Answer::Reading(q) | Answer::Held(q) => Some(vec![part(q)?]),
            Answer::PressureHeld { from, to, time } => Some(vec![part(from)?, part(to)?, part(time)?]),
            Answer::Pass | Answer::Fail | Answer::NotFitted | Answer::Choice(_) | Answer::NotDone(_) => None,
        }
    };
    check
        .results
        .single()
        .filter_map(|(item, each, result, _)| Some((place(item, each), value(&result.answer)?)))
        .collect()
}

/// Returns a place as records name it: `suction-vacuum` or `pipeline-pressure/oxygen`.
pub fn place(item: &str, each: Option<&str>) -> String {
    each.map_or_else(|| item.to_owned(), |each| format!("{item}/{each}"))
}

/// A check with its values and those of the check before it.
pub struct Pair<'a> {
    pub check: &'a CheckDone,
    pub values: Values,
    pub before: Values,
}

impl Pair<'_> {
    /// Returns whether both checks have numbers at the same places and every one of them is equal.
    pub fn is_copy(&self) -> bool {
        !self.values.is_empty() && self.values == self.before
    }
}

/// The checks of one machine by one procedure, each beside the one before it.
pub struct Series<'a> {
    pub procedure: &'a str,
    /// Of the twelve months before the span.
    pub earlier: Vec<Pair<'a>>,
    /// Of the span.
    pub own: Vec<Pair<'a>>,
    /// By place, over the twelve months before.
    stayed: BTreeMap<String, Stayed>,
}

impl Series<'_> {
    /// Returns how often the value of a place stayed the same in the twelve months before.
    pub fn stayed_before(&self, place: &str) -> Stayed {
        self.stayed.get(place).copied().unwrap_or_default()
    }

    /// Returns the same, with the other checks of the span when the twelve months before have too few; never with the
    /// pair that is asked about.
    pub fn stayed(&self, place: &str, asked_about: usize) -> Stayed {
        let mut stayed = self.stayed_before(place);
        if stayed.of < FEWEST_PAIRS {
            let others = self.own.iter().enumerate().filter(|(n, _)| *n != asked_about);
            others.for_each(|(_, pair)| stayed.add(pair, place));
        }
        stayed
    }
}

/// Returns the series of a machine, one for each procedure.
pub fn series<'a>(life: &'a Life, span: &Span) -> Vec<Series<'a>> {
    let mut all: BTreeMap<&str, (Series<'a>, Option<Values>)> = BTreeMap::new();
    for check in &life.checks {
        let (own, earlier) = (span.holds(check.check.finished), span.precedes(check.check.finished));
        if !own && !earlier {
            continue;
        }
        let procedure = check.check.procedure.as_str();
        let empty = || (Series { procedure, earlier: Vec::new(), own: Vec::new(), stayed: BTreeMap::new() }, None);
        let (series, last) = all.entry(procedure).or_insert_with(empty);
        let values = values(&check.check);
        if let Some(before) = last.replace(values.clone()) {
            let pair = Pair { check, values, before };
            if own {
                series.own.push(pair);
            } else {
                for place in pair.values.keys() {
                    series.stayed.entry(place.clone()).or_default().add(&pair, place);
                }
                series.earlier.push(pair);
            }
        }
    }
    all.into_values().map(|(series, _)| series).filter(|series| !series.own.is_empty()).collect()
}

/// How often the value of a place stayed the same from one check to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stayed {
    pub same: usize,
    pub of: usize,
}

impl Stayed {
    /// Counts a pair in which both checks have a value at a place.
    fn add(&mut self, pair: &Pair<'_>, place: &str) {
        if let (Some(value), Some(before)) = (pair.values.get(place), pair.before.get(place)) {
            self.of += 1;
            self.same += usize::from(value == before);
        }
    }

    /// Returns whether the value ever changed.
    pub fn varies(self) -> bool {
        self.same < self.of
    }

    /// Returns the chance to reckon with that it stays once more; nothing when there is too little to tell.
    pub fn chance(self) -> Option<f64> {
        (self.of >= FEWEST_PAIRS).then(|| repeat_share(self.same, self.of))
    }
}
