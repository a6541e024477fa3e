//! A record is filed under a time, machine or kind that it does not have. The readers also find files whose name is none at all.

use super::words::name;
use super::{Facts, Rule};
use crate::contents::misfiled::{Belongs, belongs, copy_of};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::{numbered_record_path, parse_record_path};

pub const RULE: Rule = Rule {
    name: "misfiled-record",
    severity: Severity::Problem,
    page: include_str!("misfiled_record.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let record = &filed.record;
        let Some(filed_as) = parse_record_path(&filed.path) else { continue };
        // The number among records of one second says nothing about the content; any will do.
        let right = numbered_record_path(record.when().0, &record.common.machine, record.kind(), filed_as.ordinal);
        if right == filed.path {
            continue;
        }
        let (field, other) = if filed_as.machine != record.common.machine {
            ("machine", format!("under `{}`", filed_as.machine))
        } else if filed_as.kind != record.kind() {
            ("record", format!("as a {}", filed_as.kind))
        } else {
            (record.when_field(), format!("on {} {}", filed_as.date, filed_as.time))
        };
        let headline = format!("{} is filed {other}", name(filed));
        let problem = Diagnostic::problem("misfiled-record", Place::value(&filed.path, format!("/{field}")), headline)
            .label("the file's name says otherwise");
        problems.push(match belongs(facts.contents, record, filed_as.ordinal) {
            Belongs::CopyOf(original) => copy_of(problem, &original),
            Belongs::At(free) => {
                problem.help("give the file the name its content says, or correct the content").paste(free)
            }
        });
    }
    problems
}
