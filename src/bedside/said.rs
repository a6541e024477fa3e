//! What an answer comes to, said at once: the verdict, the values and their limits, what is worked out, what follows.

use super::reserve;
use super::step::{Step, consequence};
use crate::procedure::answer::{measured, seen};
use crate::procedure::judgement::leak_words;
use crate::procedure::{IfFailed, Verdict, judge_answer};
use crate::record::Answer;
use crate::register::{LimitOf, Machine, Site};
use serde::Serialize;

/// What is said of one answer. Every line stands for itself, without colour.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Said {
    #[serde(serialize_with = "verdict_word")]
    pub verdict: Verdict,
    /// The verdict and what was seen: `pass: 1250 psi`.
    pub headline: String,
    /// Each limit that was not met, and the fall of a pressure in any case.
    pub values: Vec<String>,
    /// What is worked out from it, such as the litres left in a cylinder.
    pub reckoned: Option<String>,
    /// What a failure does to the machine.
    pub follows: Option<&'static str>,
    /// What is asked before it is taken, where it holds a number that is hard to believe.
    pub doubt: Option<String>,
}

/// Says what an answer comes to. The answer must fit its item ([`super::typed::answer`] makes sure of it).
pub fn say(step: &Step<'_>, answer: &Answer, machine: &Machine, site: &Site) -> Said {
    let verdict = judge_answer(step.item(), step.limits(), answer);
    let measured = measured(step.item(), step.limits(), answer);
    let told = measured.iter().filter(|value| !value.met || value.of == LimitOf::Fall);
    let values = told.map(|value| {
        let leak = machine.compliance.as_ref().filter(|_| value.of == LimitOf::Fall);
        let leak = leak.and_then(|compliance| leak_words(compliance, answer)).unwrap_or_default();
        let limit = if value.met { "limit" } else { "limit not met" };
        format!("{} {}{leak} ({limit}: {})", value.of.words(), value.value, value.limit.words())
    });
    let seen = seen(answer);
    let headline = match (verdict, answer) {
        (Verdict::Pass, Answer::Pass) => "pass".to_owned(),
        (Verdict::Fail, Answer::Fail) => "FAILS".to_owned(),
        (Verdict::Pass, _) => format!("pass: {seen}"),
        (Verdict::Fail, _) => format!("FAILS: {seen}"),
        _ => seen,
    };
    Said {
        verdict,
        headline,
        values: values.collect(),
        reckoned: reserve::words(step.item(), machine, site, answer),
        follows: (verdict == Verdict::Fail).then(|| consequence(step.item().fails)),
        doubt: step.line.belief.doubt(answer).map(|doubt| doubt.words()),
    }
}

impl Said {
    /// Returns whether the machine is withheld from use for this answer.
    pub fn withholds(&self, step: &Step<'_>) -> bool {
        self.verdict == Verdict::Fail && step.item().fails == IfFailed::Withhold
    }
}

/// Returns the verdict as a word for scripts.
pub fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::NotDone => "not-done",
        Verdict::NotFitted => "not-fitted",
        Verdict::Unanswered => "unanswered",
        Verdict::Unfit => "unfit",
    }
}

fn verdict_word<S: serde::Serializer>(verdict: &Verdict, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(word(*verdict))
}
