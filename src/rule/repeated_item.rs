//! A procedure has two items of one id, so that one answer would stand for both.

use super::words::procedure_file;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "repeated-item",
    severity: Severity::Problem,
    page: include_str!("repeated_item.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for procedure in facts.contents.procedures.values() {
        let path = procedure_file(procedure);
        for (i, item) in procedure.items.iter().enumerate() {
            let Some(first) = procedure.items[..i].iter().position(|other| other.id == item.id) else { continue };
            let headline = format!("{} has two items `{}`", procedure.words(), item.id);
            problems.push(
                Diagnostic::problem("repeated-item", Place::value(&path, format!("/items/{i}/id")), headline)
                    .label("second time")
                    .also(Place::value(&path, format!("/items/{first}/id")), "first time here")
                    .help("give one of them an id of its own"),
            );
        }
    }
    problems
}
