//! The offline page against the program: the same answers, verdicts and sentences, and a check from opening it to the
//! commit, in a real browser.
//!
//! The browser is Chromium on PATH, driven by playwright-core under Node.js; `tests/run` installs what is missing.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test writes pages and runs programs")]
#![expect(clippy::disallowed_macros, reason = "a test prints what it counted")]

mod cases;
#[path = "../outside/program.rs"]
mod program;
#[path = "../outside/run.rs"]
mod run;
mod same_words;
mod walks;

use pinindex::bedside::page::{Basis, Page, State, page};
use pinindex::contents::{self, Contents};
use pinindex::logbook;
use pinindex::procedure::Procedure;
use pinindex::record::Moment;
use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Returns the example logbook as its files lie in the folder.
fn example() -> Contents {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let snapshot = logbook::read_working_files(&root).unwrap();
    contents::read(&snapshot, &mut |_| {}).0
}

/// Returns the page of a machine and a procedure as it is made in the morning of the example's last day.
fn page_of(contents: &Contents, id: &str, procedure: &Procedure) -> Page {
    let made: Moment = "2026-11-25T06:30:00+01:00".parse().unwrap();
    let (site, machine) = (contents.site.as_ref().unwrap(), &contents.machines[id]);
    let basis = Basis { contents, site, id, machine, procedure, commit: None, made };
    page(basis, State { word: "ready".to_owned(), reasons: Vec::new(), withheld: false })
}

/// Asks a browser program of `tests/outside`, which must end well; returns the JSON value of each line it wrote.
fn ask(program: &str, question: &Value) -> Vec<Value> {
    let path = format!("{}/tests/outside/{program}", env!("CARGO_MANIFEST_DIR"));
    let output = run::run(Command::new("node").arg(path), &question.to_string());
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "tests/outside/{program} is not content (`tests/run` installs what it needs):\n{}",
        complaint.trim()
    );
    let lines = String::from_utf8(output.stdout).unwrap();
    lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}
