//! The versions of a file that is not a record, at each commit.
//!
//! A version that cannot be read does not count as one: what was read before it holds on, so that nobody is forgotten behind
//! a broken file.

use crate::contents::{self, Contents};
use crate::logbook::{Change, Content, FileContent, Snapshot, Source, Step, Trail};
use std::collections::{BTreeMap, HashMap, HashSet};

/// What one file said at each step of the trail.
pub(super) struct Versions<T> {
    said: HashMap<Content, T>,
    /// The version that each step has.
    at: Vec<Option<Content>>,
    /// The steps that have another version than one of their parents and do not only take it over in a merge, each with
    /// the versions that were there before.
    changes: Vec<(usize, Vec<Option<Content>>)>,
}

impl<T> Versions<T> {
    /// Reads every version of a file; `read` returns nothing of one that cannot be read.
    pub(super) fn of(trail: &Trail, path: &str, read: impl Fn(Contents) -> Option<T>) -> Versions<T> {
        let mut said = HashMap::new();
        let mut at: Vec<Option<Content>> = Vec::with_capacity(trail.steps.len());
        let mut changes = Vec::new();
        for (here, step) in trail.steps.iter().enumerate() {
            let before = |parent: &usize| at.get(*parent).copied().flatten();
            let inherited = step.parents.first().and_then(before);
            let Some(change) = step.changes.iter().find(|change| change.path == path) else {
                at.push(inherited);
                continue;
            };
            let now = change.now.and_then(|content| {
                let is_read = said.contains_key(&content)
                    || read_alone(trail, path, content).and_then(&read).is_some_and(|one| {
                        said.insert(content, one);
                        true
                    });
                if is_read { Some(content) } else { inherited }
            });
            let mut old: Vec<Option<Content>> =
                changed_from(&trail.steps, here, change).iter().map(before).filter(|old| *old != now).collect();
            old.dedup();
            if step.parents.is_empty() && now.is_some() {
                old.push(None);
            }
            if !old.is_empty() {
                changes.push((here, old));
            }
            at.push(now);
        }
        Versions { said, at, changes }
    }

    /// Returns what the file says at a step.
    pub(super) fn at(&self, step: usize) -> Option<&T> {
        self.said.get(&self.at.get(step).copied().flatten()?)
    }

    /// Returns which version a step has.
    pub(super) fn version(&self, step: usize) -> Option<Content> {
        self.at.get(step).copied().flatten()
    }

    /// Returns each change: the step, what the file said before, and what it says there.
    pub(super) fn changes(&self) -> impl Iterator<Item = (usize, Option<&T>, Option<&T>)> {
        self.changes.iter().flat_map(|(step, old)| {
            old.iter().map(|old| (*step, old.and_then(|old| self.said.get(&old)), self.at(*step)))
        })
    }
}

/// Reads a content of the trail as the one file of a logbook; nothing when it was not kept, being no text or too large.
pub(super) fn read_alone(trail: &Trail, path: &str, content: Content) -> Option<Contents> {
    let bytes = FileContent::Bytes(trail.texts.get(&content)?.clone());
    let files = BTreeMap::from([(path.to_owned(), bytes)]);
    let snapshot = Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } };
    Some(contents::read(&snapshot, &mut |_| {}).0)
}

/// Returns the parents whose content of a file a commit changes; none where its content follows from its sides.
///
/// A merge that has what one of its parents has goes on from that one. It changes the content of another parent only where
/// the line that it goes on from never had that content: where it did, that line itself went on from there.
pub(super) fn changed_from(steps: &[Step], at: usize, change: &Change) -> Vec<usize> {
    if !change.is_own {
        return Vec::new();
    }
    let parents = steps.get(at).map_or(&[][..], |step| &step.parents);
    let with = || parents.iter().copied().zip(change.before.iter().copied());
    let sources: Vec<usize> = with().filter(|(_, before)| *before == change.now).map(|(parent, _)| parent).collect();
    let went_on = |before: Option<Content>| match before {
        Some(content) => sources.iter().any(|source| ever_had(steps, *source, &change.path, content)),
        // A file that was not there yet on the other side is no text that was left.
        None => !sources.is_empty(),
    };
    with().filter(|(_, before)| *before != change.now && !went_on(*before)).map(|(parent, _)| parent).collect()
}

/// Returns whether a step, or one that it stands on, brought a content of a file.
fn ever_had(steps: &[Step], from: usize, path: &str, content: Content) -> bool {
    let mut seen = HashSet::from([from]);
    let mut open = vec![from];
    while let Some(step) = open.pop().and_then(|at| steps.get(at)) {
        if step.changes.iter().any(|change| change.path == path && change.now == Some(content)) {
            return true;
        }
        open.extend(step.parents.iter().copied().filter(|parent| seen.insert(*parent)));
    }
    false
}
