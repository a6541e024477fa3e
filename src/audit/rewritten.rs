//! What the history had and has no more: commits that were made here, records that only git's logs and other branches lead to.

use super::account::RecordAccount;
use super::words::short;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::Outside;
use std::collections::HashSet;

/// Returns a fault for each commit that was made here and is in the history no more.
pub(super) fn commits(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let ids: HashSet<&str> = evidence.trail.steps.iter().map(|step| step.commit.id.as_str()).collect();
    let missing = evidence.made_here.iter().map(|id| id.as_str()).filter(|id| !ids.contains(id));
    let one = |id: &str| {
        let headline = format!("commit `{}` was made here and is not in the history any more", short(id));
        Diagnostic::fault("history-rewritten", Place::file(".git/pinindex.seen"), headline)
            .label("everything that stood on it was built anew, or left out")
            .help(
                "see with the line below what it held; put it back with `git merge`, or restore a copy of the logbook",
            )
            .paste(format!("git log --stat ..{}", short(id)))
    };
    missing.map(|id| (None, one(id))).collect()
}

/// Returns a fault for each record that git's folder holds beside the history.
pub(super) fn records(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let one = |outside: &Outside| {
        let commit = short(&outside.commit.id);
        let headline = format!("a record of this name is in commit `{commit}`, which is not in the history");
        let fault = Diagnostic::fault("record-outside-history", Place::file(&outside.path), headline)
            .label(format!("by {}; {} leads there", outside.commit.author_name, outside.from))
            .help("see what it says with the line below; if it belongs here, `git merge` brings it in")
            .paste(format!("git show {commit}:{}", outside.path));
        (None, fault)
    };
    evidence.outside.iter().map(one).collect()
}
