//! The numbers of a check, place by place, and how often they stayed the same from one check to the next.
//!
//! A place is an item, or an item and a gas or vaporizer. All numbers of one answer (the pressures at the start and the
//! end, the time) are one value: they go together, and to count each by itself would make a repeat look too rare. Two
//! values are equal when numbers and units are; `20.9 %` equals `20.90 %`.

use super::Span;
use crate::record::{Answer, Check, Quantity, place};
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
    /// By place, over the span: counted once, because every place of every check is asked about.
    own_stayed: BTreeMap<String, Stayed>,
}

impl<'a> Series<'a> {
    fn of(procedure: &'a str) -> Series<'a> {
        let (stayed, own_stayed) = (BTreeMap::new(), BTreeMap::new());
        Series { procedure, earlier: Vec::new(), own: Vec::new(), stayed, own_stayed }
    }
}

impl Series<'_> {
    /// Returns how often the value of a place stayed the same in the twelve months before.
    pub fn stayed_before(&self, place: &str) -> Stayed {
        self.stayed.get(place).copied().unwrap_or_default()
    }

    /// Returns the same, with the other checks of the span when the twelve months before have too few; without
    /// the pair of the span that is asked about.
    pub fn stayed(&self, place: &str, asked_about: &Pair<'_>) -> Stayed {
        let before = self.stayed_before(place);
        if before.of >= FEWEST_PAIRS {
            return before;
        }
        let own = self.own_stayed.get(place).copied().unwrap_or_default();
        let itself = Stayed::of(asked_about, place);
        Stayed {
            same: before.same + own.same.saturating_sub(itself.same),
            of: before.of + own.of.saturating_sub(itself.of),
        }
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
        let (series, last) = all.entry(procedure).or_insert_with(|| (Series::of(procedure), None));
        let values = values(&check.check);
        if let Some(before) = last.replace(values.clone()) {
            let pair = Pair { check, values, before };
            let (pairs, stayed) =
                if own { (&mut series.own, &mut series.own_stayed) } else { (&mut series.earlier, &mut series.stayed) };
            for place in pair.values.keys() {
                stayed.entry(place.clone()).or_default().add(Stayed::of(&pair, place));
            }
            pairs.push(pair);
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
    /// Counts one pair at a place; nothing unless both checks have a value there.
    fn of(pair: &Pair<'_>, place: &str) -> Stayed {
        match (pair.values.get(place), pair.before.get(place)) {
            (Some(value), Some(before)) => Stayed { same: usize::from(value == before), of: 1 },
            _ => Stayed::default(),
        }
    }

    fn add(&mut self, other: Stayed) {
        self.same += other.same;
        self.of += other.of;
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
