//! A check that is not finished: what was answered so far, and how it becomes a record.
//!
//! A draft is written in the words of a record, so that a person who finds one after a power cut can read it. The same form
//! serves for answers that are handed in as a file. It holds answers, never verdicts.

use super::step::Step;
use crate::diagnostic::Diagnostic;
use crate::procedure::{Sheet, Verdict, judge_answer};
use crate::record::result::Entry;
use crate::record::{Answer, Body, Check, Common, Form, ItemResult, Moment, Record, Results};
use crate::record::{shape, tree};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// An unfinished check. What is not there yet is not known yet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Draft {
    /// Always `check`; says what it will become.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub draft: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub procedure: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub started: Option<Moment>,
    /// Known beforehand only when it is typed in after the work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished: Option<Moment>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub by: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recorded_by: Option<String>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub emergency_start: bool,
    /// Why the emergency left out what can wait; so that what was left out for another reason is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emergency_reason: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    #[serde(default, skip_serializing_if = "no_results")]
    pub results: Results,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remarks: Option<String>,
}

impl Draft {
    /// Returns its text.
    ///
    /// # Errors
    /// Only when the library that writes YAML refuses.
    pub fn text(&self) -> anyhow::Result<String> {
        Ok(serde_yaml::to_string(self)?)
    }

    /// Reads one, with every fault of its text and shape; `path` only says where a fault stands.
    pub fn read(path: &str, bytes: &[u8]) -> (Option<Draft>, Vec<Diagnostic>) {
        let (root, mut faults) = tree::read(path, bytes);
        let Some(root) = root else { return (None, faults) };
        let json = root.to_json();
        faults.extend(shape::judge(path, shape::Kind::Draft, &root, &json));
        if !faults.is_empty() {
            return (None, faults);
        }
        let draft =
            serde_json::from_value(json).map_err(|error| faults.push(shape::did_not_fit(path, &root, &error))).ok();
        (draft, faults)
    }

    /// Returns what was answered at a step.
    pub fn result(&self, step: &Step<'_>) -> Option<&ItemResult> {
        match (self.results.get(&step.item().id)?, step.each) {
            (Entry::One(result), None) => Some(result),
            (Entry::Each(results), Some(each)) => results.iter().find(|(id, _)| id == each).map(|(_, result)| result),
            _ => None,
        }
    }

    /// Puts an answer to a step in the place of the one that was there; attempts and remark stay.
    pub fn answer(&mut self, step: &Step<'_>, answer: Answer) {
        match self.result_mut(step) {
            Some(result) => result.answer = answer,
            None => self.put(step, ItemResult::plain(answer)),
        }
    }

    /// Takes a further answer to a step, after the work was done again: the one that was there stays as an attempt.
    ///
    /// What was not done before was no attempt.
    pub fn answer_again(&mut self, step: &Step<'_>, answer: Answer) {
        match self.result_mut(step) {
            Some(result) => {
                let before = std::mem::replace(&mut result.answer, answer);
                if !matches!(before, Answer::NotDone(_) | Answer::NotFitted) {
                    result.earlier.push(before);
                }
            }
            None => self.put(step, ItemResult::plain(answer)),
        }
    }

    /// Marks a step as not done, and returns whether a failed try was there: it stays as an attempt.
    pub fn leave(&mut self, step: &Step<'_>, because: &str) -> bool {
        let failed = |result: &ItemResult| judge_answer(step.item(), step.limits(), &result.answer) == Verdict::Fail;
        let failed = self.result(step).is_some_and(failed);
        let not_done = Answer::NotDone(because.to_owned());
        if failed {
            self.answer_again(step, not_done)
        } else {
            self.answer(step, not_done)
        }
        failed
    }

    /// Puts a remark on an answer that is there, or takes it off.
    pub fn remark(&mut self, step: &Step<'_>, remark: Option<String>) {
        if let Some(result) = self.result_mut(step) {
            result.remark = remark;
        }
    }

    /// Takes the answer to a step back: the step is open again.
    pub fn withdraw(&mut self, step: &Step<'_>) {
        let id = &step.item().id;
        match (self.results.0.iter_mut().find(|(known, _)| known == id).map(|(_, entry)| entry), step.each) {
            (Some(Entry::Each(results)), Some(each)) if results.len() > 1 => results.retain(|(known, _)| known != each),
            _ => self.results.0.retain(|(known, _)| known != id),
        }
    }

    /// Returns whether the place of a step has no answer yet.
    pub fn lacks(&self, step: &Step<'_>) -> bool {
        self.result(step).is_none()
    }

    /// Marks every step that has no answer as not done, for one reason.
    pub fn leave_rest(&mut self, steps: &[Step<'_>], because: &str) {
        for step in steps {
            if self.lacks(step) {
                self.answer(step, Answer::NotDone(because.to_owned()));
            }
        }
    }

    /// Returns the record it becomes, with the results in the order of the sheet.
    ///
    /// Results that the sheet does not ask for are kept: whoever judges the record says so. What is missing is missing in
    /// the record too.
    pub fn record(&self, sheet: &Sheet, started: Moment, finished: Moment, recorded: Moment) -> Record {
        let mut results = self.results.0.clone();
        let at = |id: &str| sheet.lines.iter().position(|line| line.item.id == id).unwrap_or(usize::MAX);
        results.sort_by_key(|(id, _)| at(id));
        Record {
            common: Common {
                machine: self.machine.clone().unwrap_or_default(),
                recorded,
                by: self.by.clone(),
                recorded_by: self.recorded_by.clone(),
                corrects: None,
                remarks: self.remarks.clone(),
            },
            body: Body::Check(Arc::new(Check {
                procedure: self.procedure.clone().unwrap_or_default(),
                revision: self.revision.unwrap_or_default(),
                started,
                finished,
                emergency_start: self.emergency_start,
                form: self.form.clone(),
                results: Results(results),
            })),
        }
    }

    fn result_mut(&mut self, step: &Step<'_>) -> Option<&mut ItemResult> {
        let entry = self.results.0.iter_mut().find(|(id, _)| *id == step.item().id).map(|(_, entry)| entry)?;
        match (entry, step.each) {
            (Entry::One(result), None) => Some(result),
            (Entry::Each(results), Some(each)) => {
                results.iter_mut().find(|(id, _)| id == each).map(|(_, result)| result)
            }
            _ => None,
        }
    }

    /// Puts a result to a step, with its attempts and its remark, in the place of all that was there.
    pub fn put(&mut self, step: &Step<'_>, result: ItemResult) {
        let id = &step.item().id;
        let entry = self.results.0.iter_mut().find(|(known, _)| known == id).map(|(_, entry)| entry);
        match (entry, step.each) {
            (Some(Entry::Each(results)), Some(each)) => match results.iter_mut().find(|(known, _)| known == each) {
                Some((_, there)) => *there = result,
                None => results.push((each.to_owned(), result)),
            },
            (Some(entry), None) => *entry = Entry::One(result),
            (Some(entry), Some(each)) => *entry = Entry::Each(vec![(each.to_owned(), result)]),
            (None, None) => self.results.0.push((id.clone(), Entry::One(result))),
            (None, Some(each)) => self.results.0.push((id.clone(), Entry::Each(vec![(each.to_owned(), result)]))),
        }
    }
}

fn no_results(results: &Results) -> bool {
    results.0.is_empty()
}
