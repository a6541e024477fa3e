//! The folders of the history, each read once: a commit shares nearly all of them with the one before.

use std::collections::HashMap;
use std::rc::Rc;

use anyhow::Result;
use gix::ObjectId;
use gix::objs::tree::EntryKind;

use super::walk::Content;
use super::whole;

/// One name in a folder.
pub(super) struct Entry {
    pub(super) name: String,
    kind: EntryKind,
    id: ObjectId,
}

impl Entry {
    pub(super) fn folder(&self) -> Option<ObjectId> {
        (self.kind == EntryKind::Tree).then_some(self.id)
    }

    pub(super) fn content(&self) -> Option<Content> {
        (self.kind != EntryKind::Tree).then(|| Content::of(self.kind, self.id))
    }
}

/// Finds a name in a folder. Entries are sorted by name for this, not in git's own order.
pub(super) fn find<'a>(entries: &'a [Entry], name: &str) -> Option<&'a Entry> {
    entries.binary_search_by(|entry| entry.name.as_str().cmp(name)).ok().map(|at| &entries[at])
}

/// Reads folders and keeps them.
#[derive(Clone)]
pub(super) struct Trees<'repo> {
    repo: &'repo gix::Repository,
    known: HashMap<ObjectId, Rc<[Entry]>>,
}

impl<'repo> Trees<'repo> {
    /// Keeps the memory of a long history within bounds.
    const MOST_KNOWN: usize = 20_000;

    pub(super) fn of(repo: &'repo gix::Repository) -> Trees<'repo> {
        Trees { repo, known: HashMap::new() }
    }

    /// Returns what is in a folder, in order of the names; nothing where there is no folder.
    pub(super) fn entries(&mut self, id: Option<ObjectId>) -> Result<Rc<[Entry]>> {
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

    /// Returns a folder within another one.
    pub(super) fn folder(&mut self, tree: ObjectId, name: &str) -> Result<Option<ObjectId>> {
        let entries = self.entries(Some(tree))?;
        Ok(find(&entries, name).and_then(Entry::folder))
    }

    /// Returns the content at a path below a folder; nothing where there is no such file.
    pub(super) fn content(&mut self, mut folder: Option<ObjectId>, path: &str) -> Result<Option<Content>> {
        let mut rest = path;
        while let Some((name, below)) = rest.split_once('/') {
            let entries = self.entries(folder)?;
            folder = find(&entries, name).and_then(Entry::folder);
            rest = below;
        }
        let entries = self.entries(folder)?;
        Ok(find(&entries, rest).and_then(Entry::content))
    }
}
