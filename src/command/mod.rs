//! One file a command: read, call, write. Nothing is judged, counted or worded for a report here.

#![expect(clippy::disallowed_methods, reason = "commands are where the world is touched")]

mod altered;
mod asked;
pub mod board;
pub mod check;
pub mod completions;
mod context;
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
pub mod service;
mod show;
mod taking_in;
mod terminal;
pub mod typst;
pub mod validate;
pub mod void;
mod written;

pub use context::Context;

use crate::contents::Contents;
use crate::logbook::Trouble;
use crate::record::shape::nearest;

/// Returns a failure with a next step when the logbook has no such machine.
fn known_machine(contents: &Contents, machine: &str) -> anyhow::Result<()> {
    if contents.machines.contains_key(machine) {
        return Ok(());
    }
    let file = format!("machines/{machine}.yaml");
    if contents.unreadable.contains(&file) {
        let help = format!("run `pinindex validate {file}`");
        return Err(Trouble::new(format!("`{file}` has faults and was not read"), help).into());
    }
    let known: Vec<String> = contents.machines.keys().cloned().collect();
    let help = match nearest(machine, &known) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("machines here: {}", known.join(", ")),
    };
    Err(Trouble::new(format!("there is no machine `{machine}` in this logbook"), help).into())
}
