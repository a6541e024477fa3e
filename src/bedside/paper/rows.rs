//! The rows of a sheet: each step with what is asked, its limits, and the room for its answer.

use super::words::{EMERGENCY, RESTRICT, WITHHOLD};
use super::{Blank, Choice, Named, Row};
use crate::bedside::step::{Step, steps};
use crate::procedure::item::{Meaning, Who};
use crate::procedure::{AnswerKind, IfFailed, Sheet};
use crate::register::{Limit, LimitOf, Standing};
use std::collections::BTreeMap;

/// Returns a row for each step, in their order, and who does those that say nothing of it.
pub fn of(sheet: &Sheet) -> (Vec<Row>, String) {
    let steps = steps(sheet);
    let usual = usual(&steps);
    let mut rows: Vec<Row> = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|before| steps.get(before));
        let said = before.is_some_and(|before| std::ptr::eq(before.line, step.line));
        rows.push(row(at + 1, step, said, &usual));
    }
    (rows, format!("Each item is done by {usual}, unless it says otherwise."))
}

/// Returns the row of a step; `said` tells that the step before, of the same item, has the instruction.
fn row(number: usize, step: &Step<'_>, said: bool, usual: &str) -> Row {
    let item = step.item();
    let by = item.by.words();
    Row {
        number,
        title: step.title(),
        instruction: (!said).then(|| item.instruction.clone()),
        limits: step.limits().iter().filter(|_| !said).map(|limit| sourced(limit, item.answer)).collect(),
        short_limits: step.limits().iter().map(|limit| marked(limit, item.answer)).collect::<Vec<_>>().join("; "),
        by: (by != usual).then(|| format!("by {by}")),
        initials: match &item.by {
            Who::AllOf(roles) if roles.len() > 1 => roles.iter().map(|role| role.word()).collect(),
            _ => Vec::new(),
        },
        cannot_wait: item.cannot_wait.then_some(EMERGENCY),
        fails: match item.fails {
            IfFailed::Withhold => WITHHOLD,
            IfFailed::Restrict => RESTRICT,
        },
        blanks: blanks(step),
        choices: choices(step),
    }
}

/// Returns who does most of the steps.
fn usual(steps: &[Step<'_>]) -> String {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for step in steps {
        *counts.entry(step.item().by.words()).or_default() += 1;
    }
    counts.into_iter().max_by_key(|(_, count)| *count).map(|(by, _)| by).unwrap_or_default()
}

fn blanks(step: &Step<'_>) -> Vec<Blank> {
    let blank = |name, unit| Blank { name, unit };
    match step.item().answer {
        AnswerKind::Confirm | AnswerKind::Choice => Vec::new(),
        AnswerKind::Reading => vec![blank("", step.unit())],
        AnswerKind::Hold => vec![blank("held", step.unit())],
        AnswerKind::PressureHeld => {
            vec![blank("start", step.unit()), blank("end", step.unit()), blank("watched", Some("s"))]
        }
    }
}

fn choices(step: &Step<'_>) -> Vec<Choice> {
    let choice = |(at, (word, meaning)): (usize, (&str, Meaning))| Choice {
        digit: at + 1,
        word: word.replace('-', " "),
        fails: meaning == Meaning::Fail,
    };
    step.choices().into_iter().enumerate().map(choice).collect()
}

/// Returns a limit and its source.
fn sourced(limit: &Limit, answer: AnswerKind) -> Named {
    Named { name: short(limit, answer), value: limit.source_words() }
}

/// Returns a limit without its source; one that is only from memory says so.
fn marked(limit: &Limit, answer: AnswerKind) -> String {
    let memory = if limit.standing == Standing::Memory { " (from memory)" } else { "" };
    format!("{}{memory}", short(limit, answer))
}

/// Returns what a limit is about and its bounds, in few words: `fall at most 1 cmH2O`.
fn short(limit: &Limit, answer: AnswerKind) -> String {
    let of = match (limit.of, answer) {
        (LimitOf::Reading, _) | (LimitOf::Held, AnswerKind::Hold) => "",
        (LimitOf::Held, _) => "held ",
        (LimitOf::From, _) => "start ",
        (LimitOf::To, _) => "end ",
        (LimitOf::In, _) => "watched ",
        (LimitOf::Fall, _) => "fall ",
    };
    format!("{of}{}", limit.words())
}
