//! `pinindex keep`: puts changed files that are not records into the history, in one commit of whoever answers for them.
//!
//! What is judged is the logbook as it would be afterwards. A change that brings a fault, to its own file or to a record
//! that is in the history, is refused as a whole. Records are left to `pinindex record`; only the first text of a record
//! that was altered goes into the history again from here.

use super::Context;
use super::board;
use super::bringing_back::{self, Waiting};
use super::opened::{Opened, Which, locate, open, text_of};
use super::paths;
use super::show::{self, Format, tell};
use super::signers::Signers;
use super::signing::{self, Signing};
use crate::cli::Outcome;
use crate::contents::{self, Contents};
use crate::diagnostic::{Diagnostic, Severity, counted, visible};
use crate::logbook::{self, ALLOWED_SIGNERS_FILE, Changed, ChangedHow, FileContent, Snapshot, Trouble};
use crate::procedure::CheckJudgement;
use crate::record::Date;
use crate::rule::{self, Facts};
use crate::timeline;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

/// How many files are named one by one where the rest can be counted.
const NAMED: usize = 10;

/// Keep changed site, people, machine, procedure and calendar files in the history
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex keep --by m-okafor\n  pinindex keep --by m-okafor people.yaml machines/\n\n\
    Without a FILE all changed files are kept, also those that are gone. Records are left to `pinindex record`; only the first text of an altered one, brought back into the folder, is taken.\n\
    The file `allowed-signers`, by which git judges signatures, is written anew from people.yaml and kept with them.\n\
    When any of the files has a fault, or would bring one to a record, nothing is kept; exit status 1 says so."
)]
pub struct Arguments {
    /// Only these files and folders of the logbook
    files: Vec<PathBuf>,

    /// Who answers for the change: an id of people.yaml
    #[arg(long, value_name = "ID")]
    by: Option<String>,

    /// How to show faults
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.find_logbook()?;
    let waiting = Waiting::find(&root)?;
    let mut keys = keys(context, &root, arguments.by.as_deref(), !waiting.is_empty())?;
    let mut turn = super::turn(&root)?;
    let (changed, mut not_ours) = changed(&root)?;
    let wanted = wanted(context, &root, &arguments.files, &changed, &waiting)?;
    let waiting = waiting.within(&wanted);
    let mut chosen: Vec<Changed> = changed
        .into_iter()
        .filter(|file| wanted.is_empty() || wanted.iter().any(|path| paths::within(&file.path, path)))
        .collect();
    let mut out = anstream::stdout().lock();
    let before = Before::read(context, &root)?;
    if !waiting.is_empty() {
        let (_, by) = super::answers_for(context, &before.contents, arguments.by.as_deref(), "keep")?;
        keys.hand_to(&mut turn, &before.contents, context.at_commit());
        let (commit, told) = waiting.commit(&mut turn, &by)?;
        board::refresh(context);
        for line in
            told.into_iter().chain(keys.lines(&root, &[(&commit, arguments.by.as_deref().unwrap_or_default())])?)
        {
            tell(&mut out, arguments.format, &line)?;
        }
        not_ours.retain(|file| !waiting.has(&file.path));
    }
    let mut after = before.with(&root, &chosen);
    let signers = Signers::due(&after);
    chosen.extend(signers.put_into(&mut after));
    if chosen.is_empty() {
        let written = signers.write(&root)?;
        if waiting.is_empty() {
            tell(&mut out, arguments.format, "Nothing to keep: the history has these files as they are.")?;
        }
        if written {
            tell(&mut out, arguments.format, "In the folder allowed-signers was written anew.")?;
        }
        tell_left(&mut out, arguments.format, context, &root, &not_ours)?;
        return Ok(Outcome::Clean);
    }

    before.refuse_used_revisions(context, &chosen)?;
    let (contents, read) = contents::read(&after, &mut |_| {});
    let faults = new_faults(context, &contents, read, &before.faults, &chosen);
    if !faults.is_empty() {
        let located = locate(&after, faults);
        show::diagnostics(&mut out, arguments.format, &located, &|path| text_of(&after, path))?;
        let faults = counted(located.len(), "fault");
        tell(&mut out, arguments.format, &format!("{faults}; nothing was kept"))?;
        return Ok(Outcome::Faults);
    }

    before.refuse_other_verdicts(&contents)?;
    let (_, by) = super::answers_for(context, &contents, arguments.by.as_deref(), "keep")?;
    let files = texts(&root, &after, &chosen)?;
    signers.write(&root)?;
    keys.hand_to(&mut turn, &contents, context.at_commit());
    let commit = turn.commit_changed(&files, &by, &by, &message(&chosen))?;
    drop(turn);
    board::refresh(context);
    let short = commit.get(..10).unwrap_or(&commit);
    for file in &chosen {
        tell(&mut out, arguments.format, &format!("kept {} ({}, commit {short})", file.path, word(file.how)))?;
    }
    for line in keys.lines(&root, &[(&commit, arguments.by.as_deref().unwrap_or_default())])? {
        tell(&mut out, arguments.format, &line)?;
    }
    tell_left(&mut out, arguments.format, context, &root, &not_ours)?;
    Ok(Outcome::Clean)
}

/// Returns the changed files that may be kept, and those that are not for this command.
///
/// What tells git who signs is written by this command, and never taken from the folder.
fn changed(root: &Path) -> anyhow::Result<(Vec<Changed>, Vec<Changed>)> {
    let changed = logbook::changed_files(root)?.into_iter().filter(|file| file.path != ALLOWED_SIGNERS_FILE);
    Ok(changed.partition(|file| !paths::is_record_or_seal(&file.path)))
}

/// Finds the key of whoever answers for the change, when there is anything to keep.
fn keys(context: &Context, root: &Path, by: Option<&str>, waits: bool) -> anyhow::Result<Signing> {
    let folder = signing::in_folder(root);
    let anything = waits || !changed(root)?.0.is_empty() || folder.allowed_signers != folder.due_allowed_signers();
    let by = by.filter(|_| anything);
    // A key that is changed is signed for with the key before it; the first one can only sign for itself.
    match by {
        Some(id) if signing::has_committed_key(root, id)? => signing::of_committed(context, root, by, context.now()),
        _ => signing::of(context, &folder, by, context.now()),
    }
}

/// Returns the paths asked for as the logbook names them, and refuses those that this command cannot take.
fn wanted(
    context: &Context,
    root: &Path,
    files: &[PathBuf],
    changed: &[Changed],
    waiting: &Waiting,
) -> anyhow::Result<Vec<String>> {
    let mut wanted = Vec::new();
    for file in files {
        let path = paths::in_logbook(context, root, file);
        let shown = file.display();
        if waiting.has(&path) {
            wanted.push(path);
            continue;
        }
        if paths::is_record_or_seal(&path) {
            let (what, help) = if paths::within(&path, "seals") {
                ("seals", "run `pinindex seal MONTH --by ID`, which writes the seal itself".to_owned())
            } else {
                ("records", format!("run `pinindex record {shown}`"))
            };
            return Err(Trouble::new(format!("`{shown}` is not for this command, which keeps no {what}"), help).into());
        }
        let is_changed = changed.iter().any(|file| paths::within(&file.path, &path));
        if !is_changed && !root.join(&path).exists() {
            return Err(Trouble::new(
                format!("there is no file or folder `{shown}` in the logbook"),
                "nothing was kept; run `pinindex keep --by ID` without a file to keep all that changed",
            )
            .into());
        }
        let is_folder = path.is_empty() || logbook::FOLDERS.contains(&path.as_str());
        if !is_changed && !is_folder && !logbook::is_kept(&path) {
            return Err(Trouble::new(
                format!("`{shown}` is not one of the files that a logbook keeps"),
                "nothing was kept; those are `site.yaml`, `people.yaml`, `README.md`, and what is in `machines`, \
                 `procedures` and `calendar`",
            )
            .into());
        }
        wanted.push(path);
    }
    Ok(wanted)
}

/// The logbook as the history has it.
struct Before {
    files: BTreeMap<String, FileContent>,
    contents: Contents,
    faults: Vec<Diagnostic>,
}

impl Before {
    fn read(context: &Context, root: &Path) -> anyhow::Result<Before> {
        if !logbook::has_history(root)? {
            return Ok(Before { files: BTreeMap::new(), contents: Contents::default(), faults: Vec::new() });
        }
        let opened = open(context, Which::Committed)?;
        opened.tell_clock_behind(context.at_commit())?;
        let Opened { snapshot, contents, diagnostics, .. } = opened;
        Ok(Before { files: snapshot.files, contents, faults: diagnostics })
    }

    /// Returns the files of the logbook as they would be with the chosen changes.
    fn with(&self, root: &Path, chosen: &[Changed]) -> Snapshot {
        let mut files = self.files.clone();
        for file in chosen.iter().filter(|file| logbook::belongs(&file.path)) {
            match logbook::read_inside(root, &file.path) {
                Some(content) => files.insert(file.path.clone(), content),
                None => files.remove(&file.path),
            };
        }
        Snapshot { files, source: logbook::Source::WorkingFiles { head: None, uncommitted: true } }
    }

    /// Refuses a change that would turn the verdict of a check that is in the history.
    fn refuse_other_verdicts(&self, after: &Contents) -> anyhow::Result<()> {
        let verdicts = |contents: &Contents| -> BTreeMap<String, CheckJudgement> {
            let lives = timeline::lives(contents);
            lives
                .into_values()
                .flat_map(|life| life.checks)
                .map(|check| (check.path().to_owned(), check.judgement))
                .collect()
        };
        let (old, new) = (verdicts(&self.contents), verdicts(after));
        let turned: Vec<&String> = old
            .iter()
            .filter(|(path, judgement)| new.get(*path).is_some_and(|now| !now.agrees_with(judgement)))
            .map(|(path, _)| path)
            .collect();
        let Some(first) = turned.first() else { return Ok(()) };
        let machine = logbook::parse_record_path(first).map_or(String::new(), |name| name.machine);
        Err(Trouble::new(
            format!("this would turn the verdict of {} in the history, first of {first}", counted(turned.len(), "check")),
            format!(
                "write in `machines/{machine}.yaml`, under `before`, what held until the day of the change, so that older \
                 checks are judged by the machine as it was"
            ),
        )
        .into())
    }

    /// Refuses another text for a revision that checks are judged by.
    ///
    /// Before the first record a logbook is still being set up, and the shipped procedures are there to be edited.
    fn refuse_used_revisions(&self, context: &Context, chosen: &[Changed]) -> anyhow::Result<()> {
        if !self.files.keys().any(|path| path.starts_with("records/")) {
            return Ok(());
        }
        let zone = self.contents.site.as_ref().map(|site| site.time_zone);
        let today = Date(zone.map_or(context.now().0.date_naive(), |zone| context.now().date_in(zone)));
        for file in chosen.iter().filter(|file| file.how != ChangedHow::New) {
            let Some((id, revision)) = revision(&file.path) else { continue };
            let Some(known) = self.contents.procedures.get(&(id.clone(), revision)) else { continue };
            if known.in_force_from <= today {
                let latest = self.contents.procedures.keys().filter(|(other, _)| *other == id).map(|(_, n)| *n).max();
                let next = latest.unwrap_or(revision).saturating_add(1);
                return Err(Trouble::new(
                    format!(
                        "`{}` has been in force since {} and is never changed, because checks are judged by it",
                        file.path, known.in_force_from
                    ),
                    format!(
                        "put the old text back, and write revision {next} as `procedures/{id}/{next}.yaml` with the \
                         day from which it is in force"
                    ),
                )
                .into());
            }
        }
        Ok(())
    }
}

/// Returns the procedure and revision that a path names.
fn revision(path: &str) -> Option<(String, u32)> {
    let (id, name) = path.strip_prefix("procedures/")?.split_once('/')?;
    Some((id.to_owned(), name.strip_suffix(".yaml")?.parse().ok()?))
}

/// Returns the faults of the chosen files, and those in other files that were not there before.
fn new_faults(
    context: &Context,
    contents: &Contents,
    read: Vec<Diagnostic>,
    before: &[Diagnostic],
    chosen: &[Changed],
) -> Vec<Diagnostic> {
    let lives = timeline::lives(contents);
    let judged = rule::judge(&Facts { contents, lives: &lives, now: context.now() });
    let is_new = |d: &Diagnostic| {
        chosen.iter().any(|file| file.path == d.place.path)
            || !before.iter().any(|old| old.rule == d.rule && old.place == d.place)
    };
    read.into_iter().chain(judged).filter(|d| d.severity == Severity::Fault && is_new(d)).collect()
}

/// Returns the texts to keep; nothing for a file that is gone.
fn texts(root: &Path, after: &Snapshot, chosen: &[Changed]) -> anyhow::Result<Vec<(String, Option<String>)>> {
    let mut texts = Vec::new();
    for file in chosen {
        // What was judged is what is kept. Files beside the logbook's own, such as its README, are judged by no schema.
        let content = match logbook::belongs(&file.path) {
            true => after.files.get(&file.path).cloned(),
            false => logbook::read_inside(root, &file.path),
        };
        let text = match &content {
            None => None,
            Some(FileContent::Bytes(bytes)) => std::str::from_utf8(bytes).ok().map(str::to_owned),
            Some(_) => None,
        };
        if text.is_none() && content.is_some() {
            return Err(Trouble::new(
                format!("`{}` is not a plain text file (UTF-8) of at most {} bytes", file.path, logbook::SIZE_LIMIT),
                "put a plain text in its place, or name the files to keep without it",
            )
            .into());
        }
        texts.push((file.path.clone(), text));
    }
    Ok(texts)
}

fn message(chosen: &[Changed]) -> String {
    let name = |file: &Changed| format!("{} ({})", file.path, word(file.how));
    let what = match chosen {
        [one] => name(one),
        many => counted(many.len(), "changed file"),
    };
    let list: String = chosen.iter().map(|file| name(file) + "\n").collect();
    format!("Keep {what}\n\n{list}")
}

fn word(how: ChangedHow) -> &'static str {
    match how {
        ChangedHow::New => "new",
        ChangedHow::Edited => "changed",
        ChangedHow::Gone => "taken out",
    }
}

/// Says what lies in the folder and is not for this command, with what is.
fn tell_left(
    out: &mut dyn Write,
    format: Format,
    context: &Context,
    root: &Path,
    left: &[Changed],
) -> anyhow::Result<()> {
    let otherwise = bringing_back::otherwise(root, left.to_vec())?;
    for file in left.iter().take(NAMED) {
        let path = visible(&paths::from_here(context, root, &file.path));
        let is_record = file.path.starts_with("records/");
        let is_seal = file.path.starts_with("seals/");
        let how = otherwise.iter().find(|(other, _)| *other == file.path).map(|(_, how)| *how);
        let text = match (how, file.how) {
            (Some(how), _) => format!("not taken: {path} {}", bringing_back::next_step(&path, how)),
            (None, ChangedHow::New) if is_record => format!("not taken: {path}; `pinindex record {path}` records it"),
            (None, ChangedHow::New) if is_seal => format!("not taken: {path}; `pinindex seal` writes the seals itself"),
            (None, _) => format!("not taken: {path}; it is neither a record nor one of the files kept here"),
        };
        tell(out, format, &text)?;
    }
    if let Some(more) = left.len().checked_sub(NAMED).filter(|more| *more > 0) {
        tell(out, format, &format!("and {} more that {} not taken", more, if more == 1 { "is" } else { "are" }))?;
    }
    Ok(())
}
