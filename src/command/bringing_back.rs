//! What lies in the folder in the place of a record that the history has, and the first text of a record that was altered,
//! which may go into the history again.

use super::paths;
use crate::logbook::{self, Altered, AlteredHow, Author, Changed, ChangedHow, Committed, FileContent, Turn};
use crate::record::unmerged;
use std::collections::BTreeSet;
use std::path::Path;

/// How a file in the folder differs from what the last commit has of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Otherwise {
    Edited,
    Gone,
    /// The last commit has an altered text, and the first one lies in the folder again.
    FirstText,
    /// A merge left two versions in it.
    TwoVersions,
}

/// Returns the records and seals that the history has and the folder has otherwise.
pub fn otherwise(root: &Path, changed: Vec<Changed>) -> anyhow::Result<Vec<(String, Otherwise)>> {
    let those = changed.into_iter().filter(|file| file.how != ChangedHow::New && logbook::is_for_ever(&file.path));
    let those: Vec<Changed> = those.collect();
    let altered = if those.is_empty() { Vec::new() } else { logbook::altered_records(root)? };
    let mut found = Vec::new();
    for Changed { path, how } in those {
        let first = match altered.iter().find(|one| one.path == path) {
            Some(altered) => first_text_lies_there(root, altered)?,
            None => false,
        };
        let two = |content: FileContent| matches!(content, FileContent::Bytes(bytes) if unmerged::stand_in(&bytes));
        let how = match how {
            _ if first => Otherwise::FirstText,
            ChangedHow::Gone => Otherwise::Gone,
            _ if logbook::read_inside(root, &path).is_some_and(two) => Otherwise::TwoVersions,
            ChangedHow::New | ChangedHow::Edited => Otherwise::Edited,
        };
        found.push((path, how));
    }
    Ok(found)
}

/// Returns what to do about a record or seal that the folder has otherwise, in the words after its name.
pub fn next_step(path: &str, how: Otherwise) -> String {
    match how {
        Otherwise::Edited => format!(
            "was changed in the folder after it was committed; what was committed counts, and \
             `git checkout HEAD -- {path}` brings it back"
        ),
        Otherwise::Gone => "is gone from the folder; the history still has it".to_owned(),
        Otherwise::FirstText => {
            "has its first text again in the folder; `pinindex keep --by ID` puts it into the history".to_owned()
        }
        Otherwise::TwoVersions => {
            format!("holds two versions since a merge; `pinindex validate {path}` says how to keep both")
        }
    }
}

/// Returns whether the first text of an altered record lies in the folder.
pub fn first_text_lies_there(root: &Path, altered: &Altered) -> anyhow::Result<bool> {
    Ok(first_text(root, altered)?.is_some_and(|text| logbook::read_inside(root, &altered.path) == Some(text)))
}

/// Returns the first text of an altered record; nothing for one of two that have its name, of which none is the first.
fn first_text(root: &Path, altered: &Altered) -> anyhow::Result<Option<FileContent>> {
    if altered.how == AlteredHow::TwoUnderOneName {
        return Ok(None);
    }
    let history = Committed::open(root)?;
    let files = history.files(&altered.added.id)?.unwrap_or_default();
    Ok(files.iter().find(|file| file.path == altered.path).map(|file| history.content(file)))
}

/// The records whose first text waits in the folder for the history.
pub struct Waiting(Vec<(String, String)>);

impl Waiting {
    /// Finds all of them.
    pub fn find(root: &Path) -> anyhow::Result<Waiting> {
        if !logbook::has_history(root)? {
            return Ok(Waiting(Vec::new()));
        }
        // A text that was brought back is not that of the last commit; where no record differs from it, none waits.
        let differs = logbook::changed_files(root)?.into_iter().filter(|file| logbook::is_for_ever(&file.path));
        let differs: BTreeSet<String> = differs.map(|file| file.path).collect();
        let altered = if differs.is_empty() { Vec::new() } else { logbook::altered_records(root)? };
        let mut waiting = Vec::new();
        for altered in altered.into_iter().filter(|altered| differs.contains(&altered.path)) {
            let Some(first) = first_text(root, &altered)? else { continue };
            if logbook::read_inside(root, &altered.path).as_ref() != Some(&first) {
                continue;
            }
            if let FileContent::Bytes(bytes) = &first
                && let Ok(text) = std::str::from_utf8(bytes)
            {
                waiting.push((altered.path, text.to_owned()));
            }
        }
        Ok(Waiting(waiting))
    }

    /// Returns the same without what was not asked for.
    pub fn within(self, wanted: &[String]) -> Waiting {
        let asked = |path: &String| wanted.is_empty() || wanted.iter().any(|one| paths::within(path, one));
        Waiting(self.0.into_iter().filter(|(path, _)| asked(path)).collect())
    }

    /// Returns whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns whether a record is one of them.
    pub fn has(&self, path: &str) -> bool {
        self.0.iter().any(|(waiting, _)| waiting == path)
    }

    /// Puts them into the history in one commit, and returns its id and what is to be told.
    pub fn commit(&self, turn: &mut Turn, by: &Author) -> anyhow::Result<(String, Vec<String>)> {
        let list: String = self.0.iter().map(|(path, _)| format!("{path}\n")).collect();
        let commit = turn.bring_back(&self.0, by, &format!("Bring back what was first committed\n\n{list}"))?;
        let short = logbook::short_commit(&commit);
        let told = |(path, _): &(String, String)| format!("brought back {path} (its first text, commit {short})");
        Ok((commit.clone(), self.0.iter().map(told).collect()))
    }
}
