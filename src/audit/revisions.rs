//! Revisions of procedures that were changed after they came into force, or after checks were judged by them.

use super::account::RecordAccount;
use super::setup::Bringers;
use super::words::made;
use super::{Evidence, Found};
use crate::contents::{self, Contents};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{Change, Content, FileContent, Snapshot, Source};
use crate::procedure::Procedure;
use crate::record::{Body, Moment};
use std::collections::{BTreeMap, HashMap};

/// Returns a problem for every commit that changed a revision which checks are judged by.
pub(super) fn problems(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let all = Bringers::of(records);
    let used = uses(evidence, records);
    let mut problems = Vec::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        let day = evidence.contents.day(Moment(step.commit.time));
        // Until the first record a logbook is being set up, and the shipped procedures are there to be edited.
        let is_judged_by = |procedure: &Procedure| {
            let used = used.get(&(procedure.procedure.as_str(), procedure.revision));
            let stands = |brought: &Bringers| brought.all_stand_on(&evidence.trail.graph, at);
            used.is_some_and(|used| !stands(used)) || (procedure.in_force_from <= day && !stands(&all))
        };
        let procedures = |change: &&Change| change.is_own && change.path.starts_with("procedures/");
        for change in step.changes.iter().filter(procedures) {
            let gone = (1..).zip(&change.before).filter(|(_, before)| **before != change.now);
            let mut old =
                gone.filter_map(|(parent, before)| Some((parent, procedure(evidence, &change.path, (*before)?)?)));
            let Some((parent, procedure)) = old.find(|(_, procedure)| is_judged_by(procedure)) else { continue };
            let what = if change.now.is_some() { "changed" } else { "taken away" };
            let since = procedure.in_force_from;
            problems.push((
                Some(at),
                Diagnostic::problem(
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
                    "git show {commit} -- {path}\ngit checkout {commit}{before} -- {path}",
                    commit = step.commit.short(),
                    path = change.path,
                    before = if parent == 1 { "^".to_owned() } else { format!("^{parent}") }
                )),
            ));
        }
    }
    problems
}

/// Returns, for each procedure and revision, the commits that brought the checks judged by it.
fn uses<'a>(evidence: &Evidence<'a>, records: &[RecordAccount]) -> HashMap<(&'a str, u32), Bringers> {
    let contents: &'a Contents = evidence.contents;
    let mut uses: HashMap<(&str, u32), Vec<&RecordAccount>> = HashMap::new();
    for record in records {
        if let Some(Body::Check(check)) = contents.record(&record.path).map(|filed| &filed.record.body) {
            uses.entry((check.procedure.as_str(), check.revision)).or_default().push(record);
        }
    }
    uses.into_iter().map(|(revision, records)| (revision, Bringers::of(records))).collect()
}

/// Returns the procedure that a file held.
fn procedure(evidence: &Evidence<'_>, path: &str, content: Content) -> Option<Procedure> {
    let bytes = evidence.trail.texts.get(&content).map(|bytes| FileContent::Bytes(bytes.clone()));
    let files = bytes.map(|bytes| (path.to_owned(), bytes)).into_iter().collect::<BTreeMap<_, _>>();
    let snapshot = Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } };
    contents::read(&snapshot, &mut |_| {}).0.procedures.into_values().next()
}
