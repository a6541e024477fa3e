//! A record names a person on a day before their first or after their last.

use super::words::{CORRECT_IT, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::kinds::Named;
use crate::record::tree::step;

pub const RULE: Rule = Rule {
    name: "person-not-here-then",
    severity: Severity::Finding,
    page: include_str!("person_not_here_then.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for filed in facts.contents.counting() {
        for Named { pointer, id, on } in filed.record.people() {
            let Some(person) = facts.contents.people.get(id) else { continue };
            let day = facts.day(on);
            let Some((words, date)) = person.not_here_on(day) else { continue };
            let field = if day < date { "from" } else { "until" };
            let headline = format!("{} names `{id}`, whose {words} was {date}", name(filed));
            findings.push(
                Diagnostic::finding("person-not-here-then", Place::value(&filed.path, pointer), headline)
                    .label(format!("not here on {day}"))
                    .also(Place::value("people.yaml", step(&step("", id), field)), format!("{words} of `{id}`"))
                    .help(format!("put the name right, or the date in `people.yaml`; {CORRECT_IT}")),
            );
        }
    }
    findings
}
