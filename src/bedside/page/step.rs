//! One step as the page has it: what to do, what to put in, and the limits, as data.

use super::super::reserve::cylinder_of;
use super::super::step::{Step, consequence};
use crate::procedure::answer::wanted;
use crate::procedure::item::Meaning;
use crate::procedure::{AnswerKind, Belief, IfFailed, Who};
use crate::record::{Kind, Quantity};
use crate::register::{Cylinder, Limit, LimitOf, Machine};
use serde::Serialize;

/// One step.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PageStep {
    /// Item and vaporizer or gas as records name them.
    pub place: String,
    pub item: String,
    pub each: Option<String>,
    /// The title of the item, without the vaporizer or gas.
    pub item_title: String,
    pub title: String,
    pub instruction: String,
    pub answer: AnswerKind,
    /// What to say to an answer of another kind.
    pub wanted: &'static str,
    pub measures: Option<Kind>,
    pub measures_words: Option<&'static str>,
    /// The unit of a number without one.
    pub unit: Option<&'static str>,
    pub units: Vec<&'static str>,
    /// The words of a choice, those that pass first.
    pub choices: Vec<(String, Meaning)>,
    pub limits: Vec<StepLimit>,
    /// Each limit in words, with its source.
    pub limit_words: Vec<String>,
    pub hold_seconds: Option<i64>,
    /// The pressure that a pressure held begins at.
    pub start: Option<Quantity>,
    pub by: Who,
    pub by_words: String,
    pub fails: IfFailed,
    /// What a failure does to the machine.
    pub consequence: &'static str,
    pub cannot_wait: bool,
    /// The cylinder whose gauge is read.
    pub cylinder: Option<StepCylinder>,
    /// The numbers that are believed.
    pub belief: Belief,
}

/// A limit with its words.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct StepLimit {
    pub of: LimitOf,
    pub of_words: &'static str,
    pub at_least: Option<Quantity>,
    pub at_most: Option<Quantity>,
    pub above: Option<Quantity>,
    pub below: Option<Quantity>,
    pub words: String,
}

/// A cylinder and what it holds.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct StepCylinder {
    pub gas: String,
    #[serde(flatten)]
    pub cylinder: Cylinder,
}

impl PageStep {
    /// Returns a step of a machine's sheet as the page has it.
    pub fn of(step: &Step<'_>, machine: &Machine) -> PageStep {
        let item = step.item();
        PageStep {
            place: step.place(),
            item: item.id.clone(),
            each: step.each.map(str::to_owned),
            item_title: item.title.clone(),
            title: step.title(),
            instruction: item.instruction.clone(),
            answer: item.answer,
            wanted: wanted(item.answer),
            measures: item.measures,
            measures_words: item.measures.map(Kind::words),
            unit: step.unit(),
            units: match item.answer {
                AnswerKind::Confirm | AnswerKind::Choice => Vec::new(),
                _ => super::units_of(step),
            },
            choices: step.choices().into_iter().map(|(word, meaning)| (word.to_owned(), meaning)).collect(),
            limits: step.limits().iter().map(StepLimit::of).collect(),
            limit_words: step.limit_words(),
            hold_seconds: step.hold_seconds(),
            start: step.start().cloned(),
            by: item.by.clone(),
            by_words: item.by.words(),
            fails: item.fails,
            consequence: consequence(item.fails),
            cannot_wait: item.cannot_wait,
            belief: step.line.belief.clone(),
            cylinder: cylinder_of(item, machine)
                .map(|(gas, cylinder)| StepCylinder { gas: gas.to_owned(), cylinder: cylinder.clone() }),
        }
    }
}

impl StepLimit {
    fn of(limit: &Limit) -> StepLimit {
        StepLimit {
            of: limit.of,
            of_words: limit.of.words(),
            at_least: limit.at_least.clone(),
            at_most: limit.at_most.clone(),
            above: limit.above.clone(),
            below: limit.below.clone(),
            words: limit.words(),
        }
    }
}
