//! An item of a check failed: the machine is not as it should be, and the record is good.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::{IfFailed, ItemJudgement};
use crate::record::Body;
use crate::timeline::Life;
use std::collections::HashMap;

pub const RULE: Rule =
    Rule { name: "item-failed", severity: Severity::Finding, page: include_str!("item_failed.md"), check: Some(check) };

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let recorded = faults_by_check(facts);
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        for item in done.judgement.failures() {
            let machine = &life.machine;
            let headline =
                format!("`{}` failed in the {}", item.place(), called("check", machine, done.check.finished));
            let mut finding = Diagnostic::finding("item-failed", Place::value(done.path(), item.pointer()), headline)
                .label(item.seen());
            if let Some(limit) = limit(&item) {
                finding = finding.limit(limit);
            }
            let by = recorded.get(done.path()).and_then(|faults| faults.iter().find(|f| f.covers(&item)));
            findings.push(match by {
                Some(fault) => finding.help(followed_up(life, fault.path)),
                None => finding.help(what_follows(machine, item.if_failed)).paste(lines(done.path(), &item)),
            });
        }
    }
    findings
}

/// Returns what is left to do once a fault record answers for a failure.
fn followed_up(life: &Life, fault: &str) -> String {
    match life.case(fault).and_then(|case| case.released.as_ref()) {
        Some(released) => {
            format!(
                "nothing is left to do: its fault was released on {} by `{}`",
                released.released.short(),
                released.path
            )
        }
        None => format!("follow up its fault record, `{fault}`"),
    }
}

/// A fault record that counts, with the items it names.
pub struct Named<'a> {
    pub path: &'a str,
    pub items: &'a [String],
}

impl Named<'_> {
    /// Returns whether the fault is about an item; one that names the check alone is about all of it.
    pub fn covers(&self, item: &ItemJudgement<'_>) -> bool {
        self.items.is_empty() || self.items.iter().any(|named| *named == item.place() || *named == item.item)
    }
}

/// Returns the fault records that count, by the check that showed them.
pub fn faults_by_check<'a>(facts: &Facts<'a>) -> HashMap<&'a str, Vec<Named<'a>>> {
    let mut by_check: HashMap<&str, Vec<Named>> = HashMap::new();
    for filed in facts.contents.counting() {
        let Body::Fault(fault) = &filed.record.body else { continue };
        let Some(check) = fault.found_during.check.as_deref().and_then(|c| facts.contents.speaking_for(c)) else {
            continue;
        };
        by_check.entry(check).or_default().push(Named { path: &filed.path, items: &fault.found_during.items });
    }
    by_check
}

/// Returns the limits that were not met, each with its source.
fn limit(item: &ItemJudgement<'_>) -> Option<String> {
    let unmet: Vec<String> = item
        .measured()
        .iter()
        .filter(|measured| !measured.met)
        .map(|m| format!("{} {}; source: {}", m.of.words(), m.limit.words(), m.limit.source_words()))
        .collect();
    if unmet.is_empty() { None } else { Some(unmet.join(", and ")) }
}

fn what_follows(machine: &str, if_failed: IfFailed) -> String {
    match if_failed {
        IfFailed::Withhold => format!("withhold `{machine}` from use, and record the fault"),
        IfFailed::Restrict => format!("restrict the use of `{machine}` or withhold it, and record the fault"),
    }
}

fn lines(path: &str, item: &ItemJudgement<'_>) -> String {
    let usage = match item.if_failed {
        IfFailed::Withhold => "withheld",
        IfFailed::Restrict => "{restricted: ..., until: ..., owner: ...}",
    };
    format!("found-during: {{check: {path}, items: [{}]}}\nuse: {usage}", item.place())
}
