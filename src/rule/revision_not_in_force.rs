//! A check followed another revision of its procedure than the one in force on its day.

use super::words::{CORRECT_IT, called, procedure_file};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "revision-not-in-force",
    severity: Severity::Finding,
    page: include_str!("revision_not_in_force.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let (id, revision) = (&done.check.procedure, done.check.revision);
        let day = facts.day(done.check.finished);
        let in_force = facts.contents.in_force(id, day);
        if in_force.is_some_and(|procedure| procedure.revision == revision) {
            continue;
        }
        let headline = format!(
            "{} followed revision {revision} of `{id}`, which was not in force",
            called("check", &life.machine, done.check.finished)
        );
        let finding = Diagnostic::finding("revision-not-in-force", Place::value(done.path(), "/revision"), headline);
        findings.push(match in_force {
            Some(right) => finding
                .label(format!("revision {} was in force", right.revision))
                .also(
                    Place::value(&procedure_file(right), "/in-force-from"),
                    format!("revision {} came into force here", right.revision),
                )
                .help(match &done.check.form {
                    // The number was not written by hand: it is that of the form.
                    Some(_) => format!("make a new form by revision {}, and throw the old one away", right.revision),
                    None => format!(
                        "work by revision {} from the next check on, or put the number right; {CORRECT_IT}",
                        right.revision
                    ),
                }),
            None => finding
                .label(format!("no revision of `{id}` was in force on {day}"))
                .help(format!("do the check by one that is in force, or put the number right; {CORRECT_IT}")),
        });
    }
    findings
}
