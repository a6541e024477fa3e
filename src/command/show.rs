//! Writing diagnostics to standard output in the form that was asked for.

use crate::diagnostic::{Located, Severity, counted, human, json, short};
use std::io::Write;

/// The forms in which diagnostics are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// Excerpt, caret, limit and next step
    Human,
    /// One line each
    Short,
    /// One JSON object a line
    Json,
}

/// The forms in which machines and their histories are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Lines {
    /// For people
    Human,
    /// One JSON object a line, for scripts
    Json,
}

/// Writes diagnostics in one form.
pub fn diagnostics(
    out: &mut dyn Write,
    format: Format,
    located: &[Located],
    text: human::Text<'_>,
) -> std::io::Result<()> {
    for one in located {
        match format {
            // The stream drops the colour codes where nobody can see colours.
            Format::Human => writeln!(out, "{}", human::render(one, text, true))?,
            Format::Short => writeln!(out, "{}", short::render(one))?,
            Format::Json => writeln!(out, "{}", json::render(one))?,
        }
    }
    Ok(())
}

/// Writes a line for people; a reader of JSON lines gets none.
pub fn tell(out: &mut dyn Write, format: Format, text: &str) -> std::io::Result<()> {
    if format == Format::Json { Ok(()) } else { writeln!(out, "{text}") }
}

/// Returns how many faults and findings there are, in words.
pub fn tally(located: &[Located], records: usize) -> String {
    let faults = located.iter().filter(|l| l.diagnostic.severity == Severity::Fault).count();
    let findings = located.len() - faults;
    let faults = if faults == 0 { "no faults".to_owned() } else { counted(faults, "fault") };
    format!("{}: {faults}, {}", counted(records, "record"), counted(findings, "finding"))
}
