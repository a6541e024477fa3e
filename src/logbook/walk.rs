//! The way through the history: every commit from the first to the last, and what each did to the files.
//!
//! Compares the folders of each commit with those of its parents. Folders that are the same on all sides are never opened,
//! so the cost follows the changes and not the size of the logbook. Gives ids; what a commit says is not read.

mod beside;

pub(super) use beside::Beside;

use std::collections::{BTreeSet, HashMap, HashSet};
use std::rc::Rc;

use anyhow::Result;
use gix::ObjectId;
use gix::objs::tree::EntryKind;

use super::bounded::{self, Allowance};
use super::headers;
use super::trouble::Trouble;
use super::whole;

/// Which part of each commit is walked.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// What is under `records/`.
    Records,
    /// Every file, also what is not of the logbook.
    Everything,
}

/// What a commit has at a path: two files with one text are one content.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Content {
    pub(super) id: ObjectId,
    /// Whether it is a file, and neither a link nor another repository. One that may be run is a file all the same.
    pub(super) is_file: bool,
}

impl Content {
    pub(super) fn of(kind: EntryKind, id: ObjectId) -> Content {
        Content { id, is_file: matches!(kind, EntryKind::Blob | EntryKind::BlobExecutable) }
    }
}

/// A file that a commit has otherwise than one of its parents.
pub(super) struct Touched {
    pub(super) path: String,
    /// The content in each parent, in their order; nothing where it has no such file. A first commit has no parents.
    pub(super) before: Vec<Option<Content>>,
    /// The content in the commit.
    pub(super) now: Option<Content>,
}

impl Touched {
    /// Returns whether the content came from a parent, and so was put there by a commit before.
    pub(super) fn came_from_a_parent(&self) -> bool {
        self.before.contains(&self.now)
    }
}

/// What is done with a commit, its parents and the files it touched.
pub(super) type Visit<'a> = dyn FnMut(ObjectId, &[ObjectId], Vec<Touched>) -> Result<()> + 'a;

/// Calls `visit` with every commit that leads to `HEAD`, every parent before its children, and the files it touched.
pub(super) fn walk(repo: &gix::Repository, part: Part, visit: &mut Visit<'_>) -> Result<()> {
    refuse_shallow(repo)?;
    let Some(head) = repo.head()?.id() else { return Ok(()) };
    let mut trees = Trees { repo, known: HashMap::new() };
    let steps = steps(repo, part, &mut trees, head.detach(), None)?;
    go(&mut trees, part, steps, HashMap::new(), visit)
}

/// Does what [`walk`] does with the commits after `known`, a commit of before, and returns whether those are all that is new:
/// whether every way from `HEAD` back leads through it. If not, nothing is visited.
pub(super) fn walk_after(repo: &gix::Repository, part: Part, known: ObjectId, visit: &mut Visit<'_>) -> Result<bool> {
    refuse_shallow(repo)?;
    let Some(head) = repo.head()?.id() else { return Ok(false) };
    let mut trees = Trees { repo, known: HashMap::new() };
    let steps = steps(repo, part, &mut trees, head.detach(), Some(known))?;
    if steps.iter().any(|step| step.parents.is_empty()) {
        return Ok(false);
    }
    let root = root(&mut trees, part, &whole::commit(repo, known)?)?;
    go(&mut trees, part, steps, HashMap::from([(known, root)]), visit)?;
    Ok(true)
}

pub(super) fn refuse_shallow(repo: &gix::Repository) -> Result<()> {
    if !repo.is_shallow()? {
        return Ok(());
    }
    Err(Trouble::new(
        "this copy of the logbook has only the latest part of its history",
        "run `git fetch --unshallow` in it to get the rest",
    )
    .into())
}

/// Visits the steps; `roots` has the compared folders of the commits before them.
fn go(
    trees: &mut Trees<'_>,
    part: Part,
    steps: Vec<Step>,
    mut roots: HashMap<ObjectId, Option<ObjectId>>,
    visit: &mut Visit<'_>,
) -> Result<()> {
    let mut allowance = Allowance::of_a_history(steps.len());
    for step in steps {
        let before: Vec<Option<ObjectId>> = step.parents.iter().map(|id| roots.get(id).copied().flatten()).collect();
        let touched = touched(trees, &mut allowance, part, &step, before)?;
        visit(step.id, &step.parents, touched)?;
        roots.insert(step.id, step.root);
    }
    Ok(())
}

/// Returns the folder of a commit that is compared.
fn root(trees: &mut Trees<'_>, part: Part, commit: &gix::Commit<'_>) -> Result<Option<ObjectId>> {
    let tree = commit.tree_id()?.detach();
    match part {
        Part::Records => trees.folder(tree, "records"),
        Part::Everything => Ok(Some(tree)),
    }
}

/// A commit on the way from the first to the last.
struct Step {
    id: ObjectId,
    /// The folder that is compared.
    root: Option<ObjectId>,
    parents: Vec<ObjectId>,
}

/// Returns all commits that lead to the tip, every parent before its children, without `known` and what only leads to it.
fn steps(
    repo: &gix::Repository,
    part: Part,
    trees: &mut Trees<'_>,
    tip: ObjectId,
    known: Option<ObjectId>,
) -> Result<Vec<Step>> {
    let mut done = Vec::new();
    let mut seen = HashSet::new();
    let mut open: Vec<(ObjectId, Option<Step>)> = vec![(tip, None)];
    while let Some((id, read)) = open.pop() {
        if let Some(step) = read {
            done.push(step);
            continue;
        }
        if Some(id) == known || !seen.insert(id) {
            continue;
        }
        let commit = whole::commit(repo, id)?;
        let parents = headers::read(&commit.data).stands_on(repo);
        let root = root(trees, part, &commit)?;
        // The commit comes back after everything that was put on top of it, its parents.
        open.push((id, Some(Step { id, root, parents: parents.clone() })));
        open.extend(parents.into_iter().rev().map(|parent| (parent, None)));
    }
    Ok(done)
}

fn touched(
    trees: &mut Trees<'_>,
    allowance: &mut Allowance,
    part: Part,
    step: &Step,
    before: Vec<Option<ObjectId>>,
) -> Result<Vec<Touched>> {
    let top = if part == Part::Records { "records/" } else { "" };
    let mut touched = Vec::new();
    let mut open = vec![(top.to_owned(), step.root, before)];
    while let Some((folder, now, before)) = open.pop() {
        if !before.is_empty() && before.iter().all(|id| *id == now) {
            continue;
        }
        let now_entries = trees.entries(now)?;
        let before_entries = before.iter().map(|id| trees.entries(*id)).collect::<Result<Vec<_>>>()?;
        let all_entries = std::iter::once(&now_entries).chain(&before_entries);
        let names: BTreeSet<&str> =
            all_entries.flat_map(|entries| entries.iter()).map(|entry| entry.name.as_str()).collect();
        allowance.spend(names.len())?;
        for name in names {
            let path = format!("{folder}{name}");
            let now = find(&now_entries, name);
            let before: Vec<Option<&Entry>> = before_entries.iter().map(|entries| find(entries, name)).collect();
            let tree_of = |entry: Option<&Entry>| entry.and_then(Entry::folder);
            let blob_of = |entry: Option<&Entry>| entry.and_then(Entry::content);
            let trees_before: Vec<_> = before.iter().map(|entry| tree_of(*entry)).collect();
            let below = format!("{path}/");
            // What lies too deep is told where the files are listed.
            let may_be = bounded::too_deep(&below).is_none();
            if may_be && (tree_of(now).is_some() || trees_before.iter().any(Option::is_some)) {
                open.push((below, tree_of(now), trees_before));
            }
            let before: Vec<_> = before.iter().map(|entry| blob_of(*entry)).collect();
            let now = blob_of(now);
            let is_there = now.is_some() || before.iter().any(Option::is_some);
            if is_there && (before.is_empty() || before.iter().any(|blob| *blob != now)) {
                touched.push(Touched { path, before, now });
            }
        }
    }
    Ok(touched)
}

/// One name in a folder.
struct Entry {
    name: String,
    kind: EntryKind,
    id: ObjectId,
}

impl Entry {
    fn folder(&self) -> Option<ObjectId> {
        (self.kind == EntryKind::Tree).then_some(self.id)
    }

    fn content(&self) -> Option<Content> {
        (self.kind != EntryKind::Tree).then(|| Content::of(self.kind, self.id))
    }
}

/// Finds a name in a folder. Entries are sorted by name for this, not in git's own order.
fn find<'a>(entries: &'a [Entry], name: &str) -> Option<&'a Entry> {
    entries.binary_search_by(|entry| entry.name.as_str().cmp(name)).ok().map(|at| &entries[at])
}

/// Folders of the history, each read once: a commit shares nearly all of them with the one before.
#[derive(Clone)]
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
        let mut entries: Vec<Entry> = whole::folder(self.repo, id, "the logbook")?
            .into_iter()
            .map(|whole::Entry { name, kind, id, .. }| Entry { name, kind, id })
            .collect();
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
        Ok(find(&entries, name).and_then(Entry::folder))
    }
}
