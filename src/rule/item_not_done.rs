//! An item of a check was not done. An emergency start is another matter and is told by a rule of its own.

use super::words::called;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::Verdict;
use crate::timeline::{CheckDone, Life};

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
            let help = match done_later(life, done, item.item) {
                Some(later) => format!(
                    "nothing is left to do: it was done in the check of {}, `{}`",
                    later.check.finished.short(),
                    later.path()
                ),
                None => "do the item before the machine is used, and record the whole check again".to_owned(),
            };
            findings.push(
                Diagnostic::finding("item-not-done", Place::value(done.path(), pointer), headline)
                    .label(item.reason().unwrap_or_default())
                    .help(help),
            );
        }
    }
    findings
}

/// Returns the first later check of the machine in which an item was done wherever it was asked.
fn done_later<'a>(life: &'a Life, left: &CheckDone, item: &str) -> Option<&'a CheckDone> {
    let later = life.checks.iter().filter(|later| later.check.finished > left.check.finished);
    let was_done = |check: &&CheckDone| {
        let mut same = check.judgement.items().filter(|judged| judged.item == item).peekable();
        same.peek().is_some() && same.all(|judged| matches!(judged.verdict, Verdict::Pass | Verdict::Fail))
    };
    later.into_iter().find(was_done)
}
