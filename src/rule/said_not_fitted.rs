//! A check says that an item is not fitted, and the machine's file says that it is.

use super::need::needs;
use super::words::{machine_file, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::Verdict;

pub const RULE: Rule = Rule {
    name: "said-not-fitted",
    severity: Severity::Problem,
    page: include_str!("said_not_fitted.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for judged in facts.judged() {
        let id = &judged.filed.record.common.machine;
        let mut last = String::new();
        for item in judged.judgement.items().filter(|item| item.verdict == Verdict::NotFitted) {
            // One answer may stand for several vaporizers or gases; it is told once.
            let pointer = item.pointer();
            if pointer == last {
                continue;
            }
            last.clone_from(&pointer);
            let mut needs = judged.procedure.item(item.item).map(|i| needs(i, judged.machine)).unwrap_or_default();
            let why = match needs.is_empty() {
                true => format!("but {} asks it of every machine", judged.procedure.words()),
                false => format!("but the file of `{id}` says that it is"),
            };
            let headline = format!("{} says that `{}` is not fitted, {why}", name(judged.filed), item.place());
            let mut problem =
                Diagnostic::problem("said-not-fitted", Place::value(&judged.filed.path, pointer), headline)
                    .label("it is fitted")
                    .help("answer the item or say why it was not done; if it was taken off, correct the machine's file")
                    .paste(format!("{}: {{not-done: ...}}", item.each.unwrap_or(item.item)));
            if let Some(need) = needs.pop() {
                let place = Place::key(&machine_file(id), need.pointer);
                problem = problem.also(place, format!("`{id}` has {}", need.what));
            }
            problems.push(problem);
        }
    }
    problems
}
