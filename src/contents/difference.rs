//! What differs between a record and the one that corrects it, in words: both values of everything.
//!
//! The read-over at the terminal, the report and the history of a machine all tell it by this one function.

use super::in_words::{Line, lines};
use super::{Contents, Filed};
use crate::procedure::judgement::limits_in_force;
use crate::procedure::{Verdict, judge_answer};
use crate::record::result::Entry;
use crate::record::{Answer, Body, Record};
use std::fmt;

/// One thing that two records say differently.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Its place in the record, such as `finished` or `results/suction`.
    pub key: String,
    pub name: String,
    pub old: String,
    pub new: String,
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {} -> {}", self.name, self.old, self.new)
    }
}

/// Returns everything that two records say differently, in the order in which the later one says it.
pub fn differences(contents: &Contents, old: &Record, new: &Record) -> Vec<Difference> {
    let (before, after) = (lines(contents, old), lines(contents, new));
    let of = |lines: &[Line], key: &str| lines.iter().find(|line| line.key == key).cloned();
    let gone = before.iter().filter(|line| of(&after, &line.key).is_none());
    let all = after.iter().chain(gone).map(|line| (line, of(&before, &line.key), of(&after, &line.key)));
    let differing = all.filter(|(_, old, new)| said(old) != said(new));
    differing.map(|(line, before, after)| difference(contents, line, (old, before), (new, after))).collect()
}

/// Returns what a record says differently from the one that it corrects; nothing when that one cannot be read, or when
/// it corrects none.
pub fn corrected<'a>(contents: &'a Contents, filed: &Filed) -> Option<(&'a Filed, Vec<Difference>)> {
    let old = contents.record(&filed.record.common.corrects.as_ref()?.record)?;
    Some((old, differences(contents, &old.record, &filed.record)))
}

fn said(line: &Option<Line>) -> Option<&serde_json::Value> {
    line.as_ref().map(|line| &line.said)
}

fn difference(
    contents: &Contents,
    line: &Line,
    (old, before): (&Record, Option<Line>),
    (new, after): (&Record, Option<Line>),
) -> Difference {
    let alike = match (&before, &after) {
        (Some(before), Some(after)) => before.words == after.words,
        _ => false,
    };
    let words = |one: Option<Line>| match one {
        None if line.key.starts_with("results/") => "no answer".to_owned(),
        None => "nothing".to_owned(),
        Some(one) => match one.said {
            serde_json::Value::String(text) if alike => text,
            said if alike => said.to_string(),
            _ => one.words,
        },
    };
    let (mut told, mut tells) = (words(before), words(after));
    if let Some(place) = line.key.strip_prefix("results/") {
        let (was, is) = (verdict(contents, old, place), verdict(contents, new, place));
        if was != is {
            told.push_str(turned(was));
            tells.push_str(turned(is));
        }
    }
    Difference { key: line.key.clone(), name: line.name.clone(), old: told, new: tells }
}

/// Returns what a value comes to, where the words of the answer do not say it themselves.
fn turned(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Pass) => " (passes)",
        Some(Verdict::Fail) => " (fails)",
        _ => "",
    }
}

/// Returns the verdict on an answer that was measured or chosen; `pass` and `fail` say themselves what they come to.
fn verdict(contents: &Contents, record: &Record, wanted: &str) -> Option<Verdict> {
    let Body::Check(check) = &record.body else { return None };
    let (id, each) = wanted.split_once('/').map_or((wanted, None), |(id, each)| (id, Some(each)));
    let result = match check.results.get(id)? {
        Entry::One(result) => Some(result),
        Entry::Each(all) => all.iter().find(|(one, _)| Some(one.as_str()) == each).map(|(_, result)| result),
    };
    let answer = &result?.answer;
    if matches!(answer, Answer::Pass | Answer::Fail) {
        return None;
    }
    let item = contents.procedure_of(check)?.item(id)?;
    let machine = contents.machine_of(&record.common.machine, check)?;
    Some(judge_answer(item, &limits_in_force(item, machine), answer))
}
