//! One signing key stands under the names of two people.

use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::PEOPLE_FILE;
use crate::record::tree::step;
use crate::signature::Fingerprint;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    name: "signing-key-of-two-people",
    severity: Severity::Problem,
    page: include_str!("signing_key_of_two_people.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    let mut known: BTreeMap<Fingerprint, (&str, Place)> = BTreeMap::new();
    for (id, person) in &facts.contents.people {
        for (n, entry) in person.signing_keys.iter().enumerate() {
            let Ok(key) = entry.public() else { continue };
            let place = Place::value(PEOPLE_FILE, format!("{}/signing-keys/{n}/key", step("", id)));
            match known.get(&key.fingerprint()) {
                Some((other, first)) if *other != id => problems.push(
                    Diagnostic::problem(
                        "signing-key-of-two-people",
                        place,
                        format!("`{other}` and `{id}` have the same signing key"),
                    )
                    .label("the same key")
                    .also(first.clone(), format!("the key of `{other}`"))
                    .help("whose key is it? Take it away from the other, who makes one with `ssh-keygen -t ed25519`"),
                ),
                Some(_) => {}
                None => {
                    known.insert(key.fingerprint(), (id, place));
                }
            }
        }
    }
    problems
}
