//! The commits beside a history: what other branches, tags and git's logs lead to.

use std::collections::HashSet;

use anyhow::Result;
use gix::ObjectId;

use super::{Commit, Part, Visit, touched};
use crate::logbook::bounded::Allowance;
use crate::logbook::headers;
use crate::logbook::trees::Trees;
use crate::logbook::whole;

/// The commits beside a history, each looked at once, whatever leads to it.
#[derive(Clone)]
pub(in crate::logbook) struct Beside<'repo> {
    repo: &'repo gix::Repository,
    trees: Trees<'repo>,
    seen: HashSet<ObjectId>,
    allowance: Allowance,
    /// How many more may be looked at.
    left: usize,
    is_whole: bool,
}

impl<'repo> Beside<'repo> {
    /// Looks at no more than so many commits that are not `inside`.
    pub(in crate::logbook) fn of(
        repo: &'repo gix::Repository,
        inside: HashSet<ObjectId>,
        most: usize,
    ) -> Beside<'repo> {
        let trees = Trees::of(repo);
        Beside { repo, trees, seen: inside, allowance: Allowance::of_a_history(0), left: most, is_whole: true }
    }

    /// Calls `visit` with every commit that leads to a tip and was not looked at yet, every parent before its children, and
    /// the records it touched. A commit that git has thrown away, in whole or in part, is passed over.
    pub(in crate::logbook) fn walk(&mut self, tip: ObjectId, visit: &mut Visit<'_>) -> Result<()> {
        let mut open: Vec<(ObjectId, Option<Commit>)> = vec![(tip, None)];
        while let Some((id, read)) = open.pop() {
            if let Some(commit) = read {
                let before = commit.parents.iter().map(|parent| self.records_of(*parent)).collect();
                let Ok(records) = Part::Records.of(&mut self.trees, commit.tree) else { continue };
                match touched(&mut self.trees, &mut self.allowance, Part::Records, records, before) {
                    Ok(touched) => visit(commit.id, &commit.parents, touched)?,
                    Err(_) => self.is_whole &= !self.allowance.is_spent(),
                }
            } else if self.seen.insert(id) {
                self.is_whole &= self.left > 0;
                if !self.is_whole {
                    break;
                }
                self.left -= 1;
                let Ok(commit) = whole::commit(self.repo, id) else { continue };
                let parents = headers::read(&commit.data).stands_on(self.repo);
                let Ok(tree) = commit.tree_id() else { continue };
                self.allowance.grow();
                open.push((id, Some(Commit { id, parents: parents.clone(), tree: tree.detach() })));
                open.extend(parents.into_iter().rev().map(|parent| (parent, None)));
            }
        }
        Ok(())
    }

    /// Returns whether everything was looked at.
    pub(in crate::logbook) fn is_whole(&self) -> bool {
        self.is_whole
    }

    fn records_of(&mut self, id: ObjectId) -> Option<ObjectId> {
        let commit = whole::commit(self.repo, id).ok()?;
        Part::Records.of(&mut self.trees, commit.tree_id().ok()?.detach()).ok().flatten()
    }
}
