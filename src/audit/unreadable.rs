//! Commits that no program of git wrote as they are: a header twice, one that is missing, a date that is none.
//!
//! Git takes them, and two readers of one of them may see two persons, two days or two histories. What they brought is judged
//! as far as it can be read.

use super::account::RecordAccount;
use super::words::commit;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::CommitInfo;

/// Returns a problem for each such commit of the history.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let steps = evidence.trail.steps.iter().enumerate();
    steps.filter_map(|(at, step)| Some((Some(at), problem(&step.commit)?))).collect()
}

/// Returns the problem of a commit that no program of git wrote as it is; nothing for any other.
pub fn problem(info: &CommitInfo) -> Option<Diagnostic> {
    if info.flaws.is_empty() {
        return None;
    }
    let headline = format!("{} is not as git's programs write one: {}", commit(info), info.flaws.join(", "));
    Some(
        Diagnostic::problem("commit-not-readable", Place::file(&format!("commit {}", info.short())), headline)
            .label("it is judged as far as it can be read")
            .help("ask who made it, byte by byte; the line below shows it as it is")
            .paste(format!("git cat-file commit {}", info.short())),
    )
}
