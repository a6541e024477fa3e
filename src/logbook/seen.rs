//! What this computer has seen of the history: the newest commits that this program made in this folder.
//!
//! A history that is only added to holds them for ever. When one is missing, somebody rewrote the history here (an amended
//! or moved branch does that), and nothing in the new history tells it. The file lies in git's folder and belongs to this
//! copy of the logbook alone; whoever can write there can change it too, which a printed seal outlives.

use std::path::{Path, PathBuf};

use anyhow::Result;
use gix::ObjectId;

use super::files;
use super::git_folder;
use super::repository;
use super::walk;

const FILE_NAME: &str = "pinindex.seen";
/// A history that is rewritten again and again fills no disk.
const MOST: usize = 100;
/// Many times what is written here, in bytes.
const LARGEST: u64 = 64 * 1024;

fn place(repo: &gix::Repository) -> PathBuf {
    repo.common_dir().join(FILE_NAME)
}

fn read(repo: &gix::Repository) -> Vec<ObjectId> {
    let text = git_folder::text(&place(repo), LARGEST);
    text.lines().filter_map(|line| ObjectId::from_hex(line.trim().as_bytes()).ok()).collect()
}

/// Returns whether anything was ever committed here, whatever became of it.
pub(super) fn is_noted(repo: &gix::Repository) -> bool {
    place(repo).symlink_metadata().is_ok()
}

/// Notes that the branch went from `from` to `to`.
///
/// A commit that leads to `to` needs no note any more; one that does not keeps its own.
pub(super) fn note(repo: &gix::Repository, from: Option<ObjectId>, to: ObjectId) -> Result<()> {
    let mut seen = read(repo);
    if let Some(last) = seen.last().copied()
        && (Some(last) == from || walk::leads_to(repo, last, to).unwrap_or(false))
    {
        seen.pop();
    }
    seen.push(to);
    let text: String = seen.iter().rev().take(MOST).rev().map(|id| format!("{id}\n")).collect();
    files::replace(&place(repo), text.as_bytes(), false)
}

/// Returns the newest commits that were made here. A history that was only added to has them all.
///
/// # Errors
/// The repository cannot be opened.
pub fn made_here(root: &Path) -> Result<Vec<String>> {
    let repo = repository::open(root)?;
    Ok(read(&repo).iter().map(ToString::to_string).collect())
}
