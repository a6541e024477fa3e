//! An item of a check was not done. An emergency start is another matter and is told by a rule of its own.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::Verdict;

pub const RULE: Rule = Rule {
    name: "item-not-done",
    severity: Severity::Finding,
    page: include_str!("item_not_done.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks().filter(|(_, done)| !done.check.emergency_start) {
        let mut last = String::new();
        for item in done.judgement.items().filter(|item| item.verdict == Verdict::NotDone) {
            let pointer = item.pointer();
            // One reason may stand for several vaporizers or gases; it is told once.
            if pointer == last {
                continue;
            }
            last.clone_from(&pointer);
            let whole = pointer.ends_with(&format!("/{}", item.item));
            let what = if whole { item.item.to_owned() } else { item.place() };
            let headline =
                format!("`{what}` was not done in the {}", called("check", &life.machine, done.check.finished));
            findings.push(
                Diagnostic::finding("item-not-done", Place::value(done.path(), pointer), headline)
                    .label(item.reason().unwrap_or_default())
                    .help("do the item before the machine is used, and record the whole check again"),
            );
        }
    }
    findings
}
