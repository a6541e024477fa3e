//! A record names a record of another kind than belongs there.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "wrong-kind-of-record",
    severity: Severity::Problem,
    page: include_str!("wrong_kind_of_record.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        for (pointer, path, kind) in filed.record.references() {
            let (Some(wanted), Some(named)) = (kind, facts.contents.record(path)) else { continue };
            let found = named.record.kind();
            if found == wanted {
                continue;
            }
            let headline = format!("{} names a {found} where a {wanted} belongs", name(filed));
            let help = match pointer.starts_with("/corrects") {
                true => format!("correct a {wanted} by a {wanted}; to take back the {found}, write a void of it"),
                false => format!("write the path of the {wanted}"),
            };
            problems.push(
                Diagnostic::problem("wrong-kind-of-record", Place::value(&filed.path, pointer), headline)
                    .label(format!("this is a {found}"))
                    .also(Place::value(path, "/record"), "it says so here")
                    .help(help),
            );
        }
    }
    problems
}
