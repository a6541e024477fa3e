//! Items of a check were done by people whose roles the procedure does not allow for them. Told once a check.

use super::words::{CORRECT_IT, and_list, called};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::timeline::lacking;

pub const RULE: Rule = Rule {
    name: "person-may-not-do-item",
    severity: Severity::Finding,
    page: include_str!("person_may_not_do_item.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let lacking = lacking(facts.contents, done);
        let (Some(lacking), Some(procedure)) = (lacking, facts.contents.procedure_of(&done.check)) else { continue };
        let headline = format!(
            "{} has {} that the people of the check may not do",
            called("check", &life.machine, done.check.finished),
            counted(lacking.items(), "item")
        );
        let wanted: Vec<String> =
            lacking.needed.iter().map(|(who, items)| format!("{who} for {}", and_list(items))).collect();
        findings.push(
            Diagnostic::finding("person-may-not-do-item", Place::value(done.path(), "/by"), headline)
                .label(lacking.named())
                .limit(format!("{}; source: {}", wanted.join(", "), procedure.words()))
                .help(format!("have the items done again by who may do them, or name who is missing; {CORRECT_IT}")),
        );
    }
    findings
}
