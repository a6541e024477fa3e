//! The life of every record: the commit that added it and the commit that touched it last.
//!
//! Walks the whole history from the first commit to the last and compares each commit's `records`
//! folder with those of its parents. Folders that are the same on both sides are never opened, so the
//! cost follows the changes and not the size of the logbook. Gives ids; what a commit says is not read.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::rc::Rc;

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::bstr::ByteSlice;

use super::repository;

/// When a record came in, as what, and which commit touched it last after that.
pub(super) struct Life {
    pub(super) added: ObjectId,
    pub(super) blob: ObjectId,
    pub(super) touched: Option<ObjectId>,
}

/// A commit on the way from the first to the last.
struct Step {
    id: ObjectId,
    records: Option<ObjectId>,
    parents: Vec<ObjectId>,
}

/// Returns the life of every path that was ever under `records/`.
pub(super) fn of_records(repo: &gix::Repository) -> Result<BTreeMap<String, Life>> {
    repository::refuse_shallow(repo)?;
    let mut lives = BTreeMap::new();
    let Some(head) = repo.head()?.id() else {
        return Ok(lives);
    };
    let mut trees = Trees { repo, known: HashMap::new() };
    let mut records_of: HashMap<ObjectId, Option<ObjectId>> = HashMap::new();
    for step in steps(repo, &mut trees, head.detach())? {
        let before: Vec<Option<ObjectId>> =
            step.parents.iter().map(|id| records_of.get(id).copied().flatten()).collect();
        record_changes(&mut trees, &step, &before, &mut lives)?;
        records_of.insert(step.id, step.records);
    }
    Ok(lives)
}

/// Returns all commits that lead to `head`, every parent before its children.
fn steps(repo: &gix::Repository, trees: &mut Trees<'_>, head: ObjectId) -> Result<Vec<Step>> {
    let mut done = Vec::new();
    let mut seen = HashSet::new();
    let mut open = vec![(head, None)];
    while let Some((id, read)) = open.pop() {
        if let Some(step) = read {
            done.push(step);
            continue;
        }
        if !seen.insert(id) {
            continue;
        }
        let commit = repo.find_commit(id).with_context(|| format!("cannot read commit {id}"))?;
        let parents: Vec<ObjectId> = commit.parent_ids().map(gix::Id::detach).collect();
        let records = trees.folder(commit.tree_id()?.detach(), "records")?;
        // The commit comes back after everything that was put on top of it, its parents.
        open.push((id, Some(Step { id, records, parents: parents.clone() })));
        open.extend(parents.into_iter().rev().map(|parent| (parent, None)));
    }
    Ok(done)
}

fn record_changes(
    trees: &mut Trees<'_>,
    step: &Step,
    before: &[Option<ObjectId>],
    lives: &mut BTreeMap<String, Life>,
) -> Result<()> {
    let mut open = vec![("records/".to_owned(), step.records, before.to_vec())];
    while let Some((folder, now, before)) = open.pop() {
        // What equals one parent came from there, and its story is told by that parent's commits.
        if before.contains(&now) {
            continue;
        }
        let now_entries = trees.entries(now)?;
        let before_entries = before.iter().map(|id| trees.entries(*id)).collect::<Result<Vec<_>>>()?;
        let all_entries = std::iter::once(&now_entries).chain(&before_entries);
        let names: BTreeSet<&str> =
            all_entries.flat_map(|entries| entries.iter()).map(|entry| entry.name.as_str()).collect();
        for name in names {
            let path = format!("{folder}{name}");
            let now = find(&now_entries, name);
            let before: Vec<Option<&Entry>> = before_entries.iter().map(|entries| find(entries, name)).collect();
            let tree_of = |entry: Option<&Entry>| entry.filter(|entry| entry.is_folder).map(|entry| entry.id);
            let blob_of = |entry: Option<&Entry>| entry.filter(|entry| !entry.is_folder).map(|entry| entry.id);
            let trees_before: Vec<_> = before.iter().map(|entry| tree_of(*entry)).collect();
            if tree_of(now).is_some() || trees_before.iter().any(Option::is_some) {
                open.push((format!("{path}/"), tree_of(now), trees_before));
            }
            let blobs_before: Vec<_> = before.iter().map(|entry| blob_of(*entry)).collect();
            let blob = blob_of(now);
            if blobs_before.contains(&blob) {
                continue;
            }
            match (lives.get_mut(&path), blob) {
                (Some(life), _) => life.touched = Some(step.id),
                (None, Some(blob)) => {
                    lives.insert(path, Life { added: step.id, blob, touched: None });
                }
                (None, None) => {}
            }
        }
    }
    Ok(())
}

/// One name in a folder.
struct Entry {
    name: String,
    is_folder: bool,
    id: ObjectId,
}

/// Finds a name in a folder. Entries are sorted by name for this, not in git's own order.
fn find<'a>(entries: &'a [Entry], name: &str) -> Option<&'a Entry> {
    entries.binary_search_by(|entry| entry.name.as_str().cmp(name)).ok().map(|at| &entries[at])
}

/// Folders of the history, each read once: a commit shares nearly all of them with the one before.
struct Trees<'repo> {
    repo: &'repo gix::Repository,
    known: HashMap<ObjectId, Rc<[Entry]>>,
}

impl Trees<'_> {
    /// Keeps the memory of a long history within bounds.
    const MOST_KNOWN: usize = 20_000;

    fn entries(&mut self, id: Option<ObjectId>) -> Result<Rc<[Entry]>> {
        let Some(id) = id else {
            return Ok(Rc::from([]));
        };
        if let Some(entries) = self.known.get(&id) {
            return Ok(Rc::clone(entries));
        }
        let tree = self.repo.find_tree(id).with_context(|| format!("cannot read the folder {id} in git"))?;
        let mut entries = Vec::new();
        for entry in tree.iter() {
            let entry = entry?;
            entries.push(Entry {
                name: entry.filename().to_str_lossy().into_owned(),
                is_folder: entry.mode().is_tree(),
                id: entry.object_id(),
            });
        }
        entries.sort_by(|a, b| a.name.cmp(&b.name));
        if self.known.len() >= Self::MOST_KNOWN {
            self.known.clear();
        }
        let entries: Rc<[Entry]> = Rc::from(entries);
        self.known.insert(id, Rc::clone(&entries));
        Ok(entries)
    }

    fn folder(&mut self, tree: ObjectId, name: &str) -> Result<Option<ObjectId>> {
        let entries = self.entries(Some(tree))?;
        Ok(find(&entries, name).filter(|entry| entry.is_folder).map(|entry| entry.id))
    }
}
