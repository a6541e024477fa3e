//! `pinindex keep`: puts changed files that are not records into the history, in one commit of whoever answers for them.
//!
//! What is judged is the logbook as it would be afterwards. A change that brings a problem, to its own file or to a record
//! that is in the history, is refused as a whole. Records are left to `pinindex record`; only the first text of a record
//! that was altered goes into the history again from here.

mod chosen;
mod judged;

use super::Context;
use super::board;
use super::bringing_back::Waiting;
use super::opened::{locate, text_of};
use super::paths;
use super::show::{self, Format, tell};
use super::signers::AllowedSigners;
use super::signing::{self, Signing};
use crate::cli::Outcome;
use crate::contents;
use crate::diagnostic::counted;
use crate::logbook::{self, ALLOWED_SIGNERS_FILE, Changed, ChangedHow, FileContent, PEOPLE_FILE, Snapshot, Trouble};
use chosen::{tell_left, wanted};
use judged::{Before, new_problems};
use std::path::{Path, PathBuf};

/// Keep changed site, people, machine, procedure and calendar files in the history
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex keep --by m-okafor\n  pinindex keep --by m-okafor people.yaml machines/\n\n\
    Without a FILE all changed files are kept, also those that are gone. Records are left to `pinindex record`; only the first text of an altered one, brought back into the folder, is taken.\n\
    The file `allowed-signers`, by which git judges signatures, is written anew from people.yaml and kept with them.\n\
    When any of the files has a problem, or would bring one to a record, nothing is kept; exit status 1 says so."
)]
pub struct Arguments {
    /// Only these files and folders of the logbook
    files: Vec<PathBuf>,

    /// Who answers for the change: an id of people.yaml
    #[arg(long, value_name = "ID")]
    by: Option<String>,

    /// How to show problems
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.find_logbook()?;
    let waiting = Waiting::find(&root)?;
    let mut keys = keys(context, &root, &arguments, &waiting)?;
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
    let signers = AllowedSigners::due(&after);
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
    let problems = new_problems(context, &contents, read, &before.problems, &chosen);
    if !problems.is_empty() {
        let located = locate(&after, problems);
        show::diagnostics(&mut out, arguments.format, &located, &|path| text_of(&after, path))?;
        let problems = counted(located.len(), "problem");
        tell(&mut out, arguments.format, &format!("{problems}; nothing was kept"))?;
        return Ok(Outcome::Problems);
    }

    before.refuse_other_verdicts(&contents)?;
    let (id, by) = super::answers_for(context, &contents, arguments.by.as_deref(), "keep")?;
    before.refuse_turned_keys(&contents, context.at_commit())?;
    before.refuse_own_end(&contents, &id, context.at_commit())?;
    let files = texts(&root, &after, &chosen)?;
    keys.hand_to(&mut turn, &contents, context.at_commit());
    let commit = signers.write_for(&root, || turn.commit_changed(&files, &by, &by, &message(&chosen)))?;
    drop(turn);
    board::refresh(context);
    let short = logbook::short_commit(&commit);
    for file in &chosen {
        tell(&mut out, arguments.format, &format!("kept {} ({}, commit {short})", file.path, word(file.how)))?;
    }
    for line in keys.lines(&root, &[(&commit, id.as_str())])? {
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
    // A list of other names may be taken out of the history, and never into it.
    let is_ours = |file: &Changed| file.how == ChangedHow::Gone || file.path != logbook::NAMES_FILE;
    Ok(changed.partition(|file| !paths::is_record_or_seal(&file.path) && is_ours(file)))
}

/// Finds the key of whoever answers for the change, when there is anything to keep.
fn keys(context: &Context, root: &Path, arguments: &Arguments, waiting: &Waiting) -> anyhow::Result<Signing> {
    let changed = changed(root)?.0;
    let folder = signing::in_folder(root);
    let anything = !waiting.is_empty() || !changed.is_empty() || folder.allowed_signers != folder.due_allowed_signers();
    let Some(by) = arguments.by.as_deref().filter(|_| anything) else { return Ok(Signing::nobody()) };
    let wanted = wanted(context, root, &arguments.files, &changed, waiting)?;
    let committed = signing::in_history(root)?;
    let changes_people = wanted.is_empty() || wanted.iter().any(|path| paths::within(PEOPLE_FILE, path));
    let after = if changes_people { &folder } else { &committed };
    signing::of_change(context, &committed, after, by, context.now())
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
