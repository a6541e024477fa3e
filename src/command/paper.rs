//! `pinindex paper`: the blank form of a check, for a day or for a week.

use super::Context;
use super::known_machine;
use super::opened::{Which, open};
use super::typst::{Typeset, typeset};
use crate::bedside::paper::{self, Made, Paper, Span, Week};
use crate::cli::Outcome;
use crate::diagnostic::one_line;
use crate::logbook::{self, Source, Trouble};
use crate::record::{Date, Moment};
use anyhow::Context as _;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Make the blank form of a check to fill in by hand, as PDF and HTML
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex paper theatre-1\n  pinindex paper theatre-1 --week 2026-W48 --output sheets\n\n\
    The steps stand in the order in which `pinindex check --from-paper` asks for them, with their\n\
    numbers. The code on the sheet tells which items and limits were in force when it was made.\n\
    PDF needs the typst program on PATH; the HTML page prints on the same paper."
)]
pub struct Arguments {
    /// The machine, by its id
    machine: String,

    /// The procedure [default: the one before the first case of the day]
    #[arg(long, value_name = "ID")]
    procedure: Option<String>,

    /// One sheet for a week, such as 2026-W48; without a week, its dates are left open
    #[arg(long, value_name = "WEEK", num_args = 0..=1, conflicts_with = "day")]
    week: Option<Option<String>>,

    /// One sheet for a day, with its date printed if one is given [default]
    #[arg(long, value_name = "DATE", num_args = 0..=1)]
    day: Option<Option<String>>,

    /// Only these forms [default: all that can be made]
    #[arg(long, value_enum, value_delimiter = ',')]
    format: Vec<Format>,

    /// The folder to write to [default: reports/ in the logbook]
    #[arg(long, value_name = "DIR")]
    output: Option<PathBuf>,

    /// A folder with further fonts for the PDF, for names in other scripts
    #[arg(long, value_name = "DIR")]
    fonts: Option<PathBuf>,
}

/// The forms of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// To print; needs the typst program
    Pdf,
    /// One file for a browser, which prints it
    Html,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    // Before the logbook is read: a slip of the pen is told at once.
    let span = span(&arguments)?;
    let opened = open(context, Which::Committed)?;
    opened.tell_uncounted()?;
    opened.solid_ground()?;
    let site = opened.site()?;
    known_machine(&opened.contents, &arguments.machine)?;
    let today = opened.contents.day(context.now());
    let first = span.ends().map_or(today, |(first, _)| first);
    let procedure = &super::procedure_in_force(&opened.contents, arguments.procedure.as_deref(), first)?.procedure;
    let (commit, made) = match &opened.snapshot.source {
        Source::Commit(commit) => (Some(commit.id.as_str()), Moment(commit.time)),
        Source::WorkingFiles { .. } => (None, context.now()),
    };
    let form = paper::build(&Made {
        site,
        contents: &opened.contents,
        machine: &arguments.machine,
        procedure,
        span,
        today,
        commit,
        made,
    });
    let form = form.with_context(|| format!("there is no sheet of `{procedure}` for `{}`", arguments.machine))?;
    let folder = match &arguments.output {
        Some(folder) => context.folder().join(folder),
        None => logbook::reports_folder(&opened.root)?,
    };
    let name = format!("{}-{procedure}-{}", arguments.machine, span.name());
    let fonts = arguments.fonts.as_ref().map(|fonts| context.folder().join(fonts));
    write(&form, &folder, &name, &arguments.format, fonts.as_deref())
}

/// Writes the sheet in the forms asked for, and says where; a PDF asked for by name that cannot be made is a failure.
fn write(form: &Paper, folder: &Path, name: &str, asked: &[Format], fonts: Option<&Path>) -> anyhow::Result<Outcome> {
    std::fs::create_dir_all(folder).with_context(|| format!("folder `{}` cannot be made", folder.display()))?;
    let formats = if asked.is_empty() { &[Format::Pdf, Format::Html][..] } else { asked };
    let mut lines = Vec::new();
    let mut missing = false;
    for format in formats {
        let (end, content) = match format {
            Format::Html => ("html", paper::html::render(form).into_bytes()),
            Format::Pdf => match typeset(|extra| paper::typeset::setting(form, extra), fonts)? {
                Typeset::Pdf(pdf) => ("pdf", pdf),
                other => {
                    missing = asked.contains(&Format::Pdf);
                    lines.push(format!("no PDF: {}", other.why_not().unwrap_or_default()));
                    continue;
                }
            },
        };
        let path = folder.join(format!("{name}.{end}"));
        logbook::write_whole(&path, &content)?;
        lines.push(path.display().to_string());
    }
    lines.extend(form.notices.iter().cloned());
    let mut out = anstream::stdout().lock();
    for line in lines {
        writeln!(out, "{}", one_line(&line))?;
    }
    if missing {
        let help = "see the line above, or leave `pdf` out";
        return Err(Trouble::new("the PDF that was asked for could not be made", help).into());
    }
    Ok(Outcome::Clean)
}

/// Returns what the sheet is for.
fn span(arguments: &Arguments) -> Result<Span, Trouble> {
    match (&arguments.week, &arguments.day) {
        (Some(Some(week)), _) => Week::named(week).map(|week| Span::Week(Some(week))).ok_or_else(|| {
            Trouble::new(format!("`{week}` is no week"), "write year and week, such as `2026-W48`, or leave it out")
        }),
        (Some(None), _) => Ok(Span::Week(None)),
        (None, Some(Some(day))) => day
            .parse::<Date>()
            .map(|day| Span::Day(Some(day)))
            .map_err(|why| Trouble::new(format!("`{day}` is {why}"), "write year, month and day, or leave it out")),
        (None, _) => Ok(Span::Day(None)),
    }
}
