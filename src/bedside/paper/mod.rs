//! The blank form on paper: a sheet for a day or for a week, to be filled in by hand and typed in later.
//!
//! A [`Paper`] is one value with every word and number of the sheet. [`html`] and [`typeset`] only lay it out. Its items
//! stand in the order of [`crate::bedside::steps`] and have their numbers, so that whoever types it in follows with a
//! finger.

mod build;
pub mod html;
mod layout;
mod rows;
pub mod typeset;
pub mod week;
mod words;

pub use build::{Made, build};
pub use layout::Layout;
pub use week::{Span, Week};
pub use words::Words;

use crate::record::Date;
use serde::Serialize;

/// A blank form.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Paper {
    /// What the file is called by a reader of documents.
    pub title: String,
    pub language: &'static str,
    /// Seconds since 1970 of the document's date.
    pub timestamp: i64,
    pub layout: Layout,
    pub site: String,
    pub machine: String,
    /// Procedure and revision: `Check before the first case of the day`.
    pub heading: String,
    /// Whether it is for a day or a week, and for which.
    pub span: String,
    pub facts: Vec<Named>,
    /// The form code, and what it stands for in words.
    pub code: String,
    pub code_says: String,
    /// The date of a day sheet, where one is printed.
    pub date: Option<String>,
    /// The days of a week sheet; none on a day sheet.
    pub days: Vec<Day>,
    /// Whether it can be an emergency start: some items are done even when a patient cannot wait.
    pub emergency: bool,
    pub rows: Vec<Row>,
    pub signs: Vec<Named>,
    /// Who does the items that say nothing of it.
    pub by: String,
    /// Whom to call when the machine failed.
    pub call: Vec<String>,
    /// What must be known before the sheet is filled in.
    pub notices: Vec<String>,
    pub cautions: Vec<&'static str>,
    /// One line for the foot of every page.
    pub foot: String,
    pub words: Words,
}

/// A value with its name.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Named {
    pub name: String,
    pub value: String,
}

/// A day of a week sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Day {
    pub name: &'static str,
    pub date: Option<String>,
    /// Whether the calendar expects the machine in use; nothing when it does not say.
    pub expected: Option<bool>,
}

/// One step of the sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Row {
    /// Its number among the steps, from 1.
    pub number: usize,
    pub title: String,
    /// What to do; nothing where the step before, of the same item, has said it.
    pub instruction: Option<String>,
    /// Each limit and its source; nothing where the step before has said it.
    pub limits: Vec<Named>,
    /// The limits in short, without their sources.
    pub short_limits: String,
    /// Who does it, where that is not as for most items.
    pub by: Option<String>,
    /// Whose initials are asked for, where more than one must do it.
    pub initials: Vec<&'static str>,
    /// The sign of an item that is done even when a patient cannot wait.
    pub cannot_wait: Option<&'static str>,
    /// The sign of what its failure does to the machine.
    pub fails: &'static str,
    /// What is written down; nothing where a box is ticked.
    pub blanks: Vec<Blank>,
    /// The words to choose from.
    pub choices: Vec<Choice>,
}

/// A line to write a number on.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Blank {
    /// What is written, where the title does not say it: `start`, `end`, `watched`.
    pub name: &'static str,
    /// The unit of the number; nothing where the unit must be written as well.
    pub unit: Option<&'static str>,
}

/// A word to choose, with the digit that chooses it at the terminal.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Choice {
    pub digit: usize,
    pub word: String,
    /// Whether the item fails by it.
    pub fails: bool,
}

/// Returns a day in the words of a sheet: `Wednesday 25 November 2026`.
pub fn day_words(date: Date) -> String {
    date.0.format("%A %-d %B %Y").to_string()
}
