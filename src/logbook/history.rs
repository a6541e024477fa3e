//! What git remembers of a logbook: its files in a commit, and when each record came in.
//!
//! Takes a folder and a revision, gives a snapshot or commit facts by path. What is wrong with a file
//! (a link, too large, not readable) is listed in its place, so that one bad file hides no other.

use std::collections::{BTreeMap, HashMap};
use std::path::Path;

use anyhow::{Result, anyhow};
use gix::ObjectId;
use gix::bstr::ByteSlice;
use gix::objs::tree::EntryKind;

use super::bounded::{self, Allowance};
use super::committed::Committed;
use super::layout::{self, FOLDERS, SIZE_LIMIT};
use super::lives;
use super::repository;
use super::revision;
use super::rivals;
use super::snapshot::{CommitInfo, FileContent, Snapshot, Source};
use super::walk::Content;
use super::whole;

/// Below this number of files a second thread costs more than it saves.
const FILES_WORTH_A_THREAD: usize = 1000;
const MOST_THREADS: usize = 8;

/// Returns whether `root` is the top of a git repository with at least one commit.
pub fn has_history(root: &Path) -> Result<bool> {
    if !repository::is_top(root) {
        return Ok(false);
    }
    let repo = repository::open(root)?;
    Ok(repo.head()?.id().is_some())
}

/// Returns the id of the last commit; nothing when there is no history.
pub fn last_commit(root: &Path) -> Result<Option<String>> {
    if !repository::is_top(root) {
        return Ok(None);
    }
    let repo = repository::open(root)?;
    let id = repo.head()?.id().map(|id| id.to_string());
    Ok(id)
}

/// Returns whether the repository holds a commit, by its whole id.
pub fn has_commit(root: &Path, id: &str) -> bool {
    let Ok(repo) = repository::open(root) else { return false };
    gix::ObjectId::from_hex(id.as_bytes()).is_ok_and(|id| repo.find_commit(id).is_ok())
}

/// Returns the commits of the history that no program of git wrote as they are; none where there is no history.
pub fn odd_commits(root: &Path) -> Result<Vec<CommitInfo>> {
    if !has_history(root)? {
        return Ok(Vec::new());
    }
    Committed::open(root)?.odd_commits("HEAD")
}

/// Returns all files of the logbook in `root` as they were in the commit named by `rev`.
///
/// `rev` is what git would take: `HEAD`, a branch, a tag, or the first digits of a commit. Seven digits or more are those of
/// a commit where there is one, whatever tag or branch has such a name.
pub fn read_commit(root: &Path, rev: &str) -> Result<Snapshot> {
    let repo = repository::open(root)?;
    let commit = revision::find(&repo, rev)?;
    let info = repository::commit_info(&commit);
    let listed = list_files(&repo, commit.tree_id()?.detach())?;
    let files = read_files(&repo, listed)?;
    Ok(Snapshot { files, source: Source::Commit(info) })
}

/// Returns some files of the logbook as they were in the commit named by `rev`, those that it has.
pub fn read_commit_files(root: &Path, rev: &str, paths: &[&str]) -> Result<BTreeMap<String, FileContent>> {
    let repo = repository::open(root)?;
    let tree = revision::find(&repo, rev)?.tree()?;
    let mut files = BTreeMap::new();
    for path in paths {
        let Some(entry) = tree.lookup_entry_by_path(path)? else { continue };
        let listed = Listed::plain(path, entry.mode().kind(), entry.object_id());
        files.insert((*path).to_owned(), read_file(&repo, &listed));
    }
    Ok(files)
}

/// A file in a commit, not yet read.
pub(super) struct Listed {
    pub(super) path: String,
    /// Why it cannot be read, whatever is in it.
    flaw: Option<&'static str>,
    pub(super) kind: EntryKind,
    pub(super) id: ObjectId,
}

impl Listed {
    /// Returns a file with nothing wrong about its name.
    pub(super) fn plain(path: &str, kind: EntryKind, id: ObjectId) -> Listed {
        Listed { path: path.to_owned(), flaw: None, kind, id }
    }
}

/// Returns the files that belong to the logbook in a tree, without reading them.
pub(super) fn list_files(repo: &gix::Repository, root: ObjectId) -> Result<Vec<Listed>> {
    list_those(repo, root, layout::belongs)
}

/// Returns the files in a tree whose paths are wanted, without reading them.
pub(super) fn list_those(repo: &gix::Repository, root: ObjectId, is_wanted: fn(&str) -> bool) -> Result<Vec<Listed>> {
    let mut listed = Vec::new();
    let mut allowance = Allowance::of_a_commit();
    // A list of its own instead of recursion: the depth of a tree is in the hands of whoever made it.
    let mut open = vec![(String::new(), None, root)];
    while let Some((folder, folder_flaw, id)) = open.pop() {
        let entries = whole::folder(repo, id, &folder)?;
        allowance.spend(entries.len())?;
        for whole::Entry { name, flaw, kind, id } in entries {
            let flaw = folder_flaw.or(flaw);
            let path = format!("{folder}{name}");
            if kind == EntryKind::Tree {
                let below = format!("{path}/");
                match bounded::too_deep(&below) {
                    Some(flaw) => listed.push(Listed { path, flaw: Some(flaw), kind, id }),
                    None if !folder.is_empty() || FOLDERS.contains(&path.as_str()) => open.push((below, flaw, id)),
                    None => {}
                }
            } else if is_wanted(&path)
                || is_filled_keeper(&path, id)
                || (folder.is_empty() && FOLDERS.contains(&path.as_str()))
            {
                // A link or a file in place of a folder is listed as well, as it is on disk.
                listed.push(Listed { path, flaw, kind, id });
            }
        }
    }
    Ok(listed)
}

/// Returns whether a file that should be empty is not.
fn is_filled_keeper(path: &str, id: ObjectId) -> bool {
    let name = path.rsplit_once('/').map(|(folder, name)| (folder.split('/').next().unwrap_or_default(), name));
    name.is_some_and(|(top, name)| FOLDERS.contains(&top) && name == layout::KEEPER) && !id.is_empty_blob()
}

fn read_files(repo: &gix::Repository, listed: Vec<Listed>) -> Result<BTreeMap<String, FileContent>> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS);
    let threads = if listed.len() < FILES_WORTH_A_THREAD { 1 } else { cores };
    let share = listed.len().div_ceil(threads).max(1);
    let repo = repo.clone().into_sync();
    let parts = std::thread::scope(|scope| {
        let workers: Vec<_> = listed
            .chunks(share)
            .map(|chunk| {
                let repo = repo.to_thread_local();
                scope.spawn(move || -> Vec<(String, FileContent)> {
                    chunk.iter().map(|file| (file.path.clone(), read_file(&repo, file))).collect()
                })
            })
            .collect();
        workers.into_iter().map(std::thread::ScopedJoinHandle::join).collect::<Vec<_>>()
    });
    let mut files = BTreeMap::new();
    for part in parts {
        files.extend(part.map_err(|_| anyhow!("reading the files of a commit stopped half-way"))?);
    }
    Ok(files)
}

pub(super) fn read_file(repo: &gix::Repository, file: &Listed) -> FileContent {
    let reason = |text: &str| FileContent::Unreadable(text.to_owned());
    if let Some(flaw) = file.flaw {
        return reason(flaw);
    }
    match file.kind {
        EntryKind::Link => return FileContent::Link,
        EntryKind::Commit => return reason("it is another git repository (a submodule)"),
        EntryKind::Blob | EntryKind::BlobExecutable | EntryKind::Tree => {}
    }
    // The size is asked first, because a small packed object can unfold to any size.
    match repo.find_header(file.id) {
        Ok(header) if header.size() > SIZE_LIMIT => FileContent::TooLarge(header.size()),
        Ok(_) => match whole::content(repo, file.id) {
            Ok(bytes) => FileContent::Bytes(bytes),
            Err(error) => reason(&format!("git cannot give its content: {error}")),
        },
        Err(error) => reason(&format!("git cannot give its content: {error}")),
    }
}

/// Returns the commit that the working files stand on, and whether any of them differs from it.
///
/// A line ending that git changed on checkout is not a difference.
pub(super) fn compare_with_head(
    root: &Path,
    files: &BTreeMap<String, FileContent>,
) -> Result<(Option<CommitInfo>, bool)> {
    if !repository::is_top(root) {
        return Ok((None, false));
    }
    let repo = repository::open(root)?;
    if repo.head()?.id().is_none() {
        return Ok((None, !files.is_empty()));
    }
    let commit = revision::find(&repo, "HEAD")?;
    let listed = list_files(&repo, commit.tree_id()?.detach())?;
    let mut uncommitted = listed.len() != files.len();
    for file in &listed {
        uncommitted = uncommitted || !files.get(&file.path).is_some_and(|content| is_same(file, content));
    }
    Ok((Some(repository::commit_info(&commit)), uncommitted))
}

/// Returns whether a file on disk is the same as in the commit.
pub(super) fn is_same(committed: &Listed, content: &FileContent) -> bool {
    match content {
        FileContent::Bytes(bytes) => {
            let has_id = |bytes: &[u8]| {
                gix::objs::compute_hash(committed.id.kind(), gix::objs::Kind::Blob, bytes)
                    .is_ok_and(|id| id == committed.id)
            };
            has_id(bytes) || (bytes.contains_str("\r\n") && has_id(&bytes.replace("\r\n", "\n")))
        }
        // What was not read cannot be compared; the reader of the snapshot is told about it anyway.
        FileContent::TooLarge(_) | FileContent::Unreadable(_) => true,
        FileContent::Link => committed.kind == EntryKind::Link,
    }
}

/// Returns, for every path that was ever under `records/`, the commit that added it first.
///
/// A merge adds only what none of its parents had. Paths that are no longer there are included.
pub fn first_commits(root: &Path) -> Result<BTreeMap<String, CommitInfo>> {
    let repo = repository::open(root)?;
    let lives = lives::of_records(&repo)?;
    let mut infos = Infos { repo: &repo, known: HashMap::new() };
    lives.into_iter().map(|(path, life)| Ok((path, infos.get(life.added)?))).collect()
}

/// Returns the paths of the files of the last commit whose content git has lost.
pub fn lost_files(root: &Path) -> Result<Vec<String>> {
    let repo = repository::open(root)?;
    let tree = repo.head_tree_id_or_empty()?.detach();
    let lost = list_files(&repo, tree)?.into_iter().filter(|file| repo.find_header(file.id).is_err());
    Ok(lost.map(|file| file.path).collect())
}

/// A record that is no longer what was first committed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Altered {
    pub path: String,
    pub how: AlteredHow,
    /// The commit that added the record.
    pub added: CommitInfo,
    /// The last commit that changed it, where a single commit can be named.
    pub by: Option<CommitInfo>,
}

/// What became of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlteredHow {
    Edited,
    Removed,
    /// Two histories that were merged brought two records of one name, and nobody can tell which is the one.
    TwoUnderOneName,
}

/// Returns the records that in `HEAD` differ from what was first committed, in order of their paths.
///
/// In a logbook that is only ever added to, this list is empty.
pub fn altered_records(root: &Path) -> Result<Vec<Altered>> {
    let repo = repository::open(root)?;
    let lives = lives::of_records(&repo)?;
    if lives.is_empty() {
        return Ok(Vec::new());
    }
    let tree = revision::find(&repo, "HEAD")?.tree_id()?.detach();
    let now: BTreeMap<String, Content> =
        list_files(&repo, tree)?.into_iter().map(|file| (file.path, Content::of(file.kind, file.id))).collect();
    let mut infos = Infos { repo: &repo, known: HashMap::new() };
    let mut altered = Vec::new();
    for (path, life) in lives.into_iter().filter(|(path, _)| layout::is_for_ever(path)) {
        let is_kept = |text: &Content| rivals::is_kept(&now, &path, *text);
        let how = match now.get(&path) {
            // A name that two records had keeps one of them, and the other has a number.
            Some(_) if !life.rivals.is_empty() && !is_kept(&life.content) => AlteredHow::TwoUnderOneName,
            Some(_) if !life.rivals.iter().all(is_kept) => AlteredHow::TwoUnderOneName,
            Some(content) if *content == life.content || life.rivals.contains(content) => continue,
            Some(_) => AlteredHow::Edited,
            None => AlteredHow::Removed,
        };
        let added = infos.get(life.added)?;
        let by = life.touched.map(|id| infos.get(id)).transpose()?;
        altered.push(Altered { path, how, added, by });
    }
    Ok(altered)
}

/// Commit facts, each read once.
struct Infos<'repo> {
    repo: &'repo gix::Repository,
    known: HashMap<ObjectId, CommitInfo>,
}

impl Infos<'_> {
    fn get(&mut self, id: ObjectId) -> Result<CommitInfo> {
        if let Some(info) = self.known.get(&id) {
            return Ok(info.clone());
        }
        let info = repository::commit_info(&whole::commit(self.repo, id)?);
        self.known.insert(id, info.clone());
        Ok(info)
    }
}
