//! `pinindex record`: takes finished records in, each in a commit of its recorder.
//!
//! All files given are judged together with the records that are already committed, so that a check and the fault it
//! found can come in together. What does not fit is refused with its problems and stays where it was. Nothing is said before
//! the commits are made, so that a reader who closes the pipe stops no record.

use super::Context;
use super::board;
use super::filing::refuse_edited;
use super::handed;
use super::opened::{Opened, open_in_turn};
use super::paths;
use super::show::{self, Format, tell};
use super::signing;
use super::taking_in::{self, Candidate};
use crate::bedside::outcome;
use crate::cli::Outcome;
use crate::diagnostic::{Severity, counted};
use crate::logbook::{self, FileContent, Trouble, WITHOUT_HISTORY};
use crate::procedure::Outcome as CheckOutcome;
use crate::record::Moment;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Take finished records into the logbook, each in a commit of its recorder
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex record inbox/check.yaml\n  pinindex record inbox/\n\n\
    With --by the commit is that person's, who also signs it; its author stays the recorder.\n\
    A record that is taken in is filed under records/ and its file is taken away from where it was.\n\
    A record that is there already is left where it was, and so is one that lies in its place under records/.\n\
    A record with problems is refused and stays where it was; exit status 1 says so.")]
pub struct Arguments {
    /// Files, or folders whose .yaml files are taken (not those of folders inside)
    #[arg(required = true)]
    files: Vec<PathBuf>,

    /// Who takes the records in, an id of people.yaml [default: the recorder of each]
    #[arg(long, value_name = "ID")]
    by: Option<String>,

    /// How to show problems and findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.find_logbook()?;
    if !logbook::has_history(&root)? {
        return Err(no_history().into());
    }
    let handful = handed::read(context, &root, &arguments.files)?;
    let by = arguments.by.as_deref();
    let committers = match by {
        Some(by) => vec![by.to_owned()],
        None => handful.files.iter().filter_map(handed::recorder).collect(),
    };
    let mut keys = signing::of_committed(context, &root, committers.iter().map(String::as_str), context.now())?;
    let (mut turn, mut opened) = open_in_turn(context, &root)?;
    opened.solid_ground()?;
    if let Some(by) = by {
        super::known_person(&opened.contents, by)?;
    }
    for file in &handful.files {
        refuse_edited(&opened, file)?;
    }
    let mut judged = taking_in::judge_handed(context.now(), &mut opened, handful.files);
    keys.hand_to(&mut turn, &opened.contents, context.at_commit());
    let commits = taking_in::commit(context.at_commit(), &mut turn, &opened, &mut judged.taken, by)?;
    drop(turn);
    if !commits.is_empty() {
        board::refresh(context);
    }
    let left = take_away(&root, &judged.taken);
    let located = judged.located(&opened);
    let problems = located.iter().any(|l| l.diagnostic.severity == Severity::Problem);
    let mut out = anstream::stdout().lock();
    show::diagnostics(&mut out, arguments.format, &located, &|path| judged.text(&opened, path))?;
    for (candidate, commit) in judged.taken.iter().zip(&commits) {
        let commit = logbook::short_commit(commit);
        tell(&mut out, arguments.format, &format!("recorded {} (commit {commit})", candidate.filed.path))?;
    }
    let whose = judged.taken.iter().map(|candidate| taking_in::committer(by, &candidate.filed.record));
    for line in keys.lines(&root, &commits.iter().zip(whose).collect::<Vec<_>>())? {
        tell(&mut out, arguments.format, &line)?;
    }
    for line in judged.put_right() {
        tell(&mut out, arguments.format, line)?;
    }
    for line in &judged.again {
        tell(&mut out, arguments.format, line)?;
    }
    for line in came_to(&opened, &judged.taken, context.now()) {
        tell(&mut out, arguments.format, &line)?;
    }
    for folder in &handful.empty {
        tell(&mut out, arguments.format, &format!("nothing to record in {folder}: it has no .yaml files"))?;
    }
    if judged.refusals > 0 {
        let files = counted(judged.refusals, "file");
        tell(
            &mut out,
            arguments.format,
            &format!(
                "{files} refused and left where {}; put right what is said above and run the same command again",
                were(judged.refusals)
            ),
        )?;
        tell_unkept(&root)?;
    }
    left?;
    Ok(if problems { Outcome::Problems } else { Outcome::Clean })
}

/// Returns what the checks that were taken in came to, and what the records call each machine now, where it is about today.
fn came_to(opened: &Opened, taken: &[Candidate], now: Moment) -> Vec<String> {
    let mut lines = Vec::new();
    let mut today: BTreeMap<&str, bool> = BTreeMap::new();
    for Candidate { filed, .. } in taken {
        let machine = filed.record.common.machine.as_str();
        let is_today = opened.contents.day(filed.record.when()) == opened.contents.day(now);
        let done = opened.lives.get(machine).and_then(|life| life.check(&filed.path));
        if let (Some(done), Some(named)) = (done, opened.contents.machines.get(machine)) {
            let at = opened.at_site(done.check.finished).short();
            let subject = format!("The {} check of {}, finished {at},", done.check.procedure, named.name);
            lines.extend(outcome::of_check(done, machine, &subject));
            lines.extend(outcome::without_fault(&opened.contents, &opened.lives, machine, done));
        }
        if is_today {
            let passed = done.map(|done| done.judgement.outcome == CheckOutcome::Passed);
            let all_passed = today.entry(machine).or_insert(true);
            *all_passed &= passed.unwrap_or(true);
        }
    }
    for (machine, passed) in today {
        lines.extend(outcome::state_now(&opened.contents, &opened.lives, machine, now, passed));
    }
    lines
}

/// Returns the failure of a folder that has no history to record into.
pub fn no_history() -> Trouble {
    Trouble::new("the logbook has no git history to record into", WITHOUT_HISTORY)
}

/// Takes the files of recorded records away, except those that lie in their places in the logbook.
///
/// A file that somebody changed in the meantime holds what is recorded nowhere, so it stays.
fn take_away(root: &Path, taken: &[Candidate]) -> anyhow::Result<()> {
    let mut left = Vec::new();
    for candidate in taken {
        let Some(place) = &candidate.place else { continue };
        if same_file(place, &root.join(&candidate.filed.path)) {
            continue;
        }
        match logbook::read_file(place) {
            None => {}
            Some(FileContent::Bytes(bytes))
                if *bytes == *candidate.handed.as_ref().unwrap_or(&candidate.text).as_bytes() =>
            {
                if let Err(error) = std::fs::remove_file(place) {
                    left.push(format!("`{}` ({error})", candidate.shown));
                }
            }
            Some(_) => left.push(format!("`{}` (it was changed in this moment)", candidate.shown)),
        }
    }
    if left.is_empty() {
        return Ok(());
    }
    Err(Trouble::new(
        format!("all is recorded, but this could not be taken away: {}", left.join(", ")),
        "look at what is left, and take it away yourself",
    )
    .into())
}

/// Says on standard error when what a record was refused for may be mended in a file that is not kept yet.
fn tell_unkept(root: &Path) -> anyhow::Result<()> {
    let unkept = logbook::changed_files(root)?;
    let unkept: Vec<_> =
        unkept.iter().filter(|file| logbook::belongs(&file.path) && !paths::is_record_or_seal(&file.path)).collect();
    if let Some(first) = unkept.first() {
        let what = if unkept.len() == 1 { first.path.clone() } else { counted(unkept.len(), "changed file") };
        writeln!(
            anstream::stderr().lock(),
            "records are judged by what is in the history, without {what} of the folder; \
             `pinindex keep --by ID` keeps changes"
        )?;
    }
    Ok(())
}

fn were(files: usize) -> &'static str {
    if files == 1 { "it was" } else { "they were" }
}

fn same_file(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
