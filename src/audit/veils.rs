//! What makes git show another history than the one that is there.

use super::account::RecordAccount;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{Hides, Veil, short_commit};

/// Returns a problem for everything that git would show in place of what was committed.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    evidence.trail.veils.iter().map(|veil| (None, problem(veil))).collect()
}

fn problem(veil: &Veil) -> Diagnostic {
    let told = |headline: String| {
        Diagnostic::problem("history-shown-otherwise", Place::file(&veil.path), headline)
            .label("pinindex passes over it and reads what was committed")
    };
    match &veil.hides {
        Hides::Object(of) => told(format!("git shows something else in place of `{}`", short_commit(of)))
            .help("ask who put it there; look at what is hidden with the first line below, then delete the file")
            .paste(format!("git --no-replace-objects show {}", short_commit(of))),
        Hides::Names => told("git shows other names in place of those in the history".to_owned())
            .help("ask who put it there, and take it away; the line below shows who made each commit")
            .paste("git log --no-mailmap --format=fuller"),
        Hides::Texts(setting) => {
            told(format!("git shows what a program makes of the files, by the setting `{setting}`"))
                .help("ask who set it, and take it away; the line below shows what the files hold")
                .paste("git log --patch --no-textconv --no-ext-diff")
        }
        Hides::Settings(setting) => told(format!("git is set by another file as well, by the setting `{setting}`"))
            .help("ask who set it; the line below shows all that it brings")
            .paste("git config --list --show-origin"),
        Hides::Unknown => told("what lies here is no small plain file, and git may read it".to_owned())
            .help("ask who put it there, and take it away"),
    }
}
