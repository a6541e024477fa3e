//! A record voids or corrects one that was declared void before.

use super::correction_does_not_fit::claims;
use super::words::name;
use super::{Facts, Rule};
use crate::contents::{Filed, Standing};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::{Body, Moment};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    name: "void-already",
    severity: Severity::Finding,
    page: include_str!("void_already.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut voids: BTreeMap<&str, Vec<&Filed>> = BTreeMap::new();
    for filed in &facts.contents.records {
        if let Body::Void(void) = &filed.record.body
            && facts.contents.standing(&filed.path) == Standing::Counts
        {
            voids.entry(&void.of).or_default().push(filed);
        }
    }
    let claims = facts.contents.records.iter().flat_map(|filed| claims(filed).map(move |claim| (filed, claim)));
    let found = claims.filter_map(|(filed, (pointer, of, verb))| {
        let earlier = voids.get(of)?.iter().find(|void| written(void) < written(filed))?;
        let help = match verb {
            "voids" => "leave it as it is: the record counts as little as before; to let it count again, void both voids",
            _ => "leave it as it is if the record was taken out by mistake: it counts again, as corrected; else void the correction",
        };
        let headline = format!("{} {verb} a record that was void already", name(filed));
        let finding = Diagnostic::finding("void-already", Place::value(&filed.path, pointer), headline);
        Some(finding.label("void already").also(Place::value(&earlier.path, "/of"), "declared void here").help(help))
    });
    found.collect()
}

fn written(filed: &Filed) -> (Moment, &str) {
    (filed.record.common.recorded, &filed.path)
}
