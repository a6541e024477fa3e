//! The account of each record: which commit brought it, who recorded and who committed it, and what time passed between.

use super::Evidence;
use crate::logbook::{Step, is_kept, parse_record_path};
use crate::record::Moment;
use std::collections::{BTreeSet, HashMap};

/// How one record came in.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordAccount {
    pub path: String,
    /// The place of the commit that brought it, among the steps of the trail.
    pub step: usize,
    /// The place of the first commit of the main line that has it: a merge, where it came in beside that line.
    pub arrived: usize,
    /// What it says, when the last commit still has it and it can be read.
    pub says: Option<Says>,
}

/// What a record says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Says {
    /// When the work was done.
    pub done: Moment,
    /// When it was written down.
    pub recorded: Moment,
    /// Who wrote it down, by id.
    pub recorder: String,
}

impl RecordAccount {
    /// Returns the seconds from the work to its writing down.
    pub fn until_recorded(&self) -> Option<i64> {
        self.says.as_ref().map(|says| says.recorded.seconds_since(says.done))
    }

    /// Returns the seconds from the writing down to the commit.
    pub fn until_committed(&self, step: &Step) -> Option<i64> {
        self.says.as_ref().map(|says| Moment(step.commit.time).seconds_since(says.recorded))
    }
}

/// A change of a file that is not a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptChange {
    pub path: String,
    /// The place of the commit among the steps of the trail.
    pub step: usize,
    /// `new`, `changed` or `taken out`.
    pub how: &'static str,
}

/// Returns the accounts of all records, and all changes of other files.
pub(super) fn of(evidence: &Evidence<'_>) -> (Vec<RecordAccount>, Vec<KeptChange>) {
    let mut records = Vec::new();
    let mut kept = Vec::new();
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        for change in &step.changes {
            let came_before = change.before.contains(&change.now);
            if came_before {
                continue;
            }
            if parse_record_path(&change.path).is_some() {
                if change.now.is_some() && seen.insert(&change.path) {
                    let says = evidence.contents.record(&change.path).map(|filed| Says {
                        done: filed.record.when(),
                        recorded: filed.record.common.recorded,
                        recorder: filed.record.common.recorder().to_owned(),
                    });
                    records.push(RecordAccount { path: change.path.clone(), step: at, arrived: at, says });
                }
            } else if is_kept(&change.path) {
                let how = match (change.before.iter().any(Option::is_some), change.now.is_some()) {
                    (false, _) => "new",
                    (true, true) => "changed",
                    (true, false) => "taken out",
                };
                kept.push(KeptChange { path: change.path.clone(), step: at, how });
            }
        }
    }
    let merged = merged(&evidence.trail.steps);
    for record in &mut records {
        record.arrived = merged.get(record.path.as_str()).copied().unwrap_or(record.step);
    }
    (records, kept)
}

/// Returns the merges by which files came into the main line, the line of first parents.
fn merged(steps: &[Step]) -> HashMap<&str, usize> {
    let mut merged = HashMap::new();
    let mut next = steps.len().checked_sub(1);
    while let Some((at, step)) = next.and_then(|at| Some((at, steps.get(at)?))) {
        let brought = step.changes.iter().filter(|change| change.now.is_some() && change.before.first() == Some(&None));
        for change in brought.filter(|_| step.parents.len() > 1) {
            merged.insert(change.path.as_str(), at);
        }
        next = step.parents.first().copied();
    }
    merged
}
