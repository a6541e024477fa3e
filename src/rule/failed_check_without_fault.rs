//! An item of a check failed and no fault record that counts names it, so that nobody follows it up. Told once a check.

use super::item_failed::faults_by_check;
use super::words::{and_list, called};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::record_path;
use crate::procedure::{IfFailed, ItemJudgement};
use crate::timeline::CheckDone;

pub const RULE: Rule = Rule {
    name: "failed-check-without-fault",
    severity: Severity::Finding,
    page: include_str!("failed_check_without_fault.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let recorded = faults_by_check(facts);
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let faults = recorded.get(done.path()).map_or(&[][..], Vec::as_slice);
        let followed = |item: &ItemJudgement<'_>| faults.iter().any(|fault| fault.covers(item));
        let failed: Vec<ItemJudgement<'_>> = done.judgement.failures().filter(|item| !followed(item)).collect();
        if failed.is_empty() {
            continue;
        }
        let which = called("check", &life.machine, done.check.finished);
        let names: Vec<String> = failed.iter().map(|item| item.place()).collect();
        let headline = match faults {
            [] => format!("{which} failed and no fault record names it"),
            _ => format!("{which} failed and no fault record names {}", and_list(&names)),
        };
        let file = record_path(done.check.finished.0, &life.machine, "fault");
        findings.push(
            Diagnostic::finding("failed-check-without-fault", Place::key(done.path(), "/results"), headline)
                .label(format!("{} failed", and_list(&names)))
                .help(format!("record the fault, for instance in `{file}`"))
                .paste(fault_record(&life.machine, done, &failed, &names)),
        );
    }
    findings
}

fn fault_record(machine: &str, done: &CheckDone, failed: &[ItemJudgement<'_>], names: &[String]) -> String {
    let usage = match failed.iter().any(|item| item.if_failed == IfFailed::Withhold) {
        true => "withheld",
        false => "{restricted: ..., until: ..., owner: ...}",
    };
    [
        "record: fault".to_owned(),
        format!("machine: {machine}"),
        format!("found: \"{}\"", done.check.finished),
        "recorded: ...".to_owned(),
        format!("by: [{}]", done.by().join(", ")),
        "found-during:".to_owned(),
        format!("  check: {}", done.path()),
        format!("  items: [{}]", names.join(", ")),
        "what: ...".to_owned(),
        format!("use: {usage}"),
    ]
    .join("\n")
}
