//! `allowed-signers`, the file by which git judges signatures: what it must be, and writing it.

use crate::contents;
use crate::logbook::{self, ALLOWED_SIGNERS_FILE, Changed, ChangedHow, FileContent, Snapshot};
use anyhow::Context as _;
use std::path::Path;

/// The text that the file must have.
pub struct AllowedSigners {
    due: Option<String>,
}

impl AllowedSigners {
    /// Returns what the people of a snapshot give.
    pub fn due(snapshot: &Snapshot) -> AllowedSigners {
        let ground = snapshot.files.iter().filter(|(path, _)| !path.contains('/'));
        let files = ground.map(|(path, content)| (path.clone(), content.clone())).collect();
        let ground = Snapshot { files, source: snapshot.source.clone() };
        let contents = contents::read(&ground, &mut |_| {}).0;
        // While site or people cannot be read, the file stays as it is.
        let is_known = contents.site.is_some() && !contents.people.is_empty();
        AllowedSigners { due: if is_known { contents.due_allowed_signers() } else { contents.allowed_signers } }
    }

    /// Puts the file into a snapshot of what the history has; returns the change, if it is one.
    pub fn put_into(&self, snapshot: &mut Snapshot) -> Option<Changed> {
        let path = ALLOWED_SIGNERS_FILE.to_owned();
        let due = self.due.as_ref().map(|text| FileContent::Bytes(text.as_bytes().into()));
        let had = match &due {
            Some(due) => snapshot.files.insert(path.clone(), due.clone()),
            None => snapshot.files.remove(&path),
        };
        let how = match (&had, &due) {
            (had, due) if had == due => return None,
            (None, _) => ChangedHow::New,
            (Some(_), Some(_)) => ChangedHow::Edited,
            (Some(_), None) => ChangedHow::Gone,
        };
        Some(Changed { path, how })
    }

    /// Makes the file in the folder what it must be, and returns whether it was anything else.
    pub fn write(&self, root: &Path) -> anyhow::Result<bool> {
        let place = root.join(ALLOWED_SIGNERS_FILE);
        let due = self.due.as_ref().map(|text| FileContent::Bytes(text.as_bytes().into()));
        if logbook::read_file(&place) == due {
            return Ok(false);
        }
        match &self.due {
            Some(text) => logbook::write_whole(&place, text.as_bytes())?,
            None => {
                std::fs::remove_file(&place).with_context(|| format!("cannot take away `{}`", place.display()))?;
            }
        }
        Ok(true)
    }

    /// Makes the file what it must be for a piece of work; where that fails it is as it was again.
    pub fn write_for<T>(&self, root: &Path, work: impl FnOnce() -> anyhow::Result<T>) -> anyhow::Result<T> {
        let place = root.join(ALLOWED_SIGNERS_FILE);
        let before = logbook::read_file(&place);
        let was_written = self.write(root)?;
        work().inspect_err(|_| {
            // Where even this fails, `validate` tells that the file is not what the people give.
            match before {
                Some(FileContent::Bytes(bytes)) if was_written => drop(logbook::write_whole(&place, &bytes)),
                None if was_written => drop(std::fs::remove_file(&place)),
                _ => {}
            }
        })
    }
}
