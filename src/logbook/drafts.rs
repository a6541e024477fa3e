//! Drafts: work that is not finished, kept beside the logbook's folders until it becomes a record.
//!
//! A draft lies in `drafts/`, where a person can see it, and git is told to pass it over. It is written as a whole and
//! synced after each answer, so that a closed terminal or a power cut costs nothing but the answer being typed. While one
//! program works on a draft, no other one does.

use std::fs::{self, File, TryLockError};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use super::files;
use super::folder;
use super::lock;
use super::snapshot::FileContent;
use super::trouble::Trouble;

/// The folder of the drafts, beside those of the logbook.
const FOLDER: &str = "drafts";

/// One draft, held by this program until it is dropped.
#[derive(Debug)]
pub struct Draft {
    path: PathBuf,
    /// The name that the person knows it by.
    shown: String,
    _lock: File,
}

impl Draft {
    /// Takes a draft of the logbook in `root` in hand, whether it is there already or not.
    ///
    /// # Errors
    /// Another program holds it, or the folder cannot be written.
    pub fn take(root: &Path, name: &str) -> Result<Draft> {
        let folder = files::own_folder(root, FOLDER)?;
        let cannot = || format!("cannot keep drafts in `{}`", folder.display());
        let passed_over = folder.join(".gitignore");
        if !passed_over.exists() {
            files::replace(&passed_over, b"*\n", false)?;
        }
        let lock = lock::open(&folder.join(format!(".{name}.lock"))).with_context(cannot)?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(Trouble::new(
                    format!("`{name}` is being filled in at another terminal at this moment"),
                    "finish or stop it there first; nothing was changed",
                )
                .into());
            }
            Err(TryLockError::Error(error)) => return Err(error).with_context(cannot),
        }
        let file = format!("{name}.yaml");
        Ok(Draft { path: folder.join(&file), shown: format!("{FOLDER}/{file}"), _lock: lock })
    }

    /// Returns the name of its file in the logbook.
    pub fn shown(&self) -> &str {
        &self.shown
    }

    /// Returns what is there, readable or not; nothing when there is none.
    pub fn content(&self) -> Option<FileContent> {
        folder::read_file(&self.path)
    }

    /// Writes it, so that it survives a power cut.
    ///
    /// # Errors
    /// The disk is full, or the folder cannot be written.
    pub fn keep(&self, text: &str) -> Result<()> {
        files::replace(&self.path, text.as_bytes(), true)
    }

    /// Puts it aside under another name, because nobody can read it, and returns that name.
    ///
    /// # Errors
    /// The folder cannot be written.
    pub fn put_aside(&self) -> Result<String> {
        for number in 1.. {
            let aside = self.path.with_extension(format!("{number}.aside"));
            if !aside.exists() {
                fs::rename(&self.path, &aside).with_context(|| format!("cannot move `{}`", self.path.display()))?;
                return Ok(self.shown.replace(".yaml", &format!(".{number}.aside")));
            }
        }
        Ok(self.shown.clone())
    }

    /// Takes it away, because it has become a record, so that a power cut does not bring it back.
    ///
    /// # Errors
    /// The folder cannot be written.
    pub fn done(self) -> Result<()> {
        match fs::remove_file(&self.path) {
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
            Err(error) => Err(error).with_context(|| format!("cannot take away `{}`", self.path.display())),
            Ok(()) => self.path.parent().map_or(Ok(()), files::sync_one),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logbook::SIZE_LIMIT;

    #[test]
    fn what_is_no_text_is_told_and_put_aside_as_it_is() {
        let root = tempfile::tempdir().unwrap();
        let draft = Draft::take(root.path(), "theatre-1.daily").unwrap();
        let file = root.path().join("drafts/theatre-1.daily.yaml");
        fs::write(&file, b"by: [\xff]").unwrap();
        assert_eq!(draft.content(), Some(FileContent::Bytes(b"by: [\xff]"[..].into())));
        assert_eq!(draft.put_aside().unwrap(), "drafts/theatre-1.daily.1.aside");
        let size = SIZE_LIMIT + 1;
        fs::write(&file, vec![b'#'; usize::try_from(size).unwrap()]).unwrap();
        assert_eq!(draft.content(), Some(FileContent::TooLarge(size)));
        assert_eq!(draft.put_aside().unwrap(), "drafts/theatre-1.daily.2.aside");
        fs::create_dir(&file).unwrap();
        assert!(matches!(draft.content(), Some(FileContent::Unreadable(_))));
        assert_eq!(draft.put_aside().unwrap(), "drafts/theatre-1.daily.3.aside");
        assert_eq!(draft.content(), None);
        assert_eq!(fs::read(root.path().join("drafts/theatre-1.daily.1.aside")).unwrap(), b"by: [\xff]");
    }

    #[test]
    fn a_draft_is_kept_until_it_is_done() {
        let root = tempfile::tempdir().unwrap();
        let draft = Draft::take(root.path(), "theatre-1.daily").unwrap();
        assert_eq!(draft.content(), None);
        draft.keep("one").unwrap();
        draft.keep("two").unwrap();
        drop(draft);
        let draft = Draft::take(root.path(), "theatre-1.daily").unwrap();
        assert_eq!(draft.content(), Some(FileContent::Bytes(b"two"[..].into())));
        assert_eq!(draft.put_aside().unwrap(), "drafts/theatre-1.daily.1.aside");
        assert_eq!(draft.content(), None);
        draft.keep("three").unwrap();
        draft.done().unwrap();
        assert_eq!(Draft::take(root.path(), "theatre-1.daily").unwrap().content(), None);
    }

    #[test]
    fn two_do_not_work_on_one_draft() {
        let root = tempfile::tempdir().unwrap();
        let first = Draft::take(root.path(), "theatre-1.daily").unwrap();
        let error = Draft::take(root.path(), "theatre-1.daily").unwrap_err();
        assert!(error.to_string().contains("another terminal"), "{error}");
        Draft::take(root.path(), "theatre-2.daily").unwrap();
        drop(first);
        Draft::take(root.path(), "theatre-1.daily").unwrap();
    }
}
