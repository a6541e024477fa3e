//! Work on a fault was begun before the fault was found, and went on after that.

use super::words::{CORRECT_IT, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;

pub const RULE: Rule = Rule {
    name: "repair-begun-before-fault",
    severity: Severity::Finding,
    page: include_str!("repair_begun_before_fault.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for filed in facts.contents.counting() {
        let Body::Repair(repair) = &filed.record.body else { continue };
        let Some((named, fault)) = facts.fault_of(repair) else { continue };
        // Work that was over by then is a problem of its own.
        if repair.started >= fault.found || repair.finished < fault.found {
            continue;
        }
        findings.push(
            Diagnostic::finding(
                "repair-begun-before-fault",
                Place::value(&filed.path, "/started"),
                format!("{} was begun before its fault was found", name(filed)),
            )
            .label(format!("the fault was found {}", fault.found.short()))
            .also(Place::value(&named.path, "/found"), "when the fault was found")
            .help(format!("look at both times; {CORRECT_IT}")),
        );
    }
    findings
}
