//! A record names a person who is not in `people.yaml`.

use super::words::{CORRECT_IT, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::kinds::Named;
use crate::record::shape::nearest;

pub const RULE: Rule = Rule {
    name: "unknown-person",
    severity: Severity::Problem,
    page: include_str!("unknown_person.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    // Without a readable `people.yaml` everybody would be unknown; that file's own problem says enough.
    if facts.contents.people.is_empty() {
        return Vec::new();
    }
    let known: Vec<String> = facts.contents.people.keys().cloned().collect();
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        for Named { pointer, id: person, .. } in filed.record.people() {
            if facts.contents.people.contains_key(person) {
                continue;
            }
            let headline = format!("{} names `{person}`, who is not in `people.yaml`", name(filed));
            let problem = Diagnostic::problem("unknown-person", Place::value(&filed.path, pointer), headline)
                .label("nobody with this id");
            problems.push(match nearest(person, &known) {
                Some(near) => problem.help(format!("did you mean `{near}`? Write that id; {CORRECT_IT}")),
                None => problem
                    .help(format!("add a new person to `people.yaml`, or write the right id; {CORRECT_IT}"))
                    .paste(format!("{person}: {{name: ..., role: provider, email: ...}}")),
            });
        }
    }
    problems
}
