//! One file a command: read, call, write. Nothing is judged, counted or worded for a report here.

#![expect(clippy::disallowed_methods, reason = "commands are where the world is touched")]

mod altered;
mod asked;
pub mod audit;
pub mod board;
mod bringing_back;
pub mod check;
pub mod completions;
mod consequences;
mod context;
pub mod correct;
pub mod demo;
pub mod explain;
pub mod fault;
mod filing;
mod handed;
pub mod history;
pub mod init;
pub mod keep;
pub mod man;
mod named;
mod opened;
pub mod page;
pub mod paper;
mod paths;
mod progress;
pub mod questions;
pub mod ready;
pub mod record;
pub mod release;
pub mod repair;
pub mod report;
mod resumed;
pub mod seal;
pub mod sealed;
pub mod service;
mod show;
mod signers;
mod signing;
mod taking_in;
mod terminal;
pub mod typst;
pub mod validate;
pub mod void;
mod written;

pub use context::Context;

use crate::contents::Contents;
use crate::logbook::{Author, Trouble, Turn};
use crate::procedure::{Procedure, When};
use crate::record::Date;
use crate::record::shape::nearest;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;

/// Waits for the turn to write to a logbook, and says so on standard error when others take long.
fn turn(root: &Path) -> anyhow::Result<Turn> {
    Turn::take(root, &mut || {
        // Nobody is helped when this line cannot be written.
        let _ = writeln!(anstream::stderr(), "waiting for somebody else who writes to this logbook ...");
    })
}

/// Returns the id of who answers for what a command does to the logbook, and the person as git will name them.
///
/// `command` is what was typed after the program's name, for the next step when nobody or a stranger was named.
fn answers_for(
    context: &Context,
    contents: &Contents,
    by: Option<&str>,
    command: &str,
) -> anyhow::Result<(String, Author)> {
    let known: Vec<&str> = contents.people.keys().map(String::as_str).collect();
    // Nobody is told to act in the name of whoever comes first in the list.
    let known = match known.as_slice() {
        [] => "write who works here into `people.yaml`".to_owned(),
        known => format!("run `pinindex {command} --by YOUR-ID`; people here: {}", known.join(", ")),
    };
    let Some(id) = by else {
        return Err(Trouble::new("the logbook needs the name of who answers for this", known).into());
    };
    let Some(person) = contents.people.get(id) else {
        return Err(Trouble::new(format!("there is no `{id}` in `people.yaml`"), known).into());
    };
    let author = Author { name: person.name.clone(), email: person.email.clone(), time: context.at_commit().0 };
    Ok((id.to_owned(), author))
}

/// Returns a failure with a next step when the logbook has no such machine.
fn known_machine(contents: &Contents, machine: &str) -> anyhow::Result<()> {
    if contents.machines.contains_key(machine) {
        return Ok(());
    }
    let file = format!("machines/{machine}.yaml");
    if contents.unreadable.contains(&file) {
        let help = format!("run `pinindex validate {file}`");
        return Err(Trouble::new(format!("`{file}` has problems and was not read"), help).into());
    }
    let known: Vec<String> = contents.machines.keys().cloned().collect();
    let help = match nearest(machine, &known) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("machines here: {}", known.join(", ")),
    };
    Err(Trouble::new(format!("there is no machine `{machine}` in this logbook"), help).into())
}

/// Returns the failure of a path that the history knows no record by.
fn no_record(path: &str) -> Trouble {
    Trouble::new(
        format!("the history has no record `{path}`"),
        "`pinindex history MACHINE` shows the paths of its records",
    )
}

/// Returns a failure with a next step when the logbook has no such person.
fn known_person(contents: &Contents, id: &str) -> anyhow::Result<()> {
    if contents.people.contains_key(id) {
        return Ok(());
    }
    let known: Vec<String> = contents.people.keys().cloned().collect();
    let help = match nearest(id, &known) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("people here: {}", known.join(", ")),
    };
    Err(Trouble::new(format!("there is no `{id}` in `people.yaml`"), help).into())
}

/// Returns the revision in force on a day of the procedure that was asked for, or of the one before the first case.
fn procedure_in_force<'a>(contents: &'a Contents, asked: Option<&str>, day: Date) -> anyhow::Result<&'a Procedure> {
    let Some(id) = asked else {
        return contents.in_force_when(When::FirstCase, day).ok_or_else(|| {
            let what = format!("no procedure for the first case of the day is in force on {day}");
            Trouble::new(what, "name one with `--procedure ID`").into()
        });
    };
    contents.in_force(id, day).ok_or_else(|| {
        let known: BTreeSet<&String> = contents.procedures.keys().map(|(id, _)| id).collect();
        let known: Vec<String> = known.into_iter().cloned().collect();
        let help = match nearest(id, &known) {
            Some(near) if near != id => format!("did you mean `{near}`?"),
            _ => format!("procedures here: {}", known.join(", ")),
        };
        Trouble::new(format!("no procedure `{id}` is in force on {day}"), help).into()
    })
}
