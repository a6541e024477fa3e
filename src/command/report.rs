//! `pinindex report`: the monthly summary, in every form that was asked for.

use super::Context;
use super::opened::{Opened, Which, open_as_of_commit};
use super::sealed::Sealed;
use super::typst::{Typeset, typeset};
use crate::cli::Outcome;
use crate::diagnostic::{counted, one_line};
use crate::logbook::{self, Trouble};
use crate::record::{Date, Moment};
use crate::report::{self, Also, Basis, BuiltFrom, Period, Report};
use crate::seal::{Month, SealInHistory};
use anyhow::Context as _;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Make the monthly summary as PDF, HTML, Markdown, CSV and JSON
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex report 2026-10\n  pinindex report 2026-Q3 --format html,csv --output binder\n\n\
    The report is built from the last commit, or from the one named with --commit.\n\
    Of a period that is over, the same commit gives the same report. PDF needs the typst program on PATH."
)]
pub struct Arguments {
    #[command(flatten)]
    asked: Asked,

    /// These figures as well, which are not in every report
    #[arg(long, value_enum, value_delimiter = ',', value_name = "FIGURE")]
    also: Vec<Also>,
}

/// What every paper of a period is asked with.
#[derive(clap::Args, Debug)]
#[group(skip)]
pub struct Asked {
    /// A month (2026-10), a quarter (2026-Q3), a year (2026), a day (2026-10-15) or a span (2026-02..2026-07)
    /// [default: the last full month]
    #[arg(value_name = "PERIOD")]
    period: Option<String>,

    /// The folder to write to [default: reports/ in the logbook]
    #[arg(long, value_name = "DIR")]
    output: Option<PathBuf>,

    /// Only these forms [default: all that can be made]
    #[arg(long, value_enum, value_delimiter = ',')]
    format: Vec<Format>,

    /// Build from this commit, tag or branch
    #[arg(long, value_name = "REV")]
    commit: Option<String>,

    /// A folder with further fonts for the PDF, for names in other scripts
    #[arg(long, value_name = "DIR")]
    fonts: Option<PathBuf>,
}

/// The forms of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For the binder; needs the typst program
    Pdf,
    /// One file for a browser, with a print style
    Html,
    /// Markdown
    Md,
    /// The figures, for a spreadsheet
    Csv,
    /// Everything, for scripts
    Json,
}

/// All forms, in the order in which they are named.
pub const ALL: [Format; 5] = [Format::Pdf, Format::Html, Format::Md, Format::Csv, Format::Json];

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    make(context, &arguments.asked, "", |basis| report::build(&Basis { also: &arguments.also, ..basis }))
}

/// Makes a paper of a period: from a basis to a report, written under the period's name with something after it.
pub fn make(
    context: &Context,
    arguments: &Asked,
    name_ends: &str,
    paper: impl Fn(Basis<'_>) -> Report,
) -> anyhow::Result<Outcome> {
    // Before the logbook is read: a slip of the pen is told at once.
    let period = arguments.period.as_deref().map(asked_period).transpose()?;
    let which = arguments.commit.as_deref().map_or(Which::Committed, Which::Commit);
    let mut opened = open_as_of_commit(context, which)?;
    if arguments.commit.is_none() {
        opened.tell_uncounted()?;
    }
    let report = on_basis(context, &mut opened, period, paper)?;
    let folder = match &arguments.output {
        Some(folder) => context.folder().join(folder),
        None => logbook::reports_folder(&opened.root)?,
    };
    let fonts = arguments.fonts.as_ref().map(|fonts| context.folder().join(fonts));
    let formats = if arguments.format.is_empty() { &ALL[..] } else { &arguments.format };
    let name = format!("{}{name_ends}", report.about.period);
    let lines = write(&report, &name, &folder, formats, fonts.as_deref())?;
    // A PDF that was asked for by name and not made is work that could not be done; the other forms are there.
    let missing = arguments.format.contains(&Format::Pdf) && lines.iter().any(|line| line.starts_with(NO_PDF));
    let mut out = anstream::stdout().lock();
    for line in lines {
        writeln!(out, "{}", one_line(&line))?;
    }
    if missing {
        return Err(Trouble::new(
            "the PDF that was asked for could not be made",
            "see the line above, or leave `pdf` out",
        )
        .into());
    }
    let left_out = report.about.records_left_out;
    if left_out == 0 {
        return Ok(Outcome::Clean);
    }
    writeln!(
        anstream::stderr().lock(),
        "{} with problems left out; the report names them, `pinindex validate` says what to do",
        counted(left_out, "record")
    )?;
    Ok(Outcome::Problems)
}

/// Counts and words the report of the last full month.
pub fn build(context: &Context, opened: &mut Opened) -> anyhow::Result<Report> {
    on_basis(context, opened, None, |basis| report::build(&basis))
}

fn asked_period(text: &str) -> Result<Period, Trouble> {
    Period::named(text).ok_or_else(|| {
        Trouble::new(
            format!("`{text}` is not a period"),
            "write a month, a quarter, a year, a day, or a first and a last one: `pinindex report 2026-10`, `2026-Q3`, \
             `2026`, `2026-10-15`, `2026-02..2026-07`, `2026-02-10..2026-03-09`",
        )
    })
}

/// Finds what a period is counted from, and makes a paper of it.
///
/// The clock, or the moment on the command line, only says which month is the last full one and whether a period is
/// over. A period that is over is looked back on from its end, one that is not from the moment of the commit.
fn on_basis(
    context: &Context,
    opened: &mut Opened,
    period: Option<Period>,
    paper: impl Fn(Basis<'_>) -> Report,
) -> anyhow::Result<Report> {
    opened.solid_ground()?;
    let left_out = opened.without_faulty();
    let site = opened.site()?;
    let built = opened.commit_moment();
    let period = match period {
        Some(period) => period,
        None => last_full_month(context.now(), site)?,
    };
    // A moment on the command line before that of the commit asks for the period as it stood then.
    let latest =
        built.map(|built| opened.latest.filter(|latest| built < *latest).map_or(built, |l| l.min(context.now())));
    let records_end = match (latest, context.given_now()) {
        (Some(latest), Some(given)) => latest.min(given),
        (Some(latest), None) => latest,
        (None, _) => context.now(),
    };
    let as_of = Basis::as_of(site, period, context.now(), records_end);
    if Date(as_of.date_in(site.time_zone)) < period.first {
        return Err(Trouble::new(
            format!("{} has not begun in this logbook's history", period.words()),
            "ask for an earlier period",
        )
        .into());
    }
    let first = opened.contents.counting().map(|filed| Date(filed.record.when().date_in(site.time_zone))).min();
    if let Some(first) = first.filter(|first| period.after <= *first) {
        return Err(Trouble::new(
            format!("{} lies before the logbook's first record, which is of {first}", period.words()),
            "ask for a later period",
        )
        .into());
    }
    let built_from = opened
        .snapshot
        .commit()
        .filter(|_| built.is_some())
        .map(|commit| BuiltFrom { commit: commit.id.clone(), time: Moment(commit.time) });
    let seals = seals(opened, period)?;
    Ok(paper(Basis {
        site,
        contents: &opened.contents,
        lives: &opened.lives,
        period,
        as_of,
        built_from,
        left_out: &left_out,
        seals: &seals,
        also: &[],
    }))
}

/// Returns the seals of a period's months, held against the history up to the commit that is reported.
fn seals(opened: &Opened, period: Period) -> anyhow::Result<Vec<SealInHistory>> {
    let months = Month::of(period.first.0).through(Month::of(period.last().0));
    let sealed = months.iter().filter_map(|month| opened.contents.seals.get(month));
    if sealed.clone().next().is_none() {
        return Ok(Vec::new());
    }
    match opened.snapshot.commit().filter(|_| opened.commit_moment().is_some()) {
        Some(commit) => Sealed::open(&opened.root, &commit.id)?.of(&months, &opened.contents),
        None => Ok(sealed.cloned().map(SealInHistory::without_history).collect()),
    }
}

fn last_full_month(moment: Moment, site: &crate::register::Site) -> anyhow::Result<Period> {
    Period::month_of(Date(moment.date_in(site.time_zone)))
        .and_then(Period::month_before)
        .context("there is no month before this one")
}

/// How the line begins that says why there is no PDF.
const NO_PDF: &str = "no PDF";

/// Writes a report in the forms asked for under a name, and returns a line for each: its path, or why there is none.
///
/// Nothing is printed before everything is written: a reader that closes the pipe must not keep a form away.
pub fn write(
    report: &Report,
    name: &str,
    folder: &Path,
    formats: &[Format],
    fonts: Option<&Path>,
) -> anyhow::Result<Vec<String>> {
    std::fs::create_dir_all(folder).with_context(|| format!("folder `{}` cannot be made", folder.display()))?;
    let mut lines = Vec::new();
    for format in formats {
        let (end, content) = match format {
            Format::Html => ("html", report::html::render(report).into_bytes()),
            Format::Md => ("md", report::markdown::render(report).into_bytes()),
            Format::Csv => ("csv", report::figures::csv(report).into_bytes()),
            Format::Json => ("json", report::figures::json(report).into_bytes()),
            Format::Pdf => match typeset(|extra| report::typeset::setting(report, extra), fonts)? {
                Typeset::Pdf(pdf) => ("pdf", pdf),
                other => {
                    lines.push(format!("{NO_PDF}: {}", other.why_not().unwrap_or_default()));
                    continue;
                }
            },
        };
        let path = folder.join(format!("{name}.{end}"));
        logbook::write_whole(&path, &content)?;
        lines.push(path.display().to_string());
    }
    Ok(lines)
}
