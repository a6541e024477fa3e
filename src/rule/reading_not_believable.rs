//! A reading that no gauge or clock can have shown, so that it is most likely a slip of the finger.

use super::words::{CORRECT_IT, called};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "reading-not-believable",
    severity: Severity::Finding,
    page: include_str!("reading_not_believable.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        for (item, doubt) in done.judgement.doubts() {
            let which = called("check", &life.machine, done.check.finished);
            findings.push(
                Diagnostic::finding(
                    "reading-not-believable",
                    Place::value(done.path(), format!("{}/{}", item.pointer(), doubt.field)),
                    format!("{which} has a number for `{}` that is hard to believe", item.place()),
                )
                .label(doubt.why)
                .help(format!("look at it again; {CORRECT_IT}")),
            );
        }
    }
    findings
}
