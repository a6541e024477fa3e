//! How something wrong is said: what, where, why, and the next step.
//!
//! A [`Diagnostic`] is plain data made by the readers and the rules. It names its place by file and JSON
//! pointer, so that no typed record has to carry positions; [`crate::record::places`] turns the pointer into
//! a [`Located`] one by reading that one file again. The renderers in this folder only lay it out.

pub mod hidden;
pub mod human;
pub mod json;
pub mod short;

use serde::Serialize;
use std::ops::Range;

/// Two kinds of trouble that are never mixed.
///
/// A problem is something wrong with a record or a file: it keeps the record out and sets exit status 1.
/// A finding is something a good record says about a machine or about the work: it is shown and followed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    Problem,
    Finding,
}

impl Severity {
    /// Returns the word shown to people.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Problem => "problem",
            Severity::Finding => "finding",
        }
    }
}

/// The part of a file that a diagnostic points at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum At {
    /// The file as a whole.
    File,
    /// The value at a JSON pointer, such as `/results/suction`.
    Value(String),
    /// The key of the value at a JSON pointer.
    Key(String),
    /// A range of bytes of the file, for text that is not YAML at all.
    Bytes(Range<usize>),
}

/// A file and a part of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    pub path: String,
    pub at: At,
}

impl Place {
    /// Returns the place of a whole file.
    pub fn file(path: &str) -> Place {
        Place { path: path.to_owned(), at: At::File }
    }

    /// Returns the place of the value at a JSON pointer.
    pub fn value(path: &str, pointer: impl Into<String>) -> Place {
        Place { path: path.to_owned(), at: At::Value(pointer.into()) }
    }

    /// Returns the place of the key at a JSON pointer.
    pub fn key(path: &str, pointer: impl Into<String>) -> Place {
        Place { path: path.to_owned(), at: At::Key(pointer.into()) }
    }

    /// Returns the place of some bytes of a file.
    pub fn bytes(path: &str, range: Range<usize>) -> Place {
        Place { path: path.to_owned(), at: At::Bytes(range) }
    }
}

/// One problem or finding.
///
/// The headline must be true and enough on its own; the help is one next step.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// The rule's name, which is also the argument of `pinindex explain`.
    pub rule: &'static str,
    pub severity: Severity,
    pub headline: String,
    pub place: Place,
    /// What stands under the caret.
    pub label: String,
    /// Other places that matter, each with its own words.
    pub also: Vec<(Place, String)>,
    /// The limit that was judged by, and its source.
    pub limit: Option<String>,
    pub help: String,
    /// A line (or lines) to paste.
    pub paste: Option<String>,
}

impl Diagnostic {
    /// Returns a problem with its headline and place; the rest is added by the methods below.
    pub fn problem(rule: &'static str, place: Place, headline: impl Into<String>) -> Diagnostic {
        Diagnostic {
            rule,
            severity: Severity::Problem,
            headline: headline.into(),
            place,
            label: String::new(),
            also: Vec::new(),
            limit: None,
            help: String::new(),
            paste: None,
        }
    }

    /// Returns a finding with its headline and place.
    pub fn finding(rule: &'static str, place: Place, headline: impl Into<String>) -> Diagnostic {
        Diagnostic { severity: Severity::Finding, ..Diagnostic::problem(rule, place, headline) }
    }

    /// Adds the words under the caret.
    pub fn label(mut self, label: impl Into<String>) -> Diagnostic {
        self.label = label.into();
        self
    }

    /// Adds a second place.
    pub fn also(mut self, place: Place, text: impl Into<String>) -> Diagnostic {
        self.also.push((place, text.into()));
        self
    }

    /// Adds the limit and its source.
    pub fn limit(mut self, limit: impl Into<String>) -> Diagnostic {
        self.limit = Some(limit.into());
        self
    }

    /// Adds the next step.
    pub fn help(mut self, help: impl Into<String>) -> Diagnostic {
        self.help = help.into();
        self
    }

    /// Adds text to paste.
    pub fn paste(mut self, paste: impl Into<String>) -> Diagnostic {
        self.paste = Some(paste.into());
        self
    }
}

/// Where a place stands in its file: byte range, and 1-based line and column (columns count characters).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    pub path: String,
    pub bytes: Range<usize>,
    pub line: usize,
    pub column: usize,
    pub end_line: usize,
    pub end_column: usize,
}

impl PartialOrd for Located {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Eq for Located {}

impl Ord for Located {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let key = |d: &Located| {
            (d.spot.path.clone(), d.spot.line, d.spot.column, d.diagnostic.rule, d.diagnostic.headline.clone())
        };
        key(self).cmp(&key(other))
    }
}

/// A diagnostic with every place found in its text, ready to be shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Located {
    pub diagnostic: Diagnostic,
    pub spot: Spot,
    /// The places of `diagnostic.also`, in the same order.
    pub also: Vec<Spot>,
}

/// Counts something in words: `1 problem`, `2 problems`.
pub fn counted(n: usize, singular: &str) -> String {
    if n == 1 { format!("1 {singular}") } else { format!("{n} {singular}s") }
}

/// Returns text with control characters and text-direction overrides made visible.
///
/// A remark could otherwise move the cursor of a terminal or turn a line around on the page.
pub fn visible(text: &str) -> String {
    let shown = |c: char| if hidden::is_hidden(c) { format!("\\u{{{:x}}}", c as u32) } else { c.to_string() };
    text.chars().map(shown).collect()
}

/// Returns text on one line: as [`visible`], with every line break and tab as a blank.
///
/// A remark of several lines could otherwise stand in a list like entries of its own.
pub fn one_line(text: &str) -> String {
    let flat: String =
        text.chars().map(|c| if matches!(c, '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}') { ' ' } else { c }).collect();
    visible(&flat)
}
