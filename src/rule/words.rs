//! How rules speak: what a record is called in a sentence, lists of names, paths of files, numbers of days.

use crate::contents::Filed;
use crate::diagnostic::counted;
use crate::procedure::Procedure;
use crate::record::{Date, Moment};

/// Returns a record as a headline calls it: ``check of `theatre-1` on 2026-11-25 06:52``.
pub fn name(filed: &Filed) -> String {
    called(filed.record.kind(), &filed.record.common.machine, filed.record.when())
}

/// Returns a record of a kind, machine and moment as a headline calls it.
pub fn called(kind: &str, machine: &str, when: Moment) -> String {
    format!("{kind} of `{machine}` on {}", when.short())
}

/// Returns names in backticks: `` `a`, `b` and `c` ``.
pub fn and_list<S: AsRef<str>>(names: &[S]) -> String {
    list(names, "and")
}

/// Returns names in backticks: `` `a`, `b` or `c` ``.
pub fn or_list<S: AsRef<str>>(names: &[S]) -> String {
    list(names, "or")
}

fn list<S: AsRef<str>>(names: &[S], last: &str) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{}`", name.as_ref())).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [front @ .., end] => format!("{} {last} {end}", front.join(", ")),
    }
}

/// What to do about a record that says something wrong: once it is in the history it is never edited.
pub const CORRECT_IT: &str = "if the record is in the history already, `pinindex correct` puts it right by a new one";

/// Returns the file of a machine.
pub fn machine_file(id: &str) -> String {
    format!("machines/{id}.yaml")
}

/// Returns the file of a procedure's revision.
pub fn procedure_file(procedure: &Procedure) -> String {
    format!("procedures/{}/{}.yaml", procedure.procedure, procedure.revision)
}

/// Returns the days from one day to a later one: `1 day`, `24 days`.
pub fn days(from: Date, to: Date) -> String {
    counted(usize::try_from((to.0 - from.0).num_days()).unwrap_or_default(), "day")
}
