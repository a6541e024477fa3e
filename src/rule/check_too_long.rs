//! A check was begun and finished on different days, or took longer than any check takes.

use super::words::{CORRECT_IT, called};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::moment::spoken;

pub const RULE: Rule = Rule {
    name: "check-too-long",
    severity: Severity::Finding,
    page: include_str!("check_too_long.md"),
    check: Some(check),
};

/// No check takes longer than this without a break, in seconds (our own choice).
const LONGEST: i64 = 4 * 3600;

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let (started, finished) = (done.check.started, done.check.finished);
        let took = finished.seconds_since(started);
        let days = facts.day(started) != facts.day(finished);
        // A check that ends before it begins has a problem of its own.
        if took < 0 || (took <= LONGEST && !days) {
            continue;
        }
        let which = called("check", &life.machine, finished);
        let headline = match days {
            true => format!("{which} was begun on another day, {}", facts.day(started)),
            false => format!("{which} took {}", spoken(took)),
        };
        findings.push(
            Diagnostic::finding("check-too-long", Place::value(done.path(), "/started"), headline)
                .label(if days { "begun on another day" } else { "longer than a check takes" })
                .also(Place::value(done.path(), "/finished"), "finished here")
                .help(format!("look at both times; {CORRECT_IT}")),
        );
    }
    findings
}
