//! A history with more than one beginning: somebody tied another one to it, in which anything can stand as if it had always
//! been there.

use super::account::RecordAccount;
use super::words::{made, place};
use super::{Evidence, Found};
use crate::diagnostic::Diagnostic;

/// Returns a problem for each commit that stands on nothing, but for the first one of the main line.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let steps = &evidence.trail.steps;
    let mut first = steps.len().checked_sub(1);
    while let Some(parent) = first.and_then(|at| steps.get(at)?.parents.first().copied()) {
        first = Some(parent);
    }
    let others = steps.iter().enumerate().filter(|(at, step)| step.parents.is_empty() && Some(*at) != first);
    let one = |(at, step)| {
        let problem = Diagnostic::problem("second-beginning", place(step), "history has a second beginning")
            .label(format!("begun {}", made(step)))
            .help("ask who tied another history to this one; what it holds was never in this logbook before")
            .paste(format!("git show --stat {}", step.commit.short()));
        (Some(at), problem)
    };
    others.map(one).collect()
}
