//! The commits beside a history: what other branches, tags and git's logs lead to.

use std::collections::{HashMap, HashSet};

use anyhow::Result;
use gix::ObjectId;

use super::{Part, Step, Trees, Visit, root, touched};
use crate::logbook::bounded::Allowance;
use crate::logbook::headers;
use crate::logbook::whole;

/// The commits beside a history, each looked at once, whatever leads to it.
#[derive(Clone)]
pub(in crate::logbook) struct Beside<'repo> {
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
        let trees = Trees { repo, known: HashMap::new() };
        Beside { trees, seen: inside, allowance: Allowance::of_a_history(0), left: most, is_whole: true }
    }

    /// Calls `visit` with every commit that leads to a tip and was not looked at yet, every parent before its children, and
    /// the records it touched. A commit that git has thrown away, in whole or in part, is passed over.
    pub(in crate::logbook) fn walk(&mut self, tip: ObjectId, visit: &mut Visit<'_>) -> Result<()> {
        let mut open: Vec<(ObjectId, Option<Step>)> = vec![(tip, None)];
        while let Some((id, read)) = open.pop() {
            if let Some(step) = read {
                let before = step.parents.iter().map(|parent| self.root(*parent).flatten()).collect();
                match touched(&mut self.trees, &mut self.allowance, Part::Records, &step, before) {
                    Ok(touched) => visit(step.id, &step.parents, touched)?,
                    Err(_) => self.is_whole &= !self.allowance.is_spent(),
                }
            } else if self.seen.insert(id) {
                self.is_whole &= self.left > 0;
                if !self.is_whole {
                    break;
                }
                self.left -= 1;
                let Ok(commit) = whole::commit(self.trees.repo, id) else { continue };
                let parents = headers::read(&commit.data).stands_on(self.trees.repo);
                let Some(root) = self.root(id) else { continue };
                self.allowance.grow();
                open.push((id, Some(Step { id, root, parents: parents.clone() })));
                open.extend(parents.into_iter().rev().map(|parent| (parent, None)));
            }
        }
        Ok(())
    }

    /// Returns whether everything was looked at.
    pub(in crate::logbook) fn is_whole(&self) -> bool {
        self.is_whole
    }

    fn root(&mut self, id: ObjectId) -> Option<Option<ObjectId>> {
        let commit = whole::commit(self.trees.repo, id).ok()?;
        root(&mut self.trees, Part::Records, &commit).ok()
    }
}
