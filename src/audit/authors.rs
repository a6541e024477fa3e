//! Commits whose author is nobody of the hospital, or somebody else than who wrote the record down.

use super::account::RecordAccount;
use super::people::People;
use super::words::{commit, place, short};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{belongs, parse_record_path};
use std::collections::HashSet;

/// Returns a fault for each commit of a stranger and for each record of another author than it names.
pub(super) fn faults(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let people = People::of(evidence);
    let mut faults = Vec::new();
    let mut strangers: HashSet<usize> = HashSet::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        let touches = step.changes.iter().any(|change| belongs(&change.path) && !change.before.contains(&change.now));
        let brings_records = step.changes.iter().any(|change| parse_record_path(&change.path).is_some());
        // The first commit may be the program's: its examples are there before any person is.
        let is_start = step.parents.is_empty() && !brings_records;
        let info = &step.commit;
        if !touches || is_start || !people.with_email(at, &info.author_email).is_empty() {
            continue;
        }
        strangers.insert(at);
        faults.push((
            Some(at),
            Diagnostic::fault(
                "author-not-among-people",
                place(step),
                format!("author of {} is not among the people", commit(info)),
            )
            .label(format!("by {} <{}>", info.author_name, info.author_email))
            .help("ask who this is; if they belong here, put them with this address into `people.yaml`")
            .paste(format!("git show --format=fuller {}", short(&info.id))),
        ));
    }
    for record in records.iter().filter(|record| !strangers.contains(&record.step)) {
        let Some((step, says)) = evidence.trail.steps.get(record.step).zip(record.says.as_ref()) else { continue };
        let ids = people.with_email(record.step, &step.commit.author_email);
        if ids.contains(&says.recorder.as_str()) {
            continue;
        }
        let headline = format!("record says `{}` wrote it down, and its commit is by another author", says.recorder);
        faults.push((
            Some(record.step),
            Diagnostic::fault("author-is-not-recorder", Place::file(&record.path), headline)
                .label(format!(
                    "{} is by {} <{}>",
                    short(&step.commit.id),
                    step.commit.author_name,
                    step.commit.author_email
                ))
                .help("ask both; a record is committed under the name of who wrote it down"),
        ));
    }
    faults
}
