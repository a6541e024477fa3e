//! Which files in the folder are not as the last commit has them.
//!
//! Asks git's index which files were looked at before and have not been touched since, so that only
//! the others are read: a folder of many records is compared in hardly more time than it is listed.

use std::collections::HashMap;
use std::path::Path;

use anyhow::Result;
use gix::ObjectId;
use gix::bstr::BStr;
use gix::index::entry::{Flags, Stat, stat};

use super::folder::{self, Found};
use super::git_folder;
use super::history::{self, Listed};
use super::layout::{self, KEPT_BESIDE, TOP_FILES};
use super::repository;
use super::snapshot::FileContent;
use super::veils::NAMES_FILE;

/// A file in the folder that is not as the last commit has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// The path below the logbook, with `/`.
    pub path: String,
    pub how: ChangedHow,
}

/// What became of a file since the last commit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChangedHow {
    New,
    Edited,
    Gone,
}

/// Returns the files of the logbook, and those beside it that its history keeps, that differ from
/// `HEAD`, in order of their paths. Before the first commit that is all of them. What git was told to leave out of
/// the folder is not among them.
pub fn changed_files(root: &Path) -> Result<Vec<Changed>> {
    compare(root, open_index)
}

/// Returns what [`changed_files`] does, with every file read: whoever can write into git's folder can make the index say
/// that an edited file was not touched.
pub fn differing_files(root: &Path) -> Result<Vec<Changed>> {
    compare(root, |_| None)
}

fn compare(root: &Path, index: fn(&gix::Repository) -> Option<gix::index::File>) -> Result<Vec<Changed>> {
    let repo = repository::open(root)?;
    let index = index(&repo);
    let tree = repo.head_tree_id_or_empty()?.detach();
    let committed = history::list_those(&repo, tree, layout::is_kept)?;
    let mut committed: HashMap<&str, &Listed> = committed.iter().map(|file| (file.path.as_str(), file)).collect();
    let beside: Vec<&str> = TOP_FILES.into_iter().chain(KEPT_BESIDE).chain([NAMES_FILE]).collect();
    let mut changed = Vec::new();
    for found in folder::list(root, &beside) {
        let how = match committed.remove(found.path.as_str()) {
            None => ChangedHow::New,
            Some(known) if index.as_ref().is_some_and(|index| is_untouched(index, &found, known.id)) => continue,
            Some(known) if is_same(&repo, known, &found.content()) => continue,
            Some(_) => ChangedHow::Edited,
        };
        changed.push(Changed { path: found.path, how });
    }
    let sparse = sparse_index(&repo);
    let is_gone = |path: &&str| !sparse.as_ref().is_some_and(|index| is_left_out(index, path));
    let gone =
        committed.into_keys().filter(is_gone).map(|path| Changed { path: path.to_owned(), how: ChangedHow::Gone });
    changed.extend(gone);
    changed.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(changed)
}

/// Returns the paths of the committed files that lie not in the folder because git was told to leave them out (a sparse
/// checkout), in order.
pub fn left_out_files(root: &Path) -> Result<Vec<String>> {
    let repo = repository::open(root)?;
    let Some(index) = sparse_index(&repo) else { return Ok(Vec::new()) };
    let tree = repo.head_tree_id_or_empty()?.detach();
    let committed = history::list_those(&repo, tree, layout::is_kept)?.into_iter().map(|file| file.path);
    let mut left_out: Vec<String> =
        committed.filter(|path| is_left_out(&index, path) && !root.join(path).exists()).collect();
    left_out.sort();
    Ok(left_out)
}

/// Returns the index where git is set to leave files out of the folder.
fn sparse_index(repo: &gix::Repository) -> Option<gix::index::File> {
    repo.config_snapshot().boolean("core.sparseCheckout").filter(|is_sparse| *is_sparse)?;
    open_index(repo)
}

fn is_left_out(index: &gix::index::File, path: &str) -> bool {
    index.entry_by_path(BStr::new(path)).is_some_and(|entry| entry.flags.contains(Flags::SKIP_WORKTREE))
}

/// An index that cannot be read saves no reading; the answer is the same without it.
fn open_index(repo: &gix::Repository) -> Option<gix::index::File> {
    git_folder::refuse_other(&repo.index_path(), git_folder::LARGEST_INDEX).ok()?;
    repo.open_index().ok()
}

fn is_same(repo: &gix::Repository, known: &Listed, content: &FileContent) -> bool {
    match content {
        FileContent::TooLarge(size) => repo.find_header(known.id).is_ok_and(|header| header.size() == *size),
        content => history::is_same(known, content),
    }
}

/// Returns whether the index knows the file with this id and the disk says it has not been touched since.
fn is_untouched(index: &gix::index::File, found: &Found, id: ObjectId) -> bool {
    let exact = stat::Options { trust_ctime: true, check_stat: true, use_nsec: true, use_stdev: false };
    // A file written in the same second as the index may have been written again after it.
    let whole_seconds = stat::Options { use_nsec: false, ..exact };
    let known = index.entry_by_path(BStr::new(&found.path)).filter(|entry| entry.id == id);
    known.zip(stat_of(found)).is_some_and(|(entry, now)| {
        entry.stat.matches(&now, exact) && !entry.stat.is_racy(index.timestamp(), whole_seconds)
    })
}

fn stat_of(found: &Found) -> Option<Stat> {
    Stat::from_fs(&gix::index::fs::Metadata::from_path_no_follow(found.plain_file()?).ok()?).ok()
}
