//! A record names a person who is not in `people.yaml`.

use super::words::{CORRECT_IT, name};
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::shape::nearest;
use crate::record::{Body, Use};

pub const RULE: Rule = Rule {
    name: "unknown-person",
    severity: Severity::Fault,
    page: include_str!("unknown_person.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    // Without a readable `people.yaml` everybody would be unknown; that file's own fault says enough.
    if facts.contents.people.is_empty() {
        return Vec::new();
    }
    let known: Vec<String> = facts.contents.people.keys().cloned().collect();
    let mut faults = Vec::new();
    for filed in &facts.contents.records {
        for (pointer, person) in named(filed) {
            if facts.contents.people.contains_key(person) {
                continue;
            }
            let headline = format!("{} names `{person}`, who is not in `people.yaml`", name(filed));
            let fault = Diagnostic::fault("unknown-person", Place::value(&filed.path, pointer), headline)
                .label("nobody with this id");
            faults.push(match nearest(person, &known) {
                Some(near) => fault.help(format!("did you mean `{near}`? Write that id; {CORRECT_IT}")),
                None => fault
                    .help(format!("add a new person to `people.yaml`, or write the right id; {CORRECT_IT}"))
                    .paste(format!("{person}: {{name: ..., role: provider, email: ...}}")),
            });
        }
    }
    faults
}

/// Returns every person a record names, with the place of the name as a JSON pointer.
pub fn named(filed: &Filed) -> Vec<(String, &str)> {
    let common = &filed.record.common;
    let mut people: Vec<(String, &str)> =
        common.by.iter().enumerate().map(|(i, id)| (format!("/by/{i}"), id.as_str())).collect();
    if let Some(id) = &common.recorded_by {
        people.push(("/recorded-by".to_owned(), id));
    }
    if let Body::Fault(fault) = &filed.record.body
        && let Use::Restricted { owner, .. } = &fault.usage
    {
        people.push(("/use/owner".to_owned(), owner));
    }
    people
}
