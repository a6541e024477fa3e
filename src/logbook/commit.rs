//! Adding files to a logbook, in commits of their own, and keeping those that people changed on disk.
//!
//! The order is what makes it safe: own lock, files on disk, objects, a note, the index, the branch,
//! unlock. Everything that could be refused is refused before the first byte is written. A file that
//! exists is never written over, and a record in the history never gets another text.

use std::collections::HashSet;
use std::path::Path;
use std::time::Duration;

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset};

use super::branch::{self, Move};
use super::files::{self, NewFile, Place};
use super::index::LockedIndex;
use super::layout::{self, SIZE_LIMIT};
use super::lock;
use super::objects::{self, Deed, Draft};
use super::pending;
use super::repository;
use super::trouble::Trouble;

const PATIENCE: Duration = Duration::from_secs(10);
/// How often to start again when someone else's commit comes first.
const ATTEMPTS: usize = 5;

/// One file that becomes one commit.
#[derive(Debug, Clone)]
pub struct Addition {
    /// The path below the logbook, with `/`.
    pub path: String,
    pub text: String,
    pub author: Signature,
    pub committer: Signature,
    pub message: String,
}

/// A person and a moment, as git writes them into a commit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
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

/// Adds every file in a commit of its own, in order, and returns the ids of the commits.
///
/// `progress` is told the number of commits made so far. Either all commits are on the branch
/// afterwards or none is; what was written to disk before a failure stays there and may be added again.
pub fn commit_each(
    root: &Path,
    additions: &[Addition],
    durability: Durability,
    progress: &mut dyn FnMut(usize),
) -> Result<Vec<String>> {
    let drafts: Vec<Draft<'_>> = additions
        .iter()
        .map(|addition| Draft {
            files: vec![(&addition.path, Deed::Add(&addition.text))],
            author: &addition.author,
            committer: &addition.committer,
            message: &addition.message,
        })
        .collect();
    add(root, &drafts, durability, progress)
}

/// Adds several files, given as path and text, in one commit and returns its id.
pub fn commit_all(
    root: &Path,
    files: &[(String, String)],
    author: &Signature,
    committer: &Signature,
    message: &str,
) -> Result<String> {
    let files = files.iter().map(|(path, text)| (path.as_str(), Deed::Add(text.as_str()))).collect();
    one(root, Draft { files, author, committer, message })
}

/// Keeps the files that were changed on disk, given as path and text, in one commit and returns its id.
///
/// The text must be what is on disk, and nothing for a file that is gone from it. A record or a seal
/// that is in the history already is refused.
pub fn commit_changed(
    root: &Path,
    files: &[(String, Option<String>)],
    author: &Signature,
    committer: &Signature,
    message: &str,
) -> Result<String> {
    let deeds = files.iter().map(|(path, text)| (path.as_str(), text.as_deref().map_or(Deed::Remove, Deed::Keep)));
    let files = deeds.collect();
    one(root, Draft { files, author, committer, message })
}

fn one(root: &Path, draft: Draft<'_>) -> Result<String> {
    let ids = add(root, &[draft], Durability::Synced, &mut |_| {})?;
    ids.into_iter().next().context("one commit was asked for and none was made")
}

fn add(
    root: &Path,
    drafts: &[Draft<'_>],
    durability: Durability,
    progress: &mut dyn FnMut(usize),
) -> Result<Vec<String>> {
    check(drafts)?;
    if drafts.is_empty() {
        return Ok(Vec::new());
    }
    let sync = durability == Durability::Synced;
    let repo = repository::open(root)?;
    let _lock = lock::acquire(repo.git_dir(), PATIENCE)?;
    for _ in 0..ATTEMPTS {
        if let Some(ids) = attempt(root, drafts, sync, progress)? {
            return Ok(ids);
        }
    }
    Err(Trouble::new(
        "someone else keeps committing to this logbook at the same time",
        "the files are written but not committed; run the same command again",
    )
    .into())
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

/// Tries once; gives nothing if someone else's commit came first.
fn attempt(
    root: &Path,
    drafts: &[Draft<'_>],
    sync: bool,
    progress: &mut dyn FnMut(usize),
) -> Result<Option<Vec<String>>> {
    let repo = repository::open(root)?;
    pending::finish(&repo, root)?;
    let mut index = LockedIndex::open(&repo, root)?;
    let branch = branch::read(&repo)?;
    index.refuse_staged_changes(&repo, branch.tree)?;
    let new_files = new_files(root, &index, drafts)?;

    files::write_all(root, &new_files, sync)?;
    let made = objects::make(&repo, branch.tip, branch.tree, drafts, progress)?;
    if sync {
        objects::sync(&repo, &made)?;
    }
    let (Some(new), Some(last)) = (made.commits.last().copied(), drafts.last()) else {
        return Ok(Some(Vec::new()));
    };
    let moved = pending::note(&repo, branch.tip, new, sync)
        .and_then(|()| index.put(&made.files, sync))
        .and_then(|()| branch.advance(&repo, new, last.committer, last.message, sync));
    if !matches!(moved, Ok(Move::Done)) {
        // Where not even this can be done the note stays, and the next command finishes the commit.
        index.take_back(sync).and_then(|()| pending::clear(&repo)).ok();
        return Ok(moved.map(|_| None)?);
    }
    if sync {
        branch.sync(&repo)?;
    }
    pending::clear(&repo)?;
    Ok(Some(made.commits.iter().map(ToString::to_string).collect()))
}

/// Returns the files to write, and refuses if anything is in the place of one or a deed does not fit the disk.
fn new_files<'a>(root: &Path, index: &LockedIndex, drafts: &'a [Draft<'a>]) -> Result<Vec<NewFile<'a>>> {
    let mut new_files = Vec::new();
    for (path, deed) in drafts.iter().flat_map(|draft| &draft.files) {
        let may_be_known = !matches!(deed, Deed::Add(_)) && index.has(path) && !layout::is_for_ever(path);
        if index.knows(path) && !may_be_known {
            return Err(files::exists(path).into());
        }
        let bytes = deed.text().unwrap_or_default().as_bytes();
        match (deed, files::look(root, path, bytes)) {
            (Deed::Add(_), place) => new_files.push(NewFile { path, bytes, place: place? }),
            (Deed::Keep(_), Ok(place @ Place::Same)) => new_files.push(NewFile { path, bytes, place }),
            (Deed::Remove, Ok(Place::Free)) if index.has(path) => {}
            (Deed::Keep(_) | Deed::Remove, _) => {
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
