//! A fault is released by two releases that count. The first one ends the case.

use super::words::name;
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::{Body, Release};
use std::collections::HashMap;

pub const RULE: Rule = Rule {
    name: "released-twice",
    severity: Severity::Problem,
    page: include_str!("released_twice.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    // A release that was corrected or voided releases nothing, so it cannot be one of two.
    let mut releases: Vec<(&Filed, &Release)> = facts
        .contents
        .counting()
        .filter_map(|filed| match &filed.record.body {
            Body::Release(release) => Some((&**filed, release)),
            _ => None,
        })
        .collect();
    releases.sort_by_key(|(filed, release)| (release.released, &filed.path));
    let mut first: HashMap<&str, (&Filed, usize)> = HashMap::new();
    let mut problems = Vec::new();
    for (filed, release) in releases {
        for (i, fault) in release.faults.iter().enumerate() {
            let Some(speaking) = facts.contents.speaking_for(fault) else { continue };
            let Some((earlier, place)) = first.get(speaking) else {
                first.insert(speaking, (filed, i));
                continue;
            };
            let headline = format!("{} releases a fault that was already released", name(filed));
            problems.push(
                Diagnostic::problem("released-twice", Place::value(&filed.path, format!("/faults/{i}")), headline)
                    .label("released before")
                    .also(
                        Place::value(&earlier.path, format!("/faults/{place}")),
                        format!("released here by the {}", name(earlier)),
                    )
                    .help("write a void of the release that is wrong, or record a new fault if it came back"),
            );
        }
    }
    problems
}
