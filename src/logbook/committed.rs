//! The files of several commits of one history, each content read once however many commits hold it.
//!
//! Gives, for a commit, paths with the ids of their contents, and a content by its id. Commits of a logbook share nearly
//! all of their files, so that looking at one commit for each month costs little more than looking at the last.

use std::collections::{HashMap, HashSet};
use std::path::Path;

use anyhow::{Context, Result};
use gix::ObjectId;

use super::history::{self, Listed};
use super::repository;
use super::snapshot::{CommitInfo, FileContent};
use super::walk::{self, Commit, Content};
use super::whole;

/// A history whose commits are looked at.
pub struct Committed {
    repo: gix::Repository,
}

/// A file as a commit has it.
pub struct CommittedFile {
    pub path: String,
    /// What it is: the same for the same bytes, and another for a link to them.
    pub content: Content,
    listed: Listed,
}

impl Committed {
    /// Opens the history of the logbook in `root`.
    pub fn open(root: &Path) -> Result<Committed> {
        Ok(Committed { repo: repository::open(root)? })
    }

    /// Returns the files of the logbook in a commit, in order of their paths; nothing when there is no such commit here.
    pub fn files(&self, commit: &str) -> Result<Option<Vec<CommittedFile>>> {
        let Ok(id) = ObjectId::from_hex(commit.as_bytes()) else { return Ok(None) };
        if !self.repo.find_header(id).is_ok_and(|header| header.kind() == gix::objs::Kind::Commit) {
            return Ok(None);
        }
        let commit = whole::commit(&self.repo, id)?;
        let mut files: Vec<CommittedFile> = history::list_files(&self.repo, commit.tree_id()?.detach())?
            .into_iter()
            .map(|listed| CommittedFile {
                path: listed.path.clone(),
                content: Content::of(listed.kind, listed.id),
                listed,
            })
            .collect();
        files.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(Some(files))
    }

    /// Returns the content of a file.
    pub fn content(&self, file: &CommittedFile) -> FileContent {
        history::read_file(&self.repo, &file.listed)
    }

    /// Returns the ids of the commits that lead to `rev`, and its own.
    pub fn lead_to(&self, rev: &str) -> Result<HashSet<String>> {
        Ok(self.commits(rev)?.into_iter().map(|commit| commit.id.to_string()).collect())
    }

    /// Returns the commits that lead to `rev`, and that one, which no program of git wrote as they are.
    pub fn odd_commits(&self, rev: &str) -> Result<Vec<CommitInfo>> {
        let mut odd = Vec::new();
        for commit in self.commits(rev)? {
            let info = repository::commit_info(&whole::commit(&self.repo, commit.id)?);
            if !info.flaws.is_empty() {
                odd.push(info);
            }
        }
        Ok(odd)
    }

    /// Returns the commit that stands before the one that brought a file; nothing when none did, or the first one.
    ///
    /// Asks every commit, and so is only for what hardly ever happens.
    pub fn before(&self, rev: &str, path: &str) -> Result<Option<String>> {
        for Commit { id, parents, .. } in self.commits(rev)? {
            let brought = self.has(id, path)?
                && parents
                    .iter()
                    .map(|parent| self.has(*parent, path))
                    .collect::<Result<Vec<_>>>()?
                    .iter()
                    .all(|has| !has);
            if brought {
                return Ok(parents.first().map(ObjectId::to_string));
            }
        }
        Ok(None)
    }

    /// Returns what the commit says of itself that brought each file of a folder as it is in `rev`: the oldest of those whose
    /// parents have it not.
    ///
    /// Asks every commit for the folder, and looks into it only where it changed.
    pub fn brought(&self, rev: &str, folder: &str) -> Result<HashMap<String, CommitInfo>> {
        let walked: Vec<(ObjectId, Vec<ObjectId>)> =
            self.commits(rev)?.into_iter().map(|commit| (commit.id, commit.parents)).collect();
        let mut folders: HashMap<ObjectId, Option<ObjectId>> = HashMap::new();
        for (id, _) in &walked {
            let entry = whole::commit(&self.repo, *id)?.tree()?.lookup_entry_by_path(folder)?;
            folders.insert(*id, entry.filter(|entry| entry.mode().is_tree()).map(|entry| entry.object_id()));
        }
        let of = |id: &ObjectId| folders.get(id).copied().flatten();
        let files = |folder: Option<ObjectId>| match folder {
            Some(id) => whole::folder(&self.repo, id, ""),
            None => Ok(Vec::new()),
        };
        let named = |file: whole::Entry| (file.name, file.id);
        let now = files(walked.first().and_then(|(id, _)| of(id)))?;
        let now: HashMap<String, ObjectId> = now.into_iter().map(named).collect();
        let mut brought: HashMap<String, CommitInfo> = HashMap::new();
        for (id, parents) in walked.iter().filter(|(id, parents)| parents.iter().all(|parent| of(parent) != of(id))) {
            let mut before: HashSet<(String, ObjectId)> = HashSet::new();
            for parent in parents {
                before.extend(files(of(parent))?.into_iter().map(named));
            }
            for (name, content) in files(of(id))?.into_iter().map(named) {
                let path = format!("{folder}/{name}");
                if now.get(&name) != Some(&content) || before.contains(&(name, content)) {
                    continue;
                }
                let info = repository::commit_info(&whole::commit(&self.repo, *id)?);
                if brought.get(&path).is_none_or(|known| info.time < known.time) {
                    brought.insert(path, info);
                }
            }
        }
        Ok(brought)
    }

    /// Returns a file of a commit; nothing when it has none of this path.
    pub fn file(&self, commit: &str, path: &str) -> Result<Option<FileContent>> {
        let tree = whole::commit(&self.repo, ObjectId::from_hex(commit.as_bytes())?)?.tree()?;
        let Some(entry) = tree.lookup_entry_by_path(path)? else { return Ok(None) };
        let listed = Listed::plain(path, entry.mode().kind(), entry.object_id());
        Ok(Some(history::read_file(&self.repo, &listed)))
    }

    /// Returns what a commit says of itself.
    pub fn info(&self, commit: &str) -> Result<CommitInfo> {
        Ok(repository::commit_info(&whole::commit(&self.repo, ObjectId::from_hex(commit.as_bytes())?)?))
    }

    /// Returns whether any commit that leads to `rev` has a file.
    pub fn ever_had(&self, rev: &str, path: &str) -> Result<bool> {
        for commit in self.commits(rev)? {
            if self.has(commit.id, path)? {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Returns every commit that leads to `rev`, and that one, the last ones first.
    fn commits(&self, rev: &str) -> Result<Vec<Commit>> {
        walk::refuse_shallow(&self.repo)?;
        let last = self.repo.rev_parse_single(rev).with_context(|| format!("cannot find `{rev}`"))?.detach();
        let mut commits = walk::commits(&self.repo, last, None)?;
        commits.reverse();
        Ok(commits)
    }

    fn has(&self, commit: ObjectId, path: &str) -> Result<bool> {
        let tree = whole::commit(&self.repo, commit)?.tree()?;
        Ok(tree.lookup_entry_by_path(path)?.is_some())
    }
}
