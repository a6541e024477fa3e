//! Files of the history whose content in git's folder is not what was committed, or is gone from there.

use super::account::RecordAccount;
use super::words::made;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};

/// Returns a problem for every damaged content.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let one = |(path, at): &(String, usize)| {
        let step = evidence.trail.steps.get(*at)?;
        let problem =
            Diagnostic::problem("history-damaged", Place::file(path), "git's folder does not hold what was committed")
                .label(format!("committed {}", made(step)))
                .help("see what is damaged with the line below, and bring the logbook back from a copy made before")
                .paste("git fsck --full");
        Some((Some(*at), problem))
    };
    evidence.trail.damaged.iter().filter_map(one).collect()
}
