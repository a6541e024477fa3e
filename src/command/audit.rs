//! `pinindex audit`: what the history did to every record, and everything in it that should not be.

mod brought;

use super::Context;
use super::altered;
use super::opened::{locate, text_of};
use super::record::no_history;
use super::sealed;
use super::show::{self, Format, tell};
use super::taking_in::message;
use crate::audit::{self, Audit, Evidence, KeptChange, RecordAccount, SignatureStanding, Since};
use crate::cli::Outcome;
use crate::contents::{self, Contents};
use crate::diagnostic::{Severity, counted, one_line};
use crate::logbook::{self, Snapshot, Step, Trail, Trouble, trail};
use crate::record::moment::{spoken, start_of_day};
use crate::record::{Date, Moment};
use crate::signature::WITHOUT_KEYS;
use anyhow::Context as _;
use serde_json::json;
use std::io::Write;
use std::path::PathBuf;

/// So many digits name a commit beyond doubt.
const SHORTEST_COMMIT: usize = 10;

/// Say how each record came into the history, and everything done to it that should not be
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex audit\n  pinindex audit --since 2026-11-01\n  pinindex audit --list --format json\n  \
    pinindex audit --seal \"a372 3fe9 b504 391c\"\n  pinindex audit --proof RECORD --output proof.json\n\n\
    Reads the whole history, from its first commit. What is told: a record edited, renamed or taken away after its\n\
    commit, lost in a merge, brought twice, or left outside the history; people, limits and the like that a merge\n\
    took back are changes by who merged; a commit dated before the one it stands on; an author or a\n\
    committer who is not among the people, or not who wrote the record down; a record committed late, or damaged; a\n\
    revision changed while it was in force; a verdict that turned; a seal that does not hold; a history that was\n\
    rewritten; a signature that is missing or not of who made the commit; a key or an address taken away, brought back\n\
    or given to another; names of people and machines, and what the site counts by, changed under the records. Exit\n\
    status 1 says that there is any problem."
)]
pub struct Arguments {
    /// Only what came in after this commit, or on this day or after it
    #[arg(long, value_name = "COMMIT|DATE")]
    since: Option<String>,

    /// List every record and every change of another file [default: only with --since]
    #[arg(long)]
    list: bool,

    #[command(flatten)]
    brought: brought::Brought,

    /// Where the proof is written to [default: standard output]
    #[arg(long, value_name = "FILE", requires = "proof")]
    output: Option<PathBuf>,

    /// How to show it
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// Runs the command.
pub fn run(context: &Context, arguments: &Arguments) -> anyhow::Result<Outcome> {
    let root = context.find_logbook()?;
    if !logbook::has_history(&root)? {
        return Err(no_history().into());
    }
    let snapshot = logbook::read_commit(&root, "HEAD")?;
    let (contents, _) = contents::read(&snapshot, &mut |_| {});
    if arguments.brought.is_any() {
        let read = (&snapshot, &contents);
        return arguments.brought.run(context, &root, read, arguments.output.as_deref(), arguments.format);
    }
    let trail = trail(&root)?;
    let subject = |filed: &contents::Filed| message(&contents, filed).lines().next().unwrap_or_default().to_owned();
    let (made_here, beside) = (logbook::made_here(&root)?, logbook::records_outside(&root)?);
    let ids: Vec<&str> = trail.steps.iter().map(|step| step.commit.id.as_str()).collect();
    let signed = logbook::signed_commits(&root, &ids)?;
    let evidence = Evidence {
        trail: &trail,
        made_here: &made_here,
        beside: &beside,
        signed: &signed,
        contents: &contents,
        subject: &subject,
    };
    let since = since(&contents, &trail, arguments.since.as_deref())?;
    let mut audit = audit::judge(&evidence, since);
    audit.diagnostics.extend(altered::in_folder(&root, logbook::differing_files(&root)?)?);
    audit.diagnostics.extend(altered::left_out(&logbook::left_out_files(&root)?));
    let earlier = last_before(&trail, since).map(|step| step.commit.id.as_str());
    audit.diagnostics.extend(sealed::problems_since(&root, (&snapshot, &contents), earlier)?);

    let located = locate(&snapshot, std::mem::take(&mut audit.diagnostics));
    let mut out = anstream::stdout().lock();
    if arguments.format == Format::Json {
        write_json(&mut out, &trail, &audit)?;
    }
    show::diagnostics(&mut out, arguments.format, &located, &|path| text_of(&snapshot, path))?;
    match arguments.format {
        Format::Human => {
            let listed = arguments.list || arguments.since.is_some();
            write_lines(&mut out, &snapshot, &contents, &trail, &audit, listed)?;
        }
        Format::Short => write_last(&mut out, &snapshot, &contents, &trail)?,
        Format::Json => {
            let last = trail.steps.last().map(|step| &step.commit);
            let line = json!({
                "last-commit": last.map(|last| &last.id),
                "committed": last.map(|last| Moment(last.time)),
                "commits": trail.steps.len(),
            });
            writeln!(out, "{line}")?;
        }
    }
    let problems = located.iter().filter(|l| l.diagnostic.severity == Severity::Problem).count();
    tell(&mut out, arguments.format, &show::tally(&located, audit.records.len()))?;
    Ok(if problems > 0 { Outcome::Problems } else { Outcome::Clean })
}

/// Returns from where on things are told.
fn since(contents: &Contents, trail: &Trail, named: Option<&str>) -> anyhow::Result<Since> {
    let Some(named) = named else { return Ok(Since::Beginning) };
    if let Ok(Date(day)) = named.parse::<Date>() {
        return Ok(Since::Moment(match &contents.site {
            Some(site) => start_of_day(day, site.time_zone),
            None => Moment(day.and_time(chrono::NaiveTime::MIN).and_utc().fixed_offset()),
        }));
    }
    let is_named = |step: &Step| named.len() >= SHORTEST_COMMIT && step.commit.id.starts_with(named);
    let mut found = trail.steps.iter().enumerate().filter(|(_, step)| is_named(step));
    match (found.next(), found.next()) {
        (Some((at, _)), None) => Ok(Since::Step(at)),
        _ => Err(Trouble::new(
            format!("`{named}` is neither a day nor a commit of this history"),
            "write a day (2026-11-01) or the first digits of a commit, ten or more; if it is a commit that was written \
             down before, the history is not the one it was",
        )
        .into()),
    }
}

/// Returns the last step of what is known already; nothing when everything is told.
fn last_before(trail: &Trail, since: Since) -> Option<&Step> {
    match since {
        Since::Beginning => None,
        Since::Step(at) => trail.steps.get(at),
        Since::Moment(moment) => trail.steps.iter().take_while(|step| Moment(step.commit.time) < moment).last(),
    }
}

fn write_json(out: &mut dyn Write, trail: &Trail, audit: &Audit) -> anyhow::Result<()> {
    for record in &audit.records {
        let step = step(trail, record.step)?;
        let says = record.says.as_ref();
        let signature = signature(audit, record);
        let key = match signature {
            SignatureStanding::Good(key) => Some(key.to_string()),
            SignatureStanding::NotAsked | SignatureStanding::Not(_) => None,
        };
        let line = json!({
            "record": record.path,
            "commit": step.commit.id,
            "author": step.commit.author_name,
            "committer": step.commit.committer_name,
            "committed": Moment(step.commit.time),
            "recorder": says.map(|says| &says.recorder),
            "done": says.map(|says| says.done),
            "recorded": says.map(|says| says.recorded),
            "seconds-until-recorded": record.until_recorded(),
            "seconds-until-committed": record.until_committed(step),
            "signature": signature.word(),
            "key": key,
        });
        writeln!(out, "{line}")?;
    }
    for change in &audit.kept {
        let step = step(trail, change.step)?;
        let line = json!({
            "file": change.path,
            "how": change.how,
            "commit": step.commit.id,
            "author": step.commit.author_name,
            "committer": step.commit.committer_name,
            "committed": Moment(step.commit.time),
        });
        writeln!(out, "{line}")?;
    }
    Ok(())
}

/// Returns how a record stands with its signature: of several commits that brought it, the first that is not as it should be.
fn signature<'a>(audit: &'a Audit, record: &RecordAccount) -> &'a SignatureStanding {
    let of = |at: usize| audit.signed.get(at).unwrap_or(&SignatureStanding::NotAsked);
    let is_not_good = |signed: &&SignatureStanding| !matches!(signed, SignatureStanding::Good(_));
    record.brought().map(of).find(is_not_good).unwrap_or_else(|| of(record.step))
}

fn step(trail: &Trail, at: usize) -> anyhow::Result<&Step> {
    trail.steps.get(at).context("the audit names a commit that is not in the history")
}

fn write_lines(
    out: &mut dyn Write,
    snapshot: &Snapshot,
    contents: &Contents,
    trail: &Trail,
    audit: &Audit,
    listed: bool,
) -> anyhow::Result<()> {
    if listed {
        for record in &audit.records {
            write_record(out, contents, step(trail, record.step)?, record)?;
        }
        for change in &audit.kept {
            write_kept(out, contents, step(trail, change.step)?, change)?;
        }
        if !(audit.records.is_empty() && audit.kept.is_empty()) {
            writeln!(out)?;
        }
    }
    write_last(out, snapshot, contents, trail)?;
    let slowest = |done: &str, work: &str, times: &dyn Fn(&RecordAccount) -> Option<i64>| {
        let mut all: Vec<(i64, &str)> =
            audit.records.iter().filter_map(|record| Some((times(record)?, record.path.as_str()))).collect();
        all.sort_unstable();
        let half = all.get(all.len().checked_sub(1)? / 2)?.0;
        let (most, path) = all.last()?;
        let half = if half <= 0 { "at once".to_owned() } else { format!("within {}", spoken(half)) };
        Some(format!(
            "half of the records were {done} {half} after {work}, the slowest {} after it ({path})",
            spoken(*most)
        ))
    };
    if let Some(words) = slowest("written down", "the work", &RecordAccount::until_recorded) {
        writeln!(out, "{words}")?;
    }
    let until_committed = |record: &RecordAccount| record.until_committed(trail.steps.get(record.step)?);
    if let Some(words) = slowest("committed", "being written down", &until_committed) {
        writeln!(out, "{words}")?;
    }
    if contents.people.values().any(|person| !person.signing_keys.is_empty()) {
        let good = |record: &&RecordAccount| matches!(signature(audit, record), SignatureStanding::Good(_));
        let good = audit.records.iter().filter(good).count();
        writeln!(out, "signed by who committed them: {good} of {}", counted(audit.records.len(), "record"))?;
    } else {
        writeln!(out, "{WITHOUT_KEYS}")?;
    }
    let seals = contents.seals.len();
    if seals > 0 {
        writeln!(out, "{} held against the history", counted(seals, "seal"))?;
    }
    let kept = counted(audit.kept.len(), "change");
    let hint = if listed { "" } else { "; --list shows them and every record" };
    writeln!(out, "{kept} of site, people, machines, procedures, calendar and seals{hint}")?;
    Ok(())
}

/// Tells the number of the last commit, which stands for everything before it and is what people write down.
fn write_last(out: &mut dyn Write, snapshot: &Snapshot, contents: &Contents, trail: &Trail) -> anyhow::Result<()> {
    if let Some(commit) = snapshot.commit() {
        let last = contents.at_site(Moment(commit.time)).short();
        writeln!(out, "{}, the last of {last}: {}", counted(trail.steps.len(), "commit"), commit.id)?;
    }
    Ok(())
}

fn write_record(out: &mut dyn Write, contents: &Contents, step: &Step, record: &RecordAccount) -> anyhow::Result<()> {
    writeln!(out, "{}", one_line(&record.path))?;
    let committed = contents.at_site(Moment(step.commit.time));
    let commit = step.commit.short();
    let line = match (&record.says, record.until_recorded(), record.until_committed(step)) {
        (Some(says), Some(after), Some(then)) => format!(
            "done {}, written down {} by {}, committed {} by {} in {commit}",
            contents.at_site(says.done).short(),
            later(after),
            contents.people.get(&says.recorder).map_or(says.recorder.as_str(), |person| person.name.as_str()),
            later(then),
            step.commit.committer_name,
        ),
        _ => format!("committed {} by {} in {commit}", committed.short(), step.commit.committer_name),
    };
    Ok(writeln!(out, "    {}", one_line(&line))?)
}

fn write_kept(out: &mut dyn Write, contents: &Contents, step: &Step, change: &KeptChange) -> anyhow::Result<()> {
    let when = contents.at_site(Moment(step.commit.time)).short();
    let commit = step.commit.short();
    let line = format!("{} by {} in {commit}", change.how, step.commit.author_name);
    Ok(writeln!(out, "{}\n    {when} {}", one_line(&change.path), one_line(&line))?)
}

/// Returns how long after the step before something was done.
fn later(seconds: i64) -> String {
    match seconds {
        0 => "at once".to_owned(),
        ..0 => format!("{} before", spoken(-seconds)),
        _ => format!("{} later", spoken(seconds)),
    }
}
