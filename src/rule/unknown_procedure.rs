//! A check follows a procedure, or a revision of it, that the logbook does not have.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;
use crate::record::shape::nearest;

pub const RULE: Rule = Rule {
    name: "unknown-procedure",
    severity: Severity::Problem,
    page: include_str!("unknown_procedure.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut known: Vec<String> = facts.contents.procedures.keys().map(|(id, _)| id.clone()).collect();
    known.dedup();
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let Body::Check(check) = &filed.record.body else { continue };
        if facts.contents.procedure_of(check).is_some() {
            continue;
        }
        let (id, revision) = (&check.procedure, check.revision);
        let file = format!("procedures/{id}/{revision}.yaml");
        // A revision's file that cannot be read has problems of its own; they are told once, there.
        if facts.contents.unreadable.contains(&file) {
            continue;
        }
        let revisions: Vec<String> =
            facts.contents.procedures.keys().filter(|(p, _)| p == id).map(|(_, r)| r.to_string()).collect();
        let (field, headline) = if revisions.is_empty() {
            ("/procedure", format!("{} follows `{id}`, which is no procedure of this logbook", name(filed)))
        } else {
            (
                "/revision",
                format!("{} follows revision {revision} of `{id}`, which is not in this logbook", name(filed)),
            )
        };
        let problem = Diagnostic::problem("unknown-procedure", Place::value(&filed.path, field), headline)
            .label(format!("no `{file}` that could be read"));
        problems.push(if !revisions.is_empty() {
            problem.help(format!("write the revision that was followed; there is {}", revisions.join(", ")))
        } else if let Some(near) = nearest(id, &known) {
            problem.help(format!("did you mean `{near}`?")).paste(format!("procedure: {near}"))
        } else {
            problem.help(format!("write the procedure's id, or write `{file}` if it is new"))
        });
    }
    problems
}
