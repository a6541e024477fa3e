//! Writing diagnostics to standard output in the form that was asked for.

use super::terminal;
use crate::diagnostic::{Located, Severity, counted, human, json, one_line, short};
use std::collections::BTreeMap;
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

/// How many diagnostics of one file are drawn for people; a file with more is broken as a whole.
const DRAWN: usize = 25;

/// Writes diagnostics in one form.
pub fn diagnostics(
    out: &mut dyn Write,
    format: Format,
    located: &[Located],
    text: human::Text<'_>,
) -> std::io::Result<()> {
    let mut drawn: BTreeMap<&str, usize> = BTreeMap::new();
    for one in located {
        match format {
            Format::Human => {
                let count = drawn.entry(one.spot.path.as_str()).or_default();
                *count += 1;
                // The stream drops the colour codes where nobody can see colours.
                if *count <= DRAWN {
                    writeln!(out, "{}", human::render(one, text, true))?;
                }
            }
            Format::Short => writeln!(out, "{}", short::render(one))?,
            Format::Json => writeln!(out, "{}", json::render(one))?,
        }
    }
    for (path, count) in drawn.iter().filter(|(_, count)| **count > DRAWN) {
        writeln!(out, "{} more in {}, shown by `--format short`\n", count - DRAWN, one_line(path))?;
    }
    Ok(())
}

/// Writes a line for people, broken between words on a terminal; a reader of JSON lines gets none.
pub fn tell(out: &mut dyn Write, format: Format, text: &str) -> std::io::Result<()> {
    if format == Format::Json {
        return Ok(());
    }
    for line in terminal::as_shown(&one_line(text)) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}

/// Returns how many problems and findings there are, in words.
pub fn tally(located: &[Located], records: usize) -> String {
    let problems = located.iter().filter(|l| l.diagnostic.severity == Severity::Problem).count();
    let findings = located.len() - problems;
    let problems = if problems == 0 { "no problems".to_owned() } else { counted(problems, "problem") };
    format!("{}: {problems}, {}", counted(records, "record"), counted(findings, "finding"))
}
