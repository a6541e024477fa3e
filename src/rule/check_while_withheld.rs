//! A machine was checked for a patient while a fault withheld it from use.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::When;

pub const RULE: Rule = Rule {
    name: "check-while-withheld",
    severity: Severity::Finding,
    page: include_str!("check_while_withheld.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks().filter(|(_, done)| done.when == When::EachPatient) {
        // The check that showed the fault may end after the fault was found; it was not done in spite of it.
        let showed = |check: &Option<String>| {
            check.as_deref().and_then(|path| facts.contents.speaking_for(path)) == Some(done.path())
        };
        let withholding = life.cases.iter().filter(|case| case.withholds_at(done.check.finished));
        let Some(case) = withholding.rev().find(|case| !showed(&case.found_during.check)) else { continue };
        let headline = format!(
            "{} was done before a patient while the machine was withheld from use",
            called("check", &life.machine, done.check.finished)
        );
        findings.push(
            Diagnostic::finding("check-while-withheld", Place::value(done.path(), "/finished"), headline)
                .label("withheld at this time")
                .also(
                    Place::value(&case.path, "/use"),
                    format!("withheld by the {}", called("fault", &life.machine, case.found)),
                )
                .help("keep the machine from use until it is released; if it was, record the release"),
        );
    }
    findings
}
