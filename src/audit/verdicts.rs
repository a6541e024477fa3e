//! Verdicts that turned: a check that passed when it was committed and would fail today, or the other way round.
//!
//! A verdict is never stored, but the message of the commit tells what it was. Whoever changes a limit or what a machine has
//! after the fact changes verdicts of the past; the messages cannot follow.

use super::account::RecordAccount;
use super::words::made;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};

/// What a message says of a check, between its first words and its time.
const OUTCOMES: [&str; 3] = ["passed", "failed", "left incomplete"];

/// Returns a problem for every check whose verdict is not what it was.
pub(super) fn problems(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let mut problems = Vec::new();
    for (record, at) in records.iter().flat_map(|record| record.brought().map(move |at| (record, at))) {
        let Some(step) = evidence.trail.steps.get(at) else { continue };
        let Some(filed) = evidence.contents.record(&record.path) else { continue };
        let today = (evidence.subject)(filed);
        let Some((then, now)) = turned(&step.commit.subject, &today) else { continue };
        problems.push((
            Some(at),
            Diagnostic::problem(
                "verdict-turned",
                Place::file(&record.path),
                format!("verdict of a check was `{then}` when it was committed, and is `{now}` by the limits of today"),
            )
            .label(format!("committed {}", made(step)))
            .help("a limit or what the machine has was changed for a day that is over; the line below shows by whom")
            .paste(format!("git log --stat {}.. -- machines procedures", step.commit.short())),
        ));
    }
    problems
}

/// Returns the verdict that a message tells and that of today, where they differ and all else is the same.
fn turned(then: &str, today: &str) -> Option<(&'static str, &'static str)> {
    let now = OUTCOMES.into_iter().find(|outcome| today.contains(&format!(" check {outcome}, ")))?;
    let (front, back) = today.split_once(&format!(" check {now}, "))?;
    OUTCOMES
        .into_iter()
        .filter(|outcome| *outcome != now)
        .find(|outcome| format!("{front} check {outcome}, {back}") == then)
        .map(|outcome| (outcome, now))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_verdict_may_differ() {
        let today = "theatre-1: daily check failed, 2026-11-25 06:58";
        assert_eq!(turned("theatre-1: daily check passed, 2026-11-25 06:58", today), Some(("passed", "failed")));
        assert_eq!(turned(today, today), None);
        assert_eq!(turned("theatre-2: daily check passed, 2026-11-25 06:58", today), None);
        assert_eq!(turned("daily check, all good", today), None);
        assert_eq!(turned("theatre-1: released to service, 2026-11-25 06:58", today), None);
    }
}
