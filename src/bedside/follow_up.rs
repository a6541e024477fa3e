//! What follows from a check that failed: the machine withheld or restricted, a fault to write down, somebody to call.

use crate::contents::Contents;
use crate::procedure::{CheckJudgement, IfFailed};
use crate::record::Moment;
use crate::register::Role;

/// What a failed check asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct FollowUp {
    /// The gravest of what its failed items ask for.
    pub fails: IfFailed,
    /// The failed items as fault records name them.
    pub items: Vec<String>,
    /// What is wrong, in words to begin with: each failed item and what was seen.
    pub what: String,
}

/// Returns what follows from a check; nothing when no item failed.
pub fn of(judgement: &CheckJudgement) -> Option<FollowUp> {
    let failures: Vec<_> = judgement.failures().collect();
    let withholds = failures.iter().any(|item| item.if_failed == IfFailed::Withhold);
    let what = failures.iter().map(|item| {
        let each = item.each.map_or(String::new(), |each| format!(" ({})", each.replace('-', " ")));
        match item.seen().as_str() {
            "fail" => format!("{}{each} failed", item.title),
            seen => format!("{}{each} failed: {seen}", item.title),
        }
    });
    let what = what.collect::<Vec<_>>().join("; ");
    (!failures.is_empty()).then(|| FollowUp {
        fails: if withholds { IfFailed::Withhold } else { IfFailed::Restrict },
        items: failures.iter().map(|item| item.place()).collect(),
        what,
    })
}

/// Returns whom to call, one line each: what the site says, or else its biomedical engineers.
pub fn whom_to_call(contents: &Contents, now: Moment) -> Vec<String> {
    if let Some(call) = contents.site.as_ref().and_then(|site| site.call_on_failure.clone()) {
        return vec![call];
    }
    let today = contents.day(now);
    let people = contents.people.values().filter(|person| person.role == Role::Biomed && person.is_here_on(today));
    people.map(|person| format!("{} ({})", person.name, person.email)).collect()
}
