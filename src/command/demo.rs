//! `pinindex demo`: the logbook of an invented small hospital, with its history and a report.

use super::Context;
use super::init::{HOUSEKEEPING, make_empty};
use super::opened::{Which, open_as_of_commit};
use super::progress;
use super::report;
use super::seal::Sealing;
use super::show;
use super::taking_in::message;
use crate::cli::Outcome;
use crate::contents;
use crate::demo::{self, Plan, Settings};
use crate::logbook::{self, Addition, Author, Durability, FileContent, Snapshot, Source, Trouble};
use crate::record::{Date, Moment, write};
use crate::seal::Leaves;
use anyhow::Context as _;
use chrono::Datelike;
use std::io::Write;
use std::path::PathBuf;

/// Make the logbook of an invented small hospital, with its history and the report of its last full month
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex demo demo-logbook\n  pinindex demo demo-logbook --machines 12 --months 24 --seed 7"
)]
pub struct Arguments {
    /// The folder of the new logbook; it must be empty or not there yet
    folder: PathBuf,

    /// How many machines the hospital has
    #[arg(long, default_value_t = 6, value_parser = clap::value_parser!(u16).range(1..=40))]
    machines: u16,

    /// How many months the logbook covers, up to today
    #[arg(long, default_value_t = 14, value_parser = clap::value_parser!(u16).range(1..=60))]
    months: u16,

    /// Another number makes another hospital; the same number and day make the same
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

/// The years in which the demo's hospital can be.
const YEARS: std::ops::RangeInclusive<i32> = 1990..=2199;

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.folder().join(&arguments.folder);
    let year = context.now().date_in(demo::ZONE).year();
    if !YEARS.contains(&year) {
        return Err(Trouble::new(
            format!("the demo knows no hospital in the year {year}"),
            format!("give a moment between {} and {} with --now", YEARS.start(), YEARS.end()),
        )
        .into());
    }
    make_empty(&root)?;
    let mut plan = demo::plan(&Settings {
        machines: usize::from(arguments.machines),
        months: u32::from(arguments.months),
        seed: arguments.seed,
        last_day: Date(context.now().date_in(demo::ZONE)),
    });
    // The plan goes on until noon of today; what has not happened yet is not recorded yet.
    plan.records.retain(|planned| planned.record.common.recorded <= context.now());
    plan.seals.retain(|planned| planned.sealed <= context.now());
    write_logbook(&root, &plan)?;

    let named = Context::new(Some(root.clone()), context.given_now())?;
    let mut opened = open_as_of_commit(&named, Which::Committed)?;
    let tally = show::tally(&opened.located(opened.diagnostics.clone()), plan.records.len());
    let summary = report::build(&named, &mut opened)?;
    let lines = report::write(&summary, &summary.about.period, &logbook::reports_folder(&root)?, &report::ALL, None)?;

    let mut out = anstream::stdout().lock();
    writeln!(out, "{}: an invented hospital; its people, machines and records are invented too.", summary.about.site)?;
    writeln!(out, "{tally}\n")?;
    writeln!(out, "Report of {}:", summary.about.period_words)?;
    for line in lines {
        writeln!(out, "{line}")?;
    }
    let folder = pasted(&arguments.folder.display().to_string());
    // As it was typed or as `cargo run` found it, so that the lines below can be pasted.
    let program = pasted(&std::env::args().next().unwrap_or_else(|| "pinindex".to_owned()));
    let report = format!("reports/{}", summary.about.period);
    let open = if root.join(format!("{report}.pdf")).exists() { "pdf or .html" } else { "html" };
    writeln!(out, "\nOpen {folder}/{report}.{open}. Then try:")?;
    writeln!(out, "  {program} check theatre-1 --logbook {folder}")?;
    writeln!(out, "  {program} page theatre-1 --logbook {folder}")?;
    writeln!(out, "  {program} ready --logbook {folder}")?;
    writeln!(out, "  {program} history theatre-1 --logbook {folder}")?;
    writeln!(out, "  {program} validate --logbook {folder}")?;
    Ok(Outcome::Clean)
}

/// Returns a word as it can be pasted into a shell.
fn pasted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "/._-+:~\\".contains(c);
    if word.chars().all(plain) { word.to_owned() } else { format!("'{}'", word.replace('\'', "'\\''")) }
}

/// Commits the plan: the files in one commit, then every record in its own, by its recorder and at its time, and between
/// them every seal at its time.
fn write_logbook(root: &std::path::Path, plan: &Plan) -> anyhow::Result<()> {
    logbook::create(root)?;
    let files: Vec<(String, String)> = plan
        .files
        .iter()
        .cloned()
        .chain(HOUSEKEEPING.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())))
        .collect();
    let snapshot = Snapshot {
        files: files
            .iter()
            .filter(|(path, _)| logbook::belongs(path))
            .map(|(path, text)| (path.clone(), FileContent::Bytes(text.as_bytes().into())))
            .collect(),
        source: Source::WorkingFiles { head: None, uncommitted: false },
    };
    let (contents, _) = contents::read(&snapshot, &mut |_| {});
    let first = plan.records.first().map(|r| r.record.common.recorded).context("the demo has no records")?;
    let author = |id: &str, time: Moment| -> anyhow::Result<Author> {
        let person = contents.people.get(id).with_context(|| format!("`{id}` is not among the demo's people"))?;
        Ok(Author { name: person.name.clone(), email: person.email.clone(), time: time.0 })
    };
    // Whoever looks after the machines set the logbook up, an hour before its first record.
    let starter = contents
        .people
        .iter()
        .find(|(_, person)| person.role == crate::register::Role::Biomed)
        .map(|(id, _)| id.clone())
        .context("the demo has nobody to set the logbook up")?;
    let set_up = author(&starter, Moment(first.0 - chrono::Duration::hours(1)))?;
    let mut turn = super::turn(root)?;
    let mut tip = turn.commit_all(&files, &set_up, &set_up, "Start the logbook\n")?;
    let mut leaves = Leaves::default();
    for (path, text) in files.iter().filter(|(path, _)| logbook::belongs(path)) {
        leaves.add(path, text.as_bytes());
    }

    let mut bar = progress::begin("committing records:", plan.records.len());
    let mut done = 0;
    let mut before = None;
    let ends = plan.seals.iter().map(Some).chain([None]);
    for seal in ends {
        let until = seal.map_or(plan.records.len(), |seal| {
            plan.records.partition_point(|planned| planned.record.common.recorded <= seal.sealed)
        });
        let mut additions = Vec::new();
        for planned in plan.records.get(done..until).unwrap_or_default() {
            let recorder = author(planned.record.common.recorder(), planned.record.common.recorded)?;
            let filed = contents::Filed { path: planned.path.clone(), record: planned.record.clone() };
            let text = write::text(&planned.record)?;
            leaves.add(&planned.path, text.as_bytes());
            additions.push(Addition {
                path: planned.path.clone(),
                text,
                author: recorder.clone(),
                committer: recorder,
                message: message(&contents, &filed),
            });
        }
        // Invented records can be made again, so nothing waits for the disk.
        let commits = turn.commit_each(&additions, Durability::Fast, &mut |n| bar.done(done + n))?;
        tip = commits.into_iter().next_back().unwrap_or(tip);
        done = until.max(done);
        if let Some(seal) = seal {
            let person = author(&seal.by, seal.sealed)?;
            let sealing = Sealing { month: seal.month, moment: seal.sealed, id: &seal.by, person: &person };
            let put = sealing.put(&mut turn, &mut leaves, &tip, before.as_ref(), Durability::Fast)?;
            tip = put.commit;
            before = Some(put.numbered);
        }
    }
    bar.end();
    Ok(())
}
