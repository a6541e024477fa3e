//! A repair was finished before its fault was found.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;

pub const RULE: Rule = Rule {
    name: "repair-before-fault",
    severity: Severity::Problem,
    page: include_str!("repair_before_fault.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let Body::Repair(repair) = &filed.record.body else { continue };
        let Some((named, fault)) = facts.fault_of(repair) else { continue };
        if repair.finished >= fault.found {
            continue;
        }
        problems.push(
            Diagnostic::problem(
                "repair-before-fault",
                Place::value(&filed.path, "/finished"),
                format!("{} was finished before its fault was found", name(filed)),
            )
            .label(format!("the fault was found {}", fault.found.short()))
            .also(Place::value(&named.path, "/found"), "when the fault was found")
            .help("correct the time, or name the fault that this work was for"),
        );
    }
    problems
}
