//! Adding files to a logbook, in commits of their own, and keeping those that people changed on disk.
//!
//! The order is what makes it safe: a turn, signatures, files on disk, objects, a note, the index, the branch, the
//! end of the turn. Everything that could be refused is refused before the first byte is written. A file
//! that exists is never written over, and a record in the history never gets another text than its first one.

use std::collections::HashSet;
use std::path::Path;

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset};
use gix::ObjectId;

use super::branch::{self, Move};
use super::files::{self, NewFile, Place, Writing};
use super::index::LockedIndex;
use super::layout::{self, SIZE_LIMIT};
use super::objects::{self, Deed, Draft};
use super::pending;
use super::repository;
use super::trouble::Trouble;

/// One file that becomes one commit.
#[derive(Debug, Clone)]
pub struct Addition {
    /// The path below the logbook, with `/`.
    pub path: String,
    pub text: String,
    pub author: Author,
    pub committer: Author,
    pub message: String,
}

/// A person and a moment, as git writes them into a commit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Author {
    pub name: String,
    pub email: String,
    pub time: DateTime<FixedOffset>,
}

/// Whether a commit must survive a power cut from the moment that the function returns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Durability {
    /// For records.
    Synced,
    /// For invented data that can be made again.
    Fast,
}

/// Makes `root` a git repository with a branch `main` and nothing in it.
pub fn create(root: &Path) -> Result<()> {
    if repository::is_top(root) {
        return Err(Trouble::new(
            format!("`{}` is a git repository already", root.display()),
            "go on with it as it is, or choose another folder",
        )
        .into());
    }
    let made = gix::create::into(root, gix::create::Kind::WithWorktree, gix::create::Options::default())
        .map_err(anyhow::Error::from)
        .with_context(|| format!("cannot make a git repository in `{}`", root.display()))?;
    let git_dir = made.as_ref().join(".git");
    let tidy = || -> std::io::Result<()> {
        // Sample programs and sample text, which nobody here asked for.
        std::fs::remove_dir_all(git_dir.join("hooks"))?;
        std::fs::remove_file(git_dir.join("description"))?;
        let unfinished = format!("{}*{}\n", layout::UNFINISHED_PREFIX, layout::UNFINISHED_SUFFIX);
        std::fs::write(git_dir.join("info").join("exclude"), unfinished)
    };
    tidy().with_context(|| format!("cannot write into `{}`", git_dir.display()))
}

/// Refuses what could not be read back, before anything is locked.
fn check(drafts: &[Draft<'_>]) -> Result<()> {
    if drafts.iter().any(|draft| draft.files.is_empty()) {
        return Err(Trouble::new(
            "a commit without files was asked for",
            "nothing was changed; name at least one file",
        )
        .into());
    }
    let mut seen = HashSet::new();
    for (path, deed) in drafts.iter().flat_map(|draft| &draft.files) {
        files::check_path(path)?;
        if !seen.insert(*path) {
            return Err(files::exists(path).into());
        }
        let text = deed.text().unwrap_or_default();
        if layout::belongs(path) && text.len() as u64 > SIZE_LIMIT {
            return Err(Trouble::new(
                format!("`{path}` would be {} bytes long, and a logbook's file has at most {SIZE_LIMIT}", text.len()),
                "shorten its remarks, or write two records",
            )
            .into());
        }
    }
    Ok(())
}

/// Makes one commit of each draft on top of `tip`, and returns their ids; nothing if the branch does not stand there any
/// more.
pub(super) fn commit(
    root: &Path,
    tip: Option<ObjectId>,
    drafts: &[Draft<'_>],
    durability: Durability,
    progress: &mut dyn FnMut(usize),
) -> Result<Option<Vec<ObjectId>>> {
    check(drafts)?;
    let sync = durability == Durability::Synced;
    let repo = repository::open(root)?;
    let seen = branch::read(&repo)?;
    if seen.tip != tip {
        return Ok(None);
    }
    let signatures = objects::sign(root, tip, seen.tree, drafts)?;
    let mut index = LockedIndex::open(&repo, root)?;
    let branch = branch::read(&repo)?;
    branch.refuse_locks(&repo, None)?;
    if branch.tip != tip {
        return Ok(None);
    }
    index.refuse_staged_changes(&repo, branch.tree)?;
    let new_files = new_files(root, &index, drafts)?;

    let writing = Writing::of(root, &new_files);
    let made = writing
        .write(sync)
        .and_then(|()| objects::make(&repo, branch.tip, branch.tree, drafts, signatures, sync, progress));
    let made = made.inspect_err(|_| writing.take_away())?;
    let (Some(new), Some(last)) = (made.commits.last().copied(), drafts.last()) else {
        return Ok(Some(Vec::new()));
    };
    let moved = pending::note(&repo, branch.tip, new, sync)
        .and_then(|()| index.put(&made.files, sync))
        .and_then(|()| branch.advance(&repo, new, last.committer, last.message, sync));
    if !matches!(moved, Ok(Move::Done)) {
        // Where not even this can be done the note stays, and the next turn finishes the commit.
        if index.take_back(sync).and_then(|()| pending::clear(&repo)).is_ok() {
            writing.take_away();
        }
        return moved.map(|_| None);
    }
    if sync {
        branch.sync(&repo).map_err(unsure)?;
    }
    // By the note the next turn knows a lock that could not be taken away; nothing else is in it any more.
    if !branch.is_locked(&repo) {
        pending::clear(&repo).ok();
    }
    Ok(Some(made.commits))
}

fn unsure(error: anyhow::Error) -> anyhow::Error {
    let help = "make a copy of the logbook on another disk now; do not record it again";
    let what = format!("it is recorded, but the disk does not say that it will stay there ({error:#})");
    Trouble::new(what, help).into()
}

/// Returns the files to write, and refuses if anything is in the place of one or a deed does not fit the disk.
fn new_files<'a>(root: &Path, index: &LockedIndex, drafts: &'a [Draft<'a>]) -> Result<Vec<NewFile<'a>>> {
    let mut new_files = Vec::new();
    for (path, deed) in drafts.iter().flat_map(|draft| &draft.files) {
        let may_change = matches!(deed, Deed::BringBack(_)) || !layout::is_for_ever(path);
        let may_be_known = !matches!(deed, Deed::Add(_)) && index.has(path) && may_change;
        if index.knows(path) && !may_be_known {
            return Err(files::exists(path).into());
        }
        let bytes = deed.text().unwrap_or_default().as_bytes();
        match (deed, files::look(root, path, bytes)) {
            (Deed::Add(_), place) => new_files.push(NewFile { path, bytes, place: place? }),
            (Deed::Keep(_) | Deed::BringBack(_), Ok(place @ Place::Same)) => {
                new_files.push(NewFile { path, bytes, place })
            }
            (Deed::Remove, Ok(Place::Free)) if index.has(path) => {}
            (Deed::Keep(_) | Deed::BringBack(_) | Deed::Remove, _) => {
                return Err(Trouble::new(
                    format!("`{path}` was changed by someone else in this moment"),
                    "nothing was kept; look at the file and run the same command again",
                )
                .into());
            }
        }
    }
    Ok(new_files)
}
