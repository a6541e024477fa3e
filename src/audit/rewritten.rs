//! What the history had and has no more: commits that were made here, records that only git's logs and other branches lead to.

use super::account::RecordAccount;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place, counted};
use crate::logbook::{Outside, short_commit};
use std::collections::HashSet;

/// Returns a problem for each commit that was made here and is in the history no more.
pub(super) fn commits(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let ids: HashSet<&str> = evidence.trail.steps.iter().map(|step| step.commit.id.as_str()).collect();
    let is_known = |id: &str| ids.contains(id) || evidence.beside.later.contains(id);
    let missing = evidence.made_here.iter().map(|id| id.as_str()).filter(|id| !is_known(id));
    let one = |id: &str| {
        let headline = format!("commit `{}` was made here and is not in the history any more", short_commit(id));
        Diagnostic::problem("history-rewritten", Place::file(".git/pinindex.seen"), headline)
            .label("everything that stood on it was built anew, or left out")
            .help(
                "see with the line below what it held; put it back with `git merge`, or restore a copy of the logbook",
            )
            .paste(format!("git log --stat ..{}", short_commit(id)))
    };
    missing.map(|id| (None, one(id))).collect()
}

/// Returns a finding where the folder stands at an old commit, and what came after it is not looked at.
pub(super) fn later(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let number = evidence.beside.later.len();
    if number == 0 {
        return Vec::new();
    }
    let headline = format!("folder stands at an old commit, and {} came after it", counted(number, "commit"));
    let finding = Diagnostic::finding("folder-at-old-commit", Place::file(".git/HEAD"), headline)
        .label("only what leads to it is looked at, here and by every other command")
        .help("go back to the newest records with the line below, `main` being the branch that they are on")
        .paste("git switch main");
    vec![(None, finding)]
}

/// Returns what git's folder holds beside the history: a problem for each record, a finding for one that was only fetched.
pub(super) fn records(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let unread = evidence.beside.unread.as_ref().map(|why| {
        Diagnostic::problem(
            "record-outside-history",
            Place::file(".git"),
            "not all that git's folder holds was looked through",
        )
        .label(why.clone())
        .help("ask what fills git's folder; a fresh copy (`git clone`) has only what its branches and tags lead to")
    });
    evidence.beside.records.iter().map(outside).chain(unread).map(|told| (None, told)).collect()
}

fn outside(outside: &Outside) -> Diagnostic {
    let commit = outside.commit.short();
    let label = format!("by {}; {} leads there", outside.commit.author_name, outside.from);
    let place = Place::file(&outside.path);
    let told = if outside.is_fetched {
        let headline = format!("a record of this name was fetched in commit `{commit}` and is not merged");
        Diagnostic::finding("record-not-merged", place, headline)
            .help("it counts nowhere here until `git merge` brings it in; see what it says with the line below")
    } else {
        let headline = format!("a record of this name is in commit `{commit}`, which is not in the history");
        Diagnostic::problem("record-outside-history", place, headline)
            .help("see what it says with the line below; if it belongs here, `git merge` brings it in")
    };
    told.label(label).paste(format!("git show {commit}:{}", outside.path))
}
