//! A record names another record that is not there.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "unknown-record",
    severity: Severity::Problem,
    page: include_str!("unknown_record.md"),
    check: Some(check),
};

/// For how many names a near one is looked for: who got more of them wrong made no slip of the finger.
const SEARCHED: usize = 25;

/// Paths differ in few characters, so that only a slip of the finger is near enough to be meant.
const SLIP: usize = 3;

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let contents = facts.contents;
    let mut problems = Vec::new();
    for filed in &contents.records {
        for (pointer, path, kind) in filed.record.references() {
            // A file that is there and could not be read has problems of its own.
            if contents.record(path).is_some() || contents.unreadable.contains(path) {
                continue;
            }
            let searched = if problems.len() < SEARCHED { contents.records.as_slice() } else { &[] };
            let near = searched
                .iter()
                .filter(|other| other.record.common.machine == filed.record.common.machine)
                .filter(|other| other.path != filed.path && kind.is_none_or(|kind| other.record.kind() == kind))
                .map(|other| (strsim::levenshtein(&other.path, path), &other.path))
                .filter(|(distance, _)| *distance <= SLIP)
                .min();
            let problem = Diagnostic::problem(
                "unknown-record",
                Place::value(&filed.path, pointer),
                format!("{} names a record that is not there", name(filed)),
            )
            .label("no such file");
            problems.push(match near {
                Some((_, near)) => problem.help("did you mean this one?").paste(near),
                None => problem.help("write the path of the record as it stands under `records/`"),
            });
        }
    }
    problems
}
