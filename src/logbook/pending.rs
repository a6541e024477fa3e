//! The note about a commit that is made but not yet on the branch.
//!
//! Written before the index and the branch change, removed after. If a power cut comes in between,
//! the next command finds the note and finishes the very same commit, with its author and its time.
//!
//! ```text
//! files ── objects ── note ── index ── branch ── note removed
//!                          └────┬────┘
//!                   a crash in here is finished by the next command
//! ```

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use gix::ObjectId;

use super::branch::{self, Move};
use super::commit::Author;
use super::files;
use super::folder;
use super::index::{self, LockedIndex};
use super::repository;
use super::snapshot::FileContent;

const FILE_NAME: &str = "pinindex.pending";

fn place(repo: &gix::Repository) -> PathBuf {
    repo.git_dir().join(FILE_NAME)
}

/// Notes that the branch is about to move from `from` to `to`.
pub(super) fn note(repo: &gix::Repository, from: Option<ObjectId>, to: ObjectId, sync: bool) -> Result<()> {
    let from = from.map_or_else(|| "none".to_owned(), |id| id.to_string());
    files::replace(&place(repo), format!("{from} {to}\n").as_bytes(), sync)
}

/// Returns whether there is a note.
pub(super) fn is_noted(repo: &gix::Repository) -> bool {
    place(repo).symlink_metadata().is_ok()
}

/// Removes the note.
pub(super) fn clear(repo: &gix::Repository) -> Result<()> {
    let path = place(repo);
    match fs::remove_file(&path) {
        Err(error) if error.kind() != ErrorKind::NotFound => {
            Err(error).with_context(|| format!("cannot remove `{}`", path.display()))
        }
        _ => Ok(()),
    }
}

/// Finishes what a crash interrupted, if there is a note of it and nothing else has happened since. Refuses if another
/// program's lock lies on the branch.
///
/// A note that does not fit any more is dropped: the files are on disk all the same, and what is
/// staged is reported by the check that follows.
pub(super) fn finish(repo: &gix::Repository, root: &Path) -> Result<()> {
    let path = place(repo);
    // Whatever lies there and is no small plain file was not written by this program, and says nothing.
    let noted = match folder::read_file(&path) {
        Some(FileContent::Bytes(bytes)) => parse(&String::from_utf8_lossy(&bytes)),
        None | Some(_) => None,
    };
    files::sweep(repo.git_dir());
    index::sweep(repo)?;
    let branch = branch::read(repo)?;
    branch.refuse_locks(repo, noted.map(|(_, to)| to))?;
    if let Some((from, to)) = noted
        && branch.tip == from
        && let Ok(commit) = repo.find_commit(to)
    {
        let mut index = LockedIndex::open(repo, root)?;
        if index.catch_up(repo, branch.tree, commit.tree_id()?.detach())? {
            let info = repository::commit_info(&commit);
            let by = Author { name: info.author_name, email: info.author_email, time: info.time };
            // If someone commits in this very moment, what is staged is reported like the rest.
            if branch.advance(repo, to, &by, &info.subject, true)? == Move::Done {
                branch.sync(repo)?;
            }
        }
    }
    clear(repo)
}

fn parse(text: &str) -> Option<(Option<ObjectId>, ObjectId)> {
    let (from, to) = text.trim_end().split_once(' ')?;
    let id = |digits: &str| ObjectId::from_hex(digits.as_bytes()).ok();
    let from = if from == "none" { None } else { Some(id(from)?) };
    Some((from, id(to)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_damaged_note_says_nothing() {
        let id = "1".repeat(40);
        assert!(parse(&format!("none {id}\n")).is_some_and(|(from, _)| from.is_none()));
        assert!(parse(&format!("{id} {id}")).is_some_and(|(from, _)| from.is_some()));
        for text in ["", "none", "none \n", &id, &format!("x {id}"), "\0\0\0"] {
            assert!(parse(text).is_none(), "{text:?}");
        }
    }
}
