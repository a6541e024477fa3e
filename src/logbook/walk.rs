//! The way through the history: every commit from the first to the last, and what each did to the files.
//!
//! Compares the folders of each commit with those of its parents. Folders that are the same on all sides are never opened,
//! so the cost follows the changes and not the size of the logbook. Gives ids; what a commit says is not read.
//!
//! What counts as done by a commit is decided here, for everybody: see [`Touched::is_own`].

mod beside;

pub(super) use beside::Beside;

use std::collections::{BTreeSet, HashMap, HashSet};

use anyhow::Result;
use gix::ObjectId;
use gix::objs::tree::EntryKind;

use super::bounded::{self, Allowance};
use super::graph::Graph;
use super::headers;
use super::meeting::Meeting;
use super::trees::{Entry, Trees, find};
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

impl Part {
    /// The path of the folder that is compared.
    fn top(self) -> &'static str {
        match self {
            Part::Records => "records/",
            Part::Everything => "",
        }
    }

    /// Returns the folder that is compared of a commit's tree.
    fn of(self, trees: &mut Trees<'_>, tree: ObjectId) -> Result<Option<ObjectId>> {
        match self {
            Part::Records => trees.folder(tree, "records"),
            Part::Everything => Ok(Some(tree)),
        }
    }
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
    /// Whether this commit did it. A merge did not where its content follows from what each side did since they parted.
    pub(super) is_own: bool,
}

/// What is done with a commit, its parents and the files it touched.
pub(super) type Visit<'a> = dyn FnMut(ObjectId, &[ObjectId], Vec<Touched>) -> Result<()> + 'a;

/// Calls `visit` with every commit that leads to `HEAD`, every parent before its children, and the files it touched.
pub(super) fn walk(repo: &gix::Repository, part: Part, visit: &mut Visit<'_>) -> Result<()> {
    refuse_shallow(repo)?;
    let Some(head) = repo.head()?.id() else { return Ok(()) };
    let commits = commits(repo, head.detach(), None)?;
    Line::new(repo, part, commits.len()).go(commits, visit)
}

/// Does what [`walk`] does with the commits after `known`, a commit of before, and returns whether those are all that is new:
/// whether every way from `HEAD` back leads through it. If not, nothing is visited.
pub(super) fn walk_after(repo: &gix::Repository, part: Part, known: ObjectId, visit: &mut Visit<'_>) -> Result<bool> {
    refuse_shallow(repo)?;
    let Some(head) = repo.head()?.id() else { return Ok(false) };
    let commits = commits(repo, head.detach(), Some(known))?;
    if commits.iter().any(|commit| commit.parents.is_empty()) {
        return Ok(false);
    }
    let mut line = Line::new(repo, part, commits.len());
    line.add(known, whole::commit(repo, known)?.tree_id()?.detach(), Vec::new())?;
    line.go(commits, visit)?;
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

/// A commit, not yet compared.
pub(super) struct Commit {
    pub(super) id: ObjectId,
    pub(super) parents: Vec<ObjectId>,
    tree: ObjectId,
}

/// Returns all commits that lead to the tip, every parent before its children, without `known` and what only leads to it.
pub(super) fn commits(repo: &gix::Repository, tip: ObjectId, known: Option<ObjectId>) -> Result<Vec<Commit>> {
    let mut done = Vec::new();
    let mut seen = HashSet::new();
    let mut open: Vec<(ObjectId, Option<Commit>)> = vec![(tip, None)];
    while let Some((id, read)) = open.pop() {
        if let Some(commit) = read {
            done.push(commit);
            continue;
        }
        if Some(id) == known || !seen.insert(id) {
            continue;
        }
        let commit = whole::commit(repo, id)?;
        let parents = headers::read(&commit.data).stands_on(repo);
        // The commit comes back after everything that was put on top of it, its parents.
        open.push((id, Some(Commit { id, parents: parents.clone(), tree: commit.tree_id()?.detach() })));
        open.extend(parents.into_iter().rev().map(|parent| (parent, None)));
    }
    Ok(done)
}

/// Returns whether a commit is another one, or among those that it stands on.
pub(super) fn leads_to(repo: &gix::Repository, old: ObjectId, new: ObjectId) -> Result<bool> {
    Ok(old == new || commits(repo, new, Some(old))?.iter().any(|commit| commit.parents.contains(&old)))
}

/// The commits as far as the walk has come.
struct Line<'repo> {
    trees: Trees<'repo>,
    part: Part,
    allowance: Allowance,
    graph: Graph,
    places: HashMap<ObjectId, usize>,
    /// The folder of each commit that is compared, by place.
    roots: Vec<Option<ObjectId>>,
}

impl<'repo> Line<'repo> {
    fn new(repo: &'repo gix::Repository, part: Part, commits: usize) -> Line<'repo> {
        Line {
            trees: Trees::of(repo),
            part,
            allowance: Allowance::of_a_history(commits),
            graph: Graph::default(),
            places: HashMap::new(),
            roots: Vec::new(),
        }
    }

    /// Adds a commit, and returns the folder of it that is compared.
    fn add(&mut self, id: ObjectId, tree: ObjectId, parents: Vec<usize>) -> Result<Option<ObjectId>> {
        let root = self.part.of(&mut self.trees, tree)?;
        self.places.insert(id, self.graph.add(parents));
        self.roots.push(root);
        Ok(root)
    }

    fn go(mut self, commits: Vec<Commit>, visit: &mut Visit<'_>) -> Result<()> {
        for commit in commits {
            let parents: Vec<usize> = commit.parents.iter().filter_map(|id| self.places.get(id).copied()).collect();
            let before = parents.iter().map(|at| self.root(*at)).collect();
            let root = self.add(commit.id, commit.tree, parents.clone())?;
            let mut touched = touched(&mut self.trees, &mut self.allowance, self.part, root, before)?;
            self.tell_own(&parents, &mut touched)?;
            visit(commit.id, &commit.parents, touched)?;
        }
        Ok(())
    }

    fn root(&self, at: usize) -> Option<ObjectId> {
        self.roots.get(at).copied().flatten()
    }

    /// Says of what a merge has from its sides whether it follows from what they did.
    fn tell_own(&mut self, parents: &[usize], touched: &mut [Touched]) -> Result<()> {
        let mut meeting = None;
        for file in touched.iter_mut().filter(|file| parents.len() > 1 && file.before.contains(&file.now)) {
            let meeting = meeting.get_or_insert_with(|| Meeting::of(&self.graph, parents));
            let below = file.path.strip_prefix(self.part.top()).unwrap_or(&file.path);
            let follows = meeting
                .result(&file.before, &mut |base| self.trees.content(self.roots.get(base).copied().flatten(), below))?;
            file.is_own = follows != Some(file.now);
        }
        Ok(())
    }
}

/// Returns the files that a commit has otherwise than one of its parents, given the folder of each that is compared.
fn touched(
    trees: &mut Trees<'_>,
    allowance: &mut Allowance,
    part: Part,
    root: Option<ObjectId>,
    before: Vec<Option<ObjectId>>,
) -> Result<Vec<Touched>> {
    let mut touched = Vec::new();
    let mut open = vec![(part.top().to_owned(), root, before)];
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
                touched.push(Touched { path, before, now, is_own: true });
            }
        }
    }
    Ok(touched)
}
