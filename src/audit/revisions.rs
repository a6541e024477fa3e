//! Revisions of procedures that were changed after they came into force, or after checks were judged by them.

use super::account::RecordAccount;
use super::words::{made, short};
use super::{Evidence, Found};
use crate::contents::{self, Contents};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{Content, FileContent, Snapshot, Source};
use crate::record::{Body, Moment};
use std::collections::{BTreeMap, HashMap};

/// Returns a fault for every commit that changed a revision which checks are judged by.
pub(super) fn faults(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let first_record = records.first().map_or(usize::MAX, |record| record.step);
    let used = first_uses(evidence, records);
    let mut faults = Vec::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        for change in step.changes.iter().filter(|change| change.path.starts_with("procedures/")) {
            let Some(before) = change.before.iter().flatten().next() else { continue };
            if change.before.contains(&change.now) {
                continue;
            }
            let old = read(evidence, &change.path, *before);
            let Some(procedure) = old.procedures.values().next() else { continue };
            let day = evidence.contents.day(Moment(step.commit.time));
            let is_used =
                used.get(&(procedure.procedure.as_str(), procedure.revision)).is_some_and(|first| *first < at);
            // Until the first record a logbook is being set up, and the shipped procedures are there to be edited.
            let is_in_force = first_record < at && procedure.in_force_from <= day;
            if !is_used && !is_in_force {
                continue;
            }
            let what = if change.now.is_some() { "changed" } else { "taken away" };
            let since = procedure.in_force_from;
            faults.push((
                Some(at),
                Diagnostic::fault(
                    "revision-changed-in-force",
                    Place::file(&change.path),
                    format!(
                        "revision {} of `{}` was {what} while it was in force",
                        procedure.revision, procedure.procedure
                    ),
                )
                .label(format!("in force since {since}; {what} {}", made(step)))
                .help(
                    "see what was changed with the first line below; the second brings back what checks were judged by",
                )
                .paste(format!(
                    "git show {commit} -- {path}\ngit checkout {commit}^ -- {path}",
                    commit = short(&step.commit.id),
                    path = change.path
                )),
            ));
        }
    }
    faults
}

/// Returns, for each procedure and revision, the step that brought the first check judged by it.
fn first_uses<'a>(evidence: &Evidence<'a>, records: &[RecordAccount]) -> HashMap<(&'a str, u32), usize> {
    let contents: &'a Contents = evidence.contents;
    let mut uses = HashMap::new();
    for record in records {
        if let Some(Body::Check(check)) = contents.record(&record.path).map(|filed| &filed.record.body) {
            let first = uses.entry((check.procedure.as_str(), check.revision)).or_insert(record.step);
            *first = (*first).min(record.step);
        }
    }
    uses
}

fn read(evidence: &Evidence<'_>, path: &str, content: Content) -> Contents {
    let bytes = evidence.trail.texts.get(&content).map(|bytes| FileContent::Bytes(bytes.clone()));
    let files = bytes.map(|bytes| (path.to_owned(), bytes)).into_iter().collect::<BTreeMap<_, _>>();
    let snapshot = Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } };
    contents::read(&snapshot, &mut |_| {}).0
}
