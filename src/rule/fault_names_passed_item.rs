//! A fault record names an item that did not fail in the check that showed the fault.

use super::words::{CORRECT_IT, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::{ItemJudgement, Verdict};
use crate::record::Body;

pub const RULE: Rule = Rule {
    name: "fault-names-passed-item",
    severity: Severity::Finding,
    page: include_str!("fault_names_passed_item.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for filed in facts.contents.counting() {
        let Body::Fault(fault) = &filed.record.body else { continue };
        let Some(path) = fault.found_during.check.as_deref().and_then(|path| facts.contents.speaking_for(path)) else {
            continue;
        };
        let Some(done) = facts.lives.values().find_map(|life| life.check(path)) else { continue };
        for (i, named) in fault.found_during.items.iter().enumerate() {
            let answers: Vec<ItemJudgement<'_>> =
                done.judgement.items().filter(|item| item.place() == *named || item.item == named).collect();
            // A try that failed before the one that counts is a reason for a fault record too.
            let failed = |item: &ItemJudgement<'_>| item.verdict == Verdict::Fail || item.earlier_failures > 0;
            let Some(first) = answers.first().filter(|_| !answers.iter().any(failed)) else { continue };
            findings.push(
                Diagnostic::finding(
                    "fault-names-passed-item",
                    Place::value(&filed.path, format!("/found-during/items/{i}")),
                    format!("{} names `{named}`, which did not fail in its check", name(filed)),
                )
                .label("did not fail")
                .also(Place::value(path, first.pointer()), "answered here")
                .help(format!("name the item that failed; {CORRECT_IT}")),
            );
        }
    }
    findings
}
