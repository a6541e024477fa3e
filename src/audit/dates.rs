//! Times that cannot be, or are odd: a commit dated before the one it stands on, a record written down after its commit or
//! long before it.
//!
//! Whoever puts a commit in afterwards must give it an earlier time than those around it, or build all of them anew.

use super::account::RecordAccount;
use super::words::{commit, place, short};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Moment;
use crate::record::moment::{CLOCKS_DIFFER, spoken};

/// A record on paper or in a page is handed in within the day.
const WITHIN_THE_DAY: i64 = 24 * 60 * 60;

/// Returns what is wrong with the times of commits.
pub(super) fn faults(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let of_records = |record| recorded_afterwards(evidence, record).or_else(|| committed_late(evidence, record));
    before_parents(evidence).chain(records.iter().filter_map(of_records)).collect()
}

fn before_parents<'a>(evidence: &'a Evidence<'_>) -> impl Iterator<Item = Found> + 'a {
    let steps = &evidence.trail.steps;
    steps.iter().enumerate().filter_map(move |(at, step)| {
        let latest = step.parents.iter().filter_map(|at| steps.get(*at)).max_by_key(|parent| parent.commit.time)?;
        let early = Moment(latest.commit.time).seconds_since(Moment(step.commit.time));
        // That a commit has no date is a fault of its own.
        if early <= 0 || !step.commit.is_dated {
            return None;
        }
        let headline = format!("{} is dated {} before the one it stands on", commit(&step.commit), spoken(early));
        let label = format!(
            "dated {} by the computer of {}; {} before it {}",
            Moment(step.commit.time).short(),
            step.committer_name,
            short(&latest.commit.id),
            Moment(latest.commit.time).short()
        );
        let mut told = Diagnostic::fault("commit-before-its-parent", place(step), headline)
            .label(label)
            .help(format!(
                "ask {}: a clock that was wrong does this, and a commit that was put in later",
                step.committer_name
            ))
            .paste(format!("git log --format=fuller -2 {}", short(&step.commit.id)));
        // A clock that is set back a little does this now and then.
        if early <= CLOCKS_DIFFER {
            told.severity = Severity::Finding;
        }
        Some((Some(at), told))
    })
}

fn recorded_afterwards(evidence: &Evidence<'_>, record: &RecordAccount) -> Option<Found> {
    let step = evidence.trail.steps.get(record.step)?;
    let early = -record.until_committed(step)?;
    if early <= CLOCKS_DIFFER || !step.commit.is_dated {
        return None;
    }
    let headline = format!("record says that it was written down {} after its commit", spoken(early));
    let fault = Diagnostic::fault("recorded-after-its-commit", Place::value(&record.path, "/recorded"), headline)
        .label(format!("committed {} in {}", Moment(step.commit.time).short(), short(&step.commit.id)))
        .help(format!(
            "ask {}: one of the two clocks was wrong, or the commit was given another time",
            step.committer_name
        ));
    Some((Some(record.step), fault))
}

/// A record for a day that is over, with the times of that day, is committed when it is made up; or its commit is given those
/// times too, and only the merge that ties it to the history tells when.
fn committed_late(evidence: &Evidence<'_>, record: &RecordAccount) -> Option<Found> {
    let step = evidence.trail.steps.get(record.arrived)?;
    let late = record.until_committed(step)?;
    if late <= WITHIN_THE_DAY {
        return None;
    }
    let headline = format!("record was committed {} after it says it was written down", spoken(late));
    let finding = Diagnostic::finding("committed-late", Place::value(&record.path, "/recorded"), headline)
        .label(format!("committed {} in {}", Moment(step.commit.time).short(), short(&step.commit.id)))
        .help(format!("ask {} where it lay so long; nothing outside it tells that it is so old", step.committer_name));
    Some((Some(record.step), finding))
}
