//! A machine was started in an emergency, and no complete check followed on the same day.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::When;

pub const RULE: Rule = Rule {
    name: "emergency-start-not-completed",
    severity: Severity::Finding,
    page: include_str!("emergency_start_not_completed.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        if !done.check.emergency_start || done.judgement.complete {
            continue;
        }
        let day = facts.day(done.check.finished);
        let completed = life.checks.iter().any(|later| {
            later.check.finished > done.check.finished
                && facts.day(later.check.finished) == day
                && later.when != When::EachPatient
                && later.judgement.complete
        });
        if completed {
            continue;
        }
        let headline = format!(
            "emergency start in the {} was not followed by a complete check that day",
            called("check", &life.machine, done.check.finished)
        );
        findings.push(
            Diagnostic::finding("emergency-start-not-completed", Place::key(done.path(), "/emergency-start"), headline)
                .label(format!("no complete check later on {day}"))
                .help("do the complete check as soon as the machine is free, and record it"),
        );
    }
    findings
}
