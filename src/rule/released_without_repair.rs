//! A machine was withheld and released, and no repair that counts names the fault.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::record_path;

pub const RULE: Rule = Rule {
    name: "released-without-repair",
    severity: Severity::Finding,
    page: include_str!("released_without_repair.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, case) in facts.lives.values().flat_map(|life| life.cases.iter().map(move |case| (life, case))) {
        let Some(released) = case.released.as_ref().filter(|_| case.withholds_at(case.found) && case.works.is_empty())
        else {
            continue;
        };
        let which = called("release", &life.machine, released.released);
        let file = record_path(released.released.0, &life.machine, "repair");
        findings.push(
            Diagnostic::finding(
                "released-without-repair",
                Place::value(&released.path, "/faults"),
                format!("{which} ends a fault that no repair record names"),
            )
            .label("withheld from use, and no work is written down")
            .also(Place::value(&case.path, "/what"), "the fault")
            .help(format!("write down what was done, or that no fault was found, for instance in `{file}`"))
            .paste(format!(
                "record: repair\nmachine: {}\nfault: {}\nstarted: ...\nfinished: ...\nrecorded: ...\nby: [...]\ncause: ...\nwork: ...",
                life.machine, case.path
            )),
        );
    }
    findings
}
