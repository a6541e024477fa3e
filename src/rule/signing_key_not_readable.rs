//! A signing key in `people.yaml` is no public key that can sign here.

use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::PEOPLE_FILE;
use crate::record::tree::step;
use crate::signature::Unreadable;

pub const RULE: Rule = Rule {
    name: "signing-key-not-readable",
    severity: Severity::Problem,
    page: include_str!("signing_key_not_readable.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for (id, person) in &facts.contents.people {
        for (n, key) in person.signing_keys.iter().enumerate() {
            let Err(why) = key.public() else { continue };
            let place = Place::value(PEOPLE_FILE, format!("{}/signing-keys/{n}/key", step("", id)));
            let headline = format!("a signing key of `{id}` cannot be read");
            let (label, help) = words(&why);
            problems.push(Diagnostic::problem("signing-key-not-readable", place, headline).label(label).help(help));
        }
    }
    problems
}

fn words(why: &Unreadable) -> (String, &'static str) {
    const MAKE: &str = "write the one line of the file that ends in `.pub`, which `ssh-keygen -t ed25519` makes";
    match why {
        Unreadable::Private => (
            "this is a private key".to_owned(),
            "take it out and use that key nowhere any more; make a new one, and write the line of its `.pub` file",
        ),
        Unreadable::OtherKind(kind) => (format!("a key of the kind {kind}; only ssh-ed25519 signs here"), MAKE),
        Unreadable::NoKey => ("no key".to_owned(), MAKE),
    }
}
