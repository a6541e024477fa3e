//! A word under a machine's `fitted` is asked for by no procedure, while one much like it is.

use super::words::machine_file;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::shape::nearest;

pub const RULE: Rule = Rule {
    name: "unknown-feature",
    severity: Severity::Problem,
    page: include_str!("unknown_feature.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let asked = asked_features(facts);
    let mut problems = Vec::new();
    for (id, machine) in &facts.contents.machines {
        let now = machine.fitted.iter().enumerate().map(|(i, word)| (format!("/fitted/{i}"), word));
        let before = machine.before.iter().enumerate().flat_map(|(b, before)| {
            let words = before.fitted.iter().flatten().enumerate();
            words.map(move |(i, word)| (format!("/before/{b}/fitted/{i}"), word))
        });
        for (pointer, word) in now.chain(before) {
            let Some(near) = nearest(word, &asked).filter(|near| *near != word) else { continue };
            // A machine that has both words means both of them.
            if asked.contains(word) || machine.fitted.contains(near) {
                continue;
            }
            let headline = format!("`{id}` is fitted with `{word}`, which no procedure asks for");
            problems.push(
                Diagnostic::problem("unknown-feature", Place::value(&machine_file(id), pointer), headline)
                    .label("asked for by no item")
                    .help(format!("did you mean `{near}`?"))
                    .paste(near),
            );
        }
    }
    problems
}

/// Returns every feature that an item of some procedure asks for.
pub fn asked_features(facts: &Facts) -> Vec<String> {
    let items = facts.contents.procedures.values().flat_map(|procedure| &procedure.items);
    let mut asked: Vec<String> = items.filter_map(|item| item.only_if.as_ref()?.fitted.clone()).collect();
    asked.sort();
    asked.dedup();
    asked
}
