//! A check, fault, repair or release is about a machine on a day on which it was not in use.

use super::words::{machine_file, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;

pub const RULE: Rule = Rule {
    name: "machine-not-in-use-then",
    severity: Severity::Finding,
    page: include_str!("machine_not_in_use_then.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for filed in facts.contents.counting() {
        // A machine may be serviced before its first day and after its last.
        if matches!(filed.record.body, Body::Service(_) | Body::Void(_)) {
            continue;
        }
        let id = &filed.record.common.machine;
        let Some(machine) = facts.contents.machines.get(id) else { continue };
        let day = facts.day(filed.record.when());
        if machine.in_use_on(day) {
            continue;
        }
        let (field, words) = match machine.in_use.until.filter(|until| *until < day) {
            Some(until) => ("/in-use/until", format!("last day in use was {until}")),
            None => ("/in-use/from", format!("first day in use is {}", machine.in_use.from)),
        };
        findings.push(
            Diagnostic::finding(
                "machine-not-in-use-then",
                Place::value(&filed.path, "/machine"),
                format!("{} is about a machine whose {words}", name(filed)),
            )
            .label(format!("not in use on {day}"))
            .also(Place::value(&machine_file(id), field), words)
            .help("correct the days in the machine's file, or, if another machine was meant, put it right with `pinindex correct`"),
        );
    }
    findings
}
