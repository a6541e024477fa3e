//! An item passed, but only after one or more failed tries.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::Verdict;

pub const RULE: Rule = Rule {
    name: "passed-after-failed-try",
    severity: Severity::Finding,
    page: include_str!("passed_after_failed_try.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let items = done.judgement.items();
        for item in items.filter(|item| item.verdict == Verdict::Pass && item.earlier_failures > 0) {
            let tries = match item.earlier_failures {
                1 => "1 failed try".to_owned(),
                n => format!("{n} failed tries"),
            };
            let which = called("check", &life.machine, done.check.finished);
            let headline = format!("`{}` passed after {tries} in the {which}", item.place());
            findings.push(
                Diagnostic::finding("passed-after-failed-try", Place::value(done.path(), item.pointer()), headline)
                    .label(format!("at last: {}", item.seen()))
                    .help("say under `remark` what was done between the tries, and watch this item in the next checks"),
            );
        }
    }
    findings
}
