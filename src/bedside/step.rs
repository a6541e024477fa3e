//! One place of a sheet as a person meets it: what to do, in which unit, how long, and by which limits.

use crate::procedure::item::Meaning;
use crate::procedure::{AnswerKind, IfFailed, Item, Line, Sheet};
use crate::record::{Quantity, place};
use crate::register::{Limit, LimitOf};

/// One place of a sheet: an item, or an item for one vaporizer or gas.
#[derive(Clone, Copy, Debug)]
pub struct Step<'a> {
    pub line: &'a Line,
    /// The vaporizer or gas it is for.
    pub each: Option<&'a str>,
}

/// Returns the steps of a sheet in working order.
pub fn steps(sheet: &Sheet) -> Vec<Step<'_>> {
    sheet.places().map(|(line, each)| Step { line, each }).collect()
}

impl<'a> Step<'a> {
    /// Returns the item.
    pub fn item(&self) -> &'a Item {
        &self.line.item
    }

    /// Returns the limits in force for the machine.
    pub fn limits(&self) -> &'a [Limit] {
        &self.line.limits
    }

    /// Returns item and vaporizer or gas as records name them: `pipeline-pressure/oxygen`.
    pub fn place(&self) -> String {
        place(&self.line.item.id, self.each)
    }

    /// Returns its title: `Pipeline pressure: oxygen`.
    pub fn title(&self) -> String {
        match self.each {
            Some(each) => format!("{}: {}", self.line.item.title, each.replace('-', " ")),
            None => self.line.item.title.clone(),
        }
    }

    /// Returns the unit that a number without one is in: that of the limit it will be set against, or the most usual one.
    ///
    /// Nothing when the item says nothing about what it measures; the unit must then be typed.
    pub fn unit(&self) -> Option<&'static str> {
        let bound = |of: &[LimitOf]| {
            let mut limits = self.limits().iter().filter(|limit| of.contains(&limit.of));
            limits.find_map(|limit| bounds(limit).next()).map(Quantity::symbol)
        };
        match self.item().answer {
            AnswerKind::Reading => {
                let usual = self.item().measures.and_then(|kind| kind.units().first().copied());
                bound(&[LimitOf::Reading]).or(usual)
            }
            AnswerKind::Hold => bound(&[LimitOf::Held]).or(Some("s")),
            AnswerKind::PressureHeld => {
                let pressures = [&[LimitOf::From][..], &[LimitOf::To], &[LimitOf::Fall]];
                pressures.into_iter().find_map(bound).or(Some("cmH2O"))
            }
            AnswerKind::Confirm | AnswerKind::Choice => None,
        }
    }

    /// Returns how many seconds it must be held or watched; nothing when no limit says so.
    pub fn hold_seconds(&self) -> Option<i64> {
        let of = match self.item().answer {
            AnswerKind::Hold => LimitOf::Held,
            AnswerKind::PressureHeld => LimitOf::In,
            _ => return None,
        };
        let mut limits = self.limits().iter().filter(|limit| limit.of == of);
        limits.find_map(|limit| limit.at_least.as_ref().or(limit.above.as_ref())).and_then(Quantity::seconds)
    }

    /// Returns the pressure that a pressure held begins at; nothing when no limit says so.
    pub fn start(&self) -> Option<&'a Quantity> {
        self.limits().iter().find(|limit| limit.of == LimitOf::From).and_then(|limit| limit.at_least.as_ref())
    }

    /// Returns the words of a choice, those that pass first.
    pub fn choices(&self) -> Vec<(&'a str, Meaning)> {
        let mut words: Vec<(&str, Meaning)> = self.item().choices.iter().map(|(word, m)| (word.as_str(), *m)).collect();
        words.sort_by_key(|(word, meaning)| (*meaning == Meaning::Fail, *word));
        words
    }

    /// Returns each limit in words, with its source: `at least 1000 psi (FDA 1993 step 2)`.
    pub fn limit_words(&self) -> Vec<String> {
        let of = |limit: &Limit| match (limit.of, self.item().answer) {
            (LimitOf::Reading, _) | (LimitOf::Held, AnswerKind::Hold) => String::new(),
            (of, _) => format!("{}: ", of.words()),
        };
        self.limits().iter().map(|limit| format!("{}{} ({})", of(limit), limit.words(), limit.source_words())).collect()
    }
}

/// Returns what a failure of an item does to the machine.
pub fn consequence(fails: IfFailed) -> &'static str {
    match fails {
        IfFailed::Withhold => "the machine is withheld from use",
        IfFailed::Restrict => "the machine may be used only with a restriction",
    }
}

fn bounds(limit: &Limit) -> impl Iterator<Item = &Quantity> {
    [&limit.at_least, &limit.above, &limit.at_most, &limit.below].into_iter().flatten()
}
