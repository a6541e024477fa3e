//! One address stands under the names of two people.

use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::PEOPLE_FILE;
use crate::record::tree::step;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    name: "email-of-two-people",
    severity: Severity::Problem,
    page: include_str!("email_of_two_people.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    let mut known: BTreeMap<String, (&str, Place)> = BTreeMap::new();
    for (id, person) in &facts.contents.people {
        let place = Place::value(PEOPLE_FILE, format!("{}/email", step("", id)));
        // Git takes capital and small letters of an address for the same.
        let address = person.email.to_ascii_lowercase();
        if let Some((other, first)) = known.get(&address) {
            problems.push(
                Diagnostic::problem(
                    "email-of-two-people",
                    place,
                    format!("`{other}` and `{id}` have the same address"),
                )
                .label("the same address")
                .also(first.clone(), format!("the address of `{other}`"))
                .help("give each an address of their own, also those who have left: git knows people by it"),
            );
        } else {
            known.insert(address, (id, place));
        }
    }
    problems
}
