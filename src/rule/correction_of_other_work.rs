//! A correction is about work of another day, or by another procedure, than the record in whose place it stands.

use super::words::name;
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;

pub const RULE: Rule = Rule {
    name: "correction-of-other-work",
    severity: Severity::Finding,
    page: include_str!("correction_of_other_work.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let found = facts.contents.counting().flat_map(|filed| {
        let corrects = filed.record.common.corrects.as_ref();
        let old = corrects.and_then(|correction| facts.contents.record(&correction.record));
        old.map_or(Vec::new(), |old| judge(facts, filed, old))
    });
    found.collect()
}

fn judge(facts: &Facts, filed: &Filed, old: &Filed) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    let mut tell = |field: &str, old_field: &str, what: &str, was: String| {
        let headline = format!("{} corrects a record {what}", name(filed));
        findings.push(
            Diagnostic::finding("correction-of-other-work", Place::value(&filed.path, format!("/{field}")), headline)
                .label(format!("it was {was}"))
                .also(Place::value(&old.path, format!("/{old_field}")), "corrected record")
                .help(
                    "leave it if the record was written with a slip; work that was never written down has a record of its \
                     own, which is late if it is late, and what should not be there is declared void",
                ),
        );
    };
    match (&filed.record.body, &old.record.body) {
        // The moment of a void is when it was written down.
        (Body::Void(_), _) => return findings,
        (Body::Check(new), Body::Check(old)) if new.procedure != old.procedure => {
            tell("procedure", "procedure", "by another procedure", format!("`{}`", old.procedure));
        }
        _ => {}
    }
    let (day, was) = (facts.day(filed.record.when()), facts.day(old.record.when()));
    if day != was {
        tell(filed.record.when_field(), old.record.when_field(), "of another day", was.to_string());
    }
    findings
}
