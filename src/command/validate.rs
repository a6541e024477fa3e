//! `pinindex validate`: every problem of every file, and what good records say about machines.

use super::Context;
use super::opened::{Opened, Which, open, text_of};
use super::paths;
use super::show::{self, Format};
use crate::audit;
use crate::cli::Outcome;
use crate::diagnostic::{Located, Severity, counted, one_line};
use crate::logbook::{self, Trouble, parse_record_path};
use crate::record::{Date, Moment};
use std::io::Write;
use std::path::PathBuf;

/// Check every file of the logbook and show all problems, and the findings of the last days
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex validate\n  pinindex validate records/2026/11 --findings all\n\n\
    A problem is something wrong with a record; it sets exit status 1.\n\
    A finding is something a good record says about a machine or about the work.")]
pub struct Arguments {
    /// Only these files and folders of the logbook
    paths: Vec<PathBuf>,

    /// Judge the files of this commit, tag or branch instead of those in the folder
    #[arg(long, value_name = "REV")]
    commit: Option<String>,

    /// How to show them
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,

    /// Which findings to show [default: recent for human, all otherwise or when paths are given]
    #[arg(long, value_enum)]
    findings: Option<Findings>,
}

/// Which findings are shown; all are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Findings {
    /// Those of the last seven days
    Recent,
    /// All of them
    All,
    /// None
    None,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let which = arguments.commit.as_deref().map_or(Which::WorkingFiles, Which::Commit);
    let mut opened = open(context, which)?;
    if arguments.commit.is_none() && arguments.paths.is_empty() {
        let odd = logbook::odd_commits(&opened.root)?;
        opened.diagnostics.extend(odd.iter().filter_map(audit::commit_not_readable));
    }
    let wanted: Vec<String> =
        arguments.paths.iter().map(|path| paths::in_logbook(context, &opened.root, path)).collect();
    refuse_elsewhere(&opened, &wanted)?;
    let located: Vec<Located> = opened
        .located(opened.diagnostics.clone())
        .into_iter()
        .filter(|l| wanted.is_empty() || wanted.iter().any(|path| paths::within(&l.spot.path, path)))
        .collect();

    let findings = arguments.findings.unwrap_or(match arguments.format {
        Format::Human if wanted.is_empty() => Findings::Recent,
        _ => Findings::All,
    });
    let zone = opened.contents.site.as_ref().map(|site| site.time_zone);
    let today = zone.map_or(context.now().0.date_naive(), |zone| context.now().date_in(zone));
    let since = Date(today - chrono::Days::new(7));
    let shown: Vec<Located> = located
        .iter()
        .filter(|l| l.diagnostic.severity == Severity::Problem || is_shown(l, findings, since))
        .cloned()
        .collect();
    let mut out = anstream::stdout().lock();
    show::diagnostics(&mut out, arguments.format, &shown, &|path| text_of(&opened.snapshot, path))?;
    if arguments.format == Format::Human {
        if let Some(commit) = opened.snapshot.commit().filter(|_| arguments.commit.is_some()) {
            let made = opened.at_site(Moment(commit.time)).short();
            let line = format!("commit {} of {made}, made by {}", commit.short(), commit.committer_name);
            writeln!(out, "{}", one_line(&line))?;
        }
        let records = opened.snapshot.files.keys().filter(|p| p.starts_with("records/"));
        let records = records.filter(|p| wanted.is_empty() || wanted.iter().any(|w| paths::within(p, w))).count();
        writeln!(out, "{}", show::tally(&located, records))?;
        let hidden = located.len() - shown.len();
        if hidden > 0 {
            writeln!(
                out,
                "{} not shown; `pinindex validate --findings all` shows all of them",
                counted(hidden, "finding")
            )?;
        }
    }
    let problems = located.iter().any(|l| l.diagnostic.severity == Severity::Problem);
    Ok(if problems { Outcome::Problems } else { Outcome::Clean })
}

/// Fails for a path at which the logbook has nothing: that no problem is told of it would say that it is well.
fn refuse_elsewhere(opened: &Opened, wanted: &[String]) -> anyhow::Result<()> {
    let is_there = |path: &String| {
        let told = opened.diagnostics.iter().map(|d| &d.place.path);
        path.is_empty()
            || logbook::FOLDERS.contains(&path.as_str())
            || opened.snapshot.files.keys().chain(told).any(|file| paths::within(file, path))
    };
    match wanted.iter().find(|path| !is_there(path)) {
        None => Ok(()),
        Some(path) => Err(Trouble::new(
            format!("there is no file or folder `{path}` in the logbook"),
            "look at the name; `pinindex validate` without a path looks at everything",
        )
        .into()),
    }
}

/// A finding about something that is not a record, such as a service that is due, is always recent.
fn is_shown(located: &Located, findings: Findings, since: Date) -> bool {
    match findings {
        Findings::All => true,
        Findings::None => false,
        Findings::Recent => parse_record_path(&located.spot.path).is_none_or(|name| Date(name.date) >= since),
    }
}
