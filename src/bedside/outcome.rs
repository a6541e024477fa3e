//! What a recorded check comes to, in words: passed or failed, what is to be done next, and what the records call the
//! machine now.
//!
//! The same is said of a check that was asked step by step and of one that came in as a file.

use super::follow_up;
use super::guided::emergency;
use super::readiness::{self, Uncounted};
use crate::contents::Contents;
use crate::diagnostic::counted;
use crate::procedure::{CheckJudgement, IfFailed, Outcome, Verdict};
use crate::record::Moment;
use crate::timeline::{self, CheckDone, Lives};

/// Returns what a check came to; `subject` names it, such as `The check`.
pub fn of_check(done: &CheckDone, machine: &str, subject: &str) -> Vec<String> {
    let judgement = &done.judgement;
    let mut lines = match judgement.outcome {
        Outcome::Passed => vec![format!("{subject} passed.")],
        Outcome::Failed => vec![format!("{subject} failed: {}. {}.", failed(judgement), use_of_it(judgement))],
        Outcome::Incomplete => {
            let left = judgement.verdicts().filter(|verdict| *verdict == Verdict::NotDone).count();
            vec![format!("{subject} is not complete: {} not done.", counted(left, "step"))]
        }
    };
    if done.check.emergency_start && !judgement.complete {
        lines.push(emergency::when_to_complete(machine));
    }
    lines
}

fn failed(judgement: &CheckJudgement) -> String {
    judgement.failures().map(|item| item.title).collect::<Vec<_>>().join("; ")
}

fn use_of_it(judgement: &CheckJudgement) -> &'static str {
    let withholds = judgement.failures().any(|item| item.if_failed == IfFailed::Withhold);
    if withholds { "It is to be withheld from use" } else { "It may be used only with a restriction" }
}

/// Returns the next step after a check that failed and that no fault record names: whom to call, and the command.
pub fn without_fault(contents: &Contents, lives: &Lives, machine: &str, done: &CheckDone) -> Vec<String> {
    let cases = lives.get(machine).map_or(&[][..], |life| &life.cases);
    let told = cases.iter().any(|case| case.found_during.check.as_deref() == Some(done.path()));
    if told || follow_up::of(&done.judgement).is_none() {
        return Vec::new();
    }
    let call = follow_up::whom_to_call(contents, done.check.finished).into_iter().map(|whom| format!("Call: {whom}"));
    call.chain([format!("No fault record names it yet: `pinindex fault {machine}` writes it down.")]).collect()
}

/// Returns what the records call a machine at a moment; `passed` says whether the check that came in today passed.
pub fn state_now(contents: &Contents, lives: &Lives, machine: &str, now: Moment, passed: bool) -> Vec<String> {
    let (Some(life), Some(named)) = (lives.get(machine), contents.machines.get(machine)) else { return Vec::new() };
    let Some(status) = timeline::status(contents, life, now) else { return Vec::new() };
    let name = &named.name;
    if !status.withheld_by.is_empty() {
        return vec![format!("{name} is withheld from use until it is released.")];
    }
    if status.ready() && passed {
        return vec![format!("The records call {name} ready. Whether it is used is for the clinician to decide.")];
    }
    if status.ready() {
        return Vec::new();
    }
    let mut said = vec![format!("The records do not call {name} ready.")];
    if passed {
        // Why a check that failed does not make it ready was just said.
        let all = readiness::of(contents, lives, now, &Uncounted::new());
        let reasons = all.iter().filter(|one| one.machine == machine).flat_map(|one| &one.reasons);
        said.extend(reasons.map(|reason| format!("  - {reason}")));
    }
    said
}
