//! Records that are not what they were when they came into the history: edited or taken away since.
//!
//! Nothing committed is ever edited, so each is a problem, whoever did it and with whatever program. What the record says
//! now is then counted nowhere.

use super::bringing_back::{self, Otherwise};
use crate::contents::{Contents, Standing};
use crate::diagnostic::{Diagnostic, Place, counted};
use crate::logbook::{self, Altered, AlteredHow, Changed, CommitInfo, Snapshot, Source};
use crate::record::Moment;
use std::path::Path;

/// What puts a text that was brought back into the history.
const KEEP: &str = "pinindex keep --by ID";

/// Returns a problem for each record that was altered, in the history or, for files read from the folder, in the folder.
pub fn problems(root: &Path, snapshot: &Snapshot, contents: &Contents) -> anyhow::Result<Vec<Diagnostic>> {
    if !logbook::has_history(root)? {
        return Ok(Vec::new());
    }
    let mut problems = Vec::new();
    for altered in logbook::altered_records(root)? {
        let is_back = bringing_back::first_text_lies_there(root, &altered)?;
        problems.push(in_history(altered, is_back));
    }
    problems.retain(|problem| contents.standing(&problem.place.path) == Standing::Counts);
    // What lies in the folder is not settled by a later record: the text there is not the one that was corrected.
    if matches!(snapshot.source, Source::WorkingFiles { .. }) {
        problems.extend(in_folder(root, logbook::changed_files(root)?)?);
        problems.extend(left_out(&logbook::left_out_files(root)?));
        problems.extend(logbook::lost_files(root)?.iter().map(|path| lost(path)));
    }
    Ok(problems)
}

/// Returns a problem for each record and seal that is not in the folder as the last commit has it.
///
/// One whose first text lies there again is told with what the history did to it, and one that holds two versions by
/// the reader: of neither may the text of the last commit be brought back.
pub fn in_folder(root: &Path, changed: Vec<Changed>) -> anyhow::Result<Vec<Diagnostic>> {
    let mut problems = Vec::new();
    for (path, how) in bringing_back::otherwise(root, changed)? {
        let what = match how {
            Otherwise::Edited => "changed",
            Otherwise::Gone => "taken away",
            Otherwise::FirstText | Otherwise::TwoVersions => continue,
        };
        problems.push(
            problem(&path, what, "in the folder; the history still has it")
                .help("bring the committed text back; what was wrong in it is put right by `pinindex correct`")
                .paste(format!("git checkout HEAD -- {path}")),
        );
    }
    Ok(problems)
}

/// Returns a finding where git was told to leave files out of the folder.
pub fn left_out(paths: &[String]) -> Option<Diagnostic> {
    let first = paths.first()?;
    let lie = if paths.len() == 1 { "is" } else { "are" };
    let headline =
        format!("{} of the history {lie} left out of the folder, as git was told to do", counted(paths.len(), "file"));
    Some(
        Diagnostic::finding("files-left-out", Place::file(".git/info/sparse-checkout"), headline)
            .label(format!("{first} among them; the history has it all, and what reads the folder misses it"))
            .help("bring the whole folder back with the line below")
            .paste("git sparse-checkout disable"),
    )
}

fn in_history(altered: Altered, is_back: bool) -> Diagnostic {
    let Altered { path, how, added, by } = altered;
    let what = match how {
        AlteredHow::Edited => "changed",
        AlteredHow::Removed => "taken away",
        AlteredHow::TwoUnderOneName => return two_under_one_name(&path, &added, by.as_ref()),
    };
    let since = by.map_or(String::new(), |by| format!(", {what} {}", signed(&by)));
    let problem = problem(&path, what, &format!("committed {}{since}", signed(&added)));
    if is_back {
        return problem.help("its first text lies in the folder again: put it into the history").paste(KEEP);
    }
    let first = added.short();
    problem
        .help(
            "bring the committed text back into the folder and then into the history; what was wrong in it is put \
             right by `pinindex correct`",
        )
        .paste(format!("git restore --source {first} -- {path}\n{KEEP}"))
}

fn two_under_one_name(path: &str, first: &CommitInfo, last: Option<&CommitInfo>) -> Diagnostic {
    let other = last.map_or(String::new(), |last| format!("; the other one {}", signed(last)));
    let headline = "two records had this name, and a merge kept only one of them";
    Diagnostic::problem("record-lost-in-merge", Place::file(path), headline)
        .label(format!("one committed {}{other}", signed(first)))
        .help("see both with the line below, and make a record that `corrects` this one with what is true")
        .paste(format!("git log --full-history --patch -- {path}"))
}

/// The file may lie whole in the folder, and what is counted is what the history has.
fn lost(path: &str) -> Diagnostic {
    Diagnostic::problem("not-a-file", Place::file(path), "git cannot give what the history has of this file")
        .help("keep the file, and get the history from a copy of the logbook; `git fsck` tells what is damaged")
}

fn problem(path: &str, what: &str, label: &str) -> Diagnostic {
    let word = if path.starts_with("seals/") { "seal" } else { "record" };
    Diagnostic::problem("record-altered", Place::file(path), format!("{word} was {what} after it was committed"))
        .label(label)
}

/// Returns when a commit was made and by whom: its author is whoever they say it was.
fn signed(commit: &CommitInfo) -> String {
    let made = format!("{} by {}", Moment(commit.time).short(), commit.committer_name);
    if (&commit.author_name, &commit.author_email) == (&commit.committer_name, &commit.committer_email) {
        return made;
    }
    format!("{made} in the name of {}", commit.author_name)
}
