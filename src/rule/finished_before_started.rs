//! The times of a record run backwards: finished before started, or written down before it happened.

use super::words::name;
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Moment;
use crate::record::moment::spoken;

pub const RULE: Rule = Rule {
    name: "finished-before-started",
    severity: Severity::Problem,
    page: include_str!("finished_before_started.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let record = &filed.record;
        let (when, field) = (record.when(), record.when_field());
        if let Some(started) = record.started()
            && when < started
        {
            problems.push(backwards(filed, ("finished", when), ("started", started)));
        }
        if record.common.recorded < when {
            problems.push(backwards(filed, ("recorded", record.common.recorded), (field, when)));
        }
    }
    problems
}

fn backwards(filed: &Filed, early: (&str, Moment), late: (&str, Moment)) -> Diagnostic {
    let word = |field: &str| match field {
        "recorded" => "written down".to_owned(),
        other => other.to_owned(),
    };
    let headline = format!("{} was {} before it was {}", name(filed), word(early.0), word(late.0));
    Diagnostic::problem("finished-before-started", Place::value(&filed.path, format!("/{}", early.0)), headline)
        .label(format!("{} too early", spoken(late.1.seconds_since(early.1))))
        .also(Place::value(&filed.path, format!("/{}", late.0)), format!("{} here", word(late.0)))
        .help("correct the time that is wrong; look at the date and the offset too")
}
