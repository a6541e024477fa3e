//! A record names a record of another machine.
//!
//! A correction may: that the wrong machine was written is a thing to correct.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "record-of-another-machine",
    severity: Severity::Problem,
    page: include_str!("record_of_another_machine.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        for (pointer, path, _) in filed.record.references() {
            // What a record says today may be said by its correction, also about the machine.
            let speaking = facts.contents.speaking_for(path).and_then(|path| facts.contents.record(path));
            let Some(named) = speaking.or_else(|| facts.contents.record(path)) else { continue };
            let (own, other) = (&filed.record.common.machine, &named.record.common.machine);
            if own == other || pointer.starts_with("/corrects") {
                continue;
            }
            let headline = format!("{} names a {} of `{other}`", name(filed), named.record.kind());
            problems.push(
                Diagnostic::problem("record-of-another-machine", Place::value(&filed.path, pointer), headline)
                    .label(format!("not of `{own}`"))
                    .also(Place::value(&named.path, "/machine"), "the machine of the record it names")
                    .help(format!("write the path of a record of `{own}`, or correct `machine`")),
            );
        }
    }
    problems
}
