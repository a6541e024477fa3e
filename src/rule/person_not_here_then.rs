//! A record names a person on a day before their first or after their last.

use super::unknown_person::named;
use super::words::{CORRECT_IT, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
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
        for (pointer, id) in named(filed) {
            let Some(person) = facts.contents.people.get(id) else { continue };
            // Who wrote a record down was needed on that day, everybody else on the day of the work.
            let moment = if pointer == "/recorded-by" { filed.record.common.recorded } else { filed.record.when() };
            let day = facts.day(moment);
            let (field, date, words) = match (person.from, person.until) {
                (Some(from), _) if day < from => ("from", from, "first day"),
                (_, Some(until)) if until < day => ("until", until, "last day"),
                _ => continue,
            };
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
