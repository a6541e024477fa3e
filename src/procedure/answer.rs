//! From one answer to its verdict, by the limits in force.
//!
//! Takes an item, its limits and an answer. The verdict is made without a word of text, because a logbook holds millions
//! of answers; the values that were set against limits, and why an answer does not fit, are put into words when somebody
//! asks.

use super::item::{AnswerKind, Item, Meaning};
use crate::record::{Answer, Kind, Quantity};
use crate::register::limit::Met;
use crate::register::{Limit, LimitOf};
use std::borrow::Borrow;

/// The verdict on one answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    Pass,
    Fail,
    /// Not done, with a reason given.
    NotDone,
    /// Said to be not fitted.
    NotFitted,
    /// The item applies and nothing was written for it.
    Unanswered,
    /// The answer is not of the kind the item asks for.
    Unfit,
}

/// A value set against a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured<'a> {
    pub of: LimitOf,
    /// The value in words; a fall is computed from two readings.
    pub value: String,
    pub limit: &'a Limit,
    pub met: bool,
}

/// Why an answer does not fit its item.
enum Unfit<'a> {
    OtherWord(&'a str),
    OtherMeasure(&'a Quantity, Kind),
    NotAShare(&'a Quantity),
    TwoKinds,
    Incomparable(&'a Limit),
    Wanted(AnswerKind),
}

/// A value as it is shown.
enum Value<'a> {
    Written(&'a Quantity),
    Fall(Quantity),
}

/// Judges one answer by the limits in force.
pub fn judge_answer<L: Borrow<Limit>>(item: &Item, limits: &[L], answer: &Answer) -> Verdict {
    look(item, limits, answer, |_, _, _| {}).unwrap_or(Verdict::Unfit)
}

/// Returns why an answer does not fit its item; nothing when it fits.
pub fn why_unfit<L: Borrow<Limit>>(item: &Item, limits: &[L], answer: &Answer) -> Option<String> {
    look(item, limits, answer, |_, _, _| {}).err().map(|unfit| unfit.words(item))
}

/// Returns every value of an answer that was set against a limit; none when the answer does not fit.
pub fn measured<'a, L: Borrow<Limit>>(item: &'a Item, limits: &'a [L], answer: &'a Answer) -> Vec<Measured<'a>> {
    let mut measured = Vec::new();
    let verdict = look(item, limits, answer, |limit, value, met| {
        measured.push(Measured { of: limit.of, value: value.words(), limit, met });
    });
    if verdict.is_ok() { measured } else { Vec::new() }
}

/// Judges one answer and shows every value with the limit it was set against and whether it met it.
fn look<'a, L: Borrow<Limit>>(
    item: &'a Item,
    limits: &'a [L],
    answer: &'a Answer,
    see: impl FnMut(&'a Limit, Value<'a>, bool),
) -> Result<Verdict, Unfit<'a>> {
    match (item.answer, answer) {
        (_, Answer::NotDone(_)) => Ok(Verdict::NotDone),
        (_, Answer::NotFitted) => Ok(Verdict::NotFitted),
        // A person may always say that an item failed, whatever it asks for: nobody has to find a number first.
        (_, Answer::Fail) => Ok(Verdict::Fail),
        (AnswerKind::Confirm, Answer::Pass) => Ok(Verdict::Pass),
        (AnswerKind::Choice, Answer::Choice(word)) => match item.choices.get(word) {
            Some(Meaning::Pass) => Ok(Verdict::Pass),
            Some(Meaning::Fail) => Ok(Verdict::Fail),
            None => Err(Unfit::OtherWord(word)),
        },
        (AnswerKind::Reading, Answer::Reading(value)) => {
            if let Some(kind) = item.measures.filter(|kind| *kind != value.kind()) {
                return Err(Unfit::OtherMeasure(value, kind));
            }
            if value.kind() == Kind::Share && !(0.0..=1.0).contains(&value.si()) {
                return Err(Unfit::NotAShare(value));
            }
            compare(limits, &[(LimitOf::Reading, value)], None, see)
        }
        (AnswerKind::Hold, Answer::Held(time)) => compare(limits, &[(LimitOf::Held, time)], None, see),
        (AnswerKind::PressureHeld, Answer::PressureHeld { from, to, time }) => {
            if from.compare(to).is_none() {
                return Err(Unfit::TwoKinds);
            }
            let values = [(LimitOf::From, from), (LimitOf::To, to), (LimitOf::In, time)];
            compare(limits, &values, Some((from, to)), see)
        }
        (kind, _) => Err(Unfit::Wanted(kind)),
    }
}

fn compare<'a, L: Borrow<Limit>>(
    limits: &'a [L],
    values: &[(LimitOf, &'a Quantity)],
    ends: Option<(&'a Quantity, &'a Quantity)>,
    mut see: impl FnMut(&'a Limit, Value<'a>, bool),
) -> Result<Verdict, Unfit<'a>> {
    let mut all_met = true;
    for limit in limits {
        let limit: &'a Limit = limit.borrow();
        let value = match (limit.of, ends) {
            (LimitOf::Fall, Some((from, to))) => Value::Fall(fall(from, to, limit).ok_or(Unfit::Incomparable(limit))?),
            (of, _) => match values.iter().find(|(what, _)| *what == of) {
                Some((_, value)) => Value::Written(value),
                None => continue,
            },
        };
        let met = match limit.met_by(value.quantity()) {
            Met::Yes => true,
            Met::No => false,
            Met::NotComparable => return Err(Unfit::Incomparable(limit)),
        };
        all_met &= met;
        see(limit, value, met);
    }
    Ok(if all_met { Verdict::Pass } else { Verdict::Fail })
}

/// Returns the fall from one pressure to another in the unit of a limit on it.
fn fall(from: &Quantity, to: &Quantity, limit: &Limit) -> Option<Quantity> {
    let bound = limit.at_most.as_ref().or(limit.below.as_ref()).or(limit.at_least.as_ref()).or(limit.above.as_ref())?;
    if bound.kind() != from.kind() {
        return None;
    }
    // Nine decimals are far finer than any gauge and hide the rounding of the subtraction.
    let fall = (from.si() - to.si()) / bound.factor();
    let text = format!("{:.9}", (fall * 1e9 + 0.5).floor() / 1e9);
    let text = if text.trim_start_matches('-').bytes().all(|b| matches!(b, b'0' | b'.')) { "0.0" } else { &text };
    bound.same_unit(text.trim_end_matches('0').trim_end_matches('.'))
}

impl Value<'_> {
    fn quantity(&self) -> &Quantity {
        match self {
            Value::Written(quantity) => quantity,
            Value::Fall(quantity) => quantity,
        }
    }

    fn words(&self) -> String {
        match self {
            Value::Written(quantity) => quantity.to_string(),
            Value::Fall(fall) => match fall.number().strip_prefix('-') {
                Some(rise) => format!("a rise of {rise} {}", fall.symbol()),
                None => fall.to_string(),
            },
        }
    }
}

impl Unfit<'_> {
    fn words(&self, item: &Item) -> String {
        match self {
            Unfit::OtherWord(word) => {
                let words: Vec<String> = item.choices.keys().map(|w| format!("`{w}`")).collect();
                format!("`{word}` is not one of {}", words.join(", "))
            }
            Unfit::OtherMeasure(value, kind) => {
                format!("{value} is {}, not {}", value.kind().words(), kind.words())
            }
            Unfit::NotAShare(value) => format!("{value} is not between 0 % and 100 %"),
            Unfit::TwoKinds => "start and end of a pressure held must be pressures of one kind".to_owned(),
            Unfit::Incomparable(limit) => {
                format!("the {} cannot be compared with the limit {}", limit.of.words(), limit.words())
            }
            Unfit::Wanted(kind) => wanted(*kind).to_owned(),
        }
    }
}

/// Returns what an item asks for, with a line to write.
pub fn wanted(kind: AnswerKind) -> &'static str {
    match kind {
        AnswerKind::Confirm => "this item is answered `pass` or `fail`",
        AnswerKind::Reading => "this item wants a reading, such as `{reading: 1250 psi}`",
        AnswerKind::Hold => "this item wants a time held, such as `{held: 10 s}`",
        AnswerKind::PressureHeld => {
            "this item wants a pressure held, such as `{from: 30 cmH2O, to: 30 cmH2O, in: 10 s}`"
        }
        AnswerKind::Choice => "this item wants one of its words, such as `{choice: full}`",
    }
}

/// Returns what was seen, in words.
pub fn seen(answer: &Answer) -> String {
    match answer {
        Answer::Pass => "pass".to_owned(),
        Answer::Fail => "fail".to_owned(),
        Answer::NotFitted => "not fitted".to_owned(),
        Answer::Reading(q) => q.to_string(),
        Answer::Held(q) => format!("held {q}"),
        Answer::PressureHeld { from, to, time } => format!("{from} to {to} in {time}"),
        Answer::Choice(word) => word.clone(),
        Answer::NotDone(because) => format!("not done: {because}"),
    }
}
