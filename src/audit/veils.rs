//! What makes git show another history than the one that is there.

use super::account::RecordAccount;
use super::words::short;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};

/// Returns a fault for everything that git would show in place of what was committed.
pub(super) fn faults(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let one = |veil: &crate::logbook::Veil| {
        let headline = format!("git shows something else in place of `{}`", short(&veil.of));
        Diagnostic::fault("history-shown-otherwise", Place::file(&veil.path), headline)
            .label("pinindex passes over it and reads what was committed")
            .help("ask who put it there; look at what is hidden with the first line below, then delete the file")
            .paste(format!("git --no-replace-objects show {}", short(&veil.of)))
    };
    evidence.trail.veils.iter().map(|veil| (None, one(veil))).collect()
}
