//! A machine was started in an emergency, and no complete check has followed. Any later one settles it; whether it came
//! before the next use is told by the report.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::timeline::{Emergency, emergency};

pub const RULE: Rule = Rule {
    name: "emergency-start-not-completed",
    severity: Severity::Finding,
    page: include_str!("emergency_start_not_completed.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let Some(Emergency { completed: None, used }) = emergency(life, done, facts.now) else { continue };
        let day = facts.day(done.check.finished);
        // Until the day is over, or the machine is used again, nothing was left out yet.
        if used == 0 && facts.day(facts.now) <= day {
            continue;
        }
        let headline = format!(
            "emergency start in the {} was not followed by a complete check",
            called("check", &life.machine, done.check.finished)
        );
        let label = match used {
            0 => format!("no complete check since {day}"),
            used => format!("used again {}, and no complete check since", counted(used, "time")),
        };
        findings.push(
            Diagnostic::finding("emergency-start-not-completed", Place::key(done.path(), "/emergency-start"), headline)
                .label(label)
                .help("do the complete check before the machine is used again, and record it"),
        );
    }
    findings
}
