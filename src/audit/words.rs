//! How the audit speaks of commits.

use crate::diagnostic::Place;
use crate::logbook::{CommitInfo, Step};
use crate::record::Moment;

/// Returns a commit as it is named in a sentence: ``commit `1f0c2d3a4b` ``.
pub(super) fn commit(info: &CommitInfo) -> String {
    format!("commit `{}`", info.short())
}

/// Returns when a commit was made and by whom it says it was: `2026-11-25 08:05 by First Example in 1f0c2d3a4b`.
pub(super) fn made(step: &Step) -> String {
    format!("{} by {} in {}", Moment(step.commit.time).short(), step.commit.committer_name, step.commit.short())
}

/// How many more paths a line names.
const NAMED: usize = 2;

/// Returns the end of a line that names the first of some more paths and says how many are left; nothing where there are none.
pub(super) fn also<'a>(words: &str, paths: impl Iterator<Item = &'a str>) -> String {
    let paths: Vec<&str> = paths.collect();
    let named = paths.get(..NAMED.min(paths.len())).unwrap_or_default().join(", ");
    match paths.len().saturating_sub(NAMED) {
        _ if paths.is_empty() => String::new(),
        0 => format!("; {words} {named}"),
        left => format!("; {words} {named} and {left} more"),
    }
}

/// Returns where to point for a commit as a whole.
pub(super) fn place(step: &Step) -> Place {
    Place::file(&format!("commit {}", step.commit.short()))
}

/// Returns whether two names are the same but for spaces.
pub(super) fn same_words(a: &str, b: &str) -> bool {
    a.split_whitespace().eq(b.split_whitespace())
}
