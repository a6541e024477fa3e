//! The life of every record: the commit that added it and the commit that touched it last.

use std::collections::{BTreeMap, HashMap, HashSet};

use anyhow::Result;
use gix::ObjectId;

use super::remembered;
use super::walk::{Content, Part, Touched, walk, walk_after};

/// Fewer commits than this are walked sooner than a file is written.
const WORTH_REMEMBERING: usize = 64;

/// When a record came in, as what, and which commit touched it last after that.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Life {
    pub(super) added: ObjectId,
    pub(super) content: Content,
    pub(super) touched: Option<ObjectId>,
    /// Whether a history that knew nothing of this record brought another one of the same name.
    pub(super) has_rival: bool,
}

/// Returns the life of every path that was ever under `records/`.
pub(super) fn of_records(repo: &gix::Repository) -> Result<BTreeMap<String, Life>> {
    let Some(head) = repo.head()?.id().map(gix::Id::detach) else { return Ok(BTreeMap::new()) };
    let mut walked = Walked::default();
    if let Some((until, lives)) = remembered::read(repo) {
        walked.lives = lives;
        let is_whole = walk_after(repo, Part::Records, until, &mut |commit, parents, touched| {
            walked.take(commit, parents, touched);
            Ok(())
        })?;
        if !is_whole {
            walked = Walked::default();
        } else if walked.parents_of.len() < WORTH_REMEMBERING {
            return Ok(walked.lives);
        }
    }
    if walked.parents_of.is_empty() {
        walk(repo, Part::Records, &mut |commit, parents, touched| {
            walked.take(commit, parents, touched);
            Ok(())
        })?;
    }
    if walked.parents_of.len() >= WORTH_REMEMBERING {
        remembered::write(repo, head, &walked.lives);
    }
    Ok(walked.lives)
}

/// The lives as far as the walk has come.
#[derive(Default)]
struct Walked {
    lives: BTreeMap<String, Life>,
    /// The parents of every commit of this walk.
    parents_of: HashMap<ObjectId, Vec<ObjectId>>,
}

impl Walked {
    fn take(&mut self, commit: ObjectId, parents: &[ObjectId], touched: Vec<Touched>) {
        self.parents_of.insert(commit, parents.to_vec());
        if parents.len() > 1 {
            self.settle_rivals(&touched);
        }
        for file in touched.into_iter().filter(|file| !file.came_from_a_parent()) {
            let is_new = file.before.iter().all(Option::is_none);
            match (self.lives.get_mut(&file.path), file.now) {
                (Some(life), now) => {
                    life.touched = Some(commit);
                    let is_other = now.is_some_and(|now| now != life.content);
                    life.has_rival |= is_new && is_other && !leads_to(&self.parents_of, life.added, commit);
                }
                (None, Some(content)) => {
                    let life = Life { added: commit, content, touched: None, has_rival: false };
                    self.lives.insert(file.path, life);
                }
                (None, None) => {}
            }
        }
    }
}

impl Walked {
    /// A merge that keeps both of two records of one name, one of them under another name, has lost none.
    fn settle_rivals(&mut self, touched: &[Touched]) {
        let is_kept = |text: &Content| touched.iter().any(|file| file.now == Some(*text));
        for file in touched.iter().filter(|file| file.before.iter().flatten().count() > 1) {
            if file.before.iter().flatten().all(is_kept)
                && let Some(life) = self.lives.get_mut(&file.path)
            {
                life.has_rival = false;
            }
        }
    }
}

/// Returns whether a commit is among those that another one stands on.
///
/// A commit that was not walked is remembered, and all that is walked then stands on it.
fn leads_to(parents_of: &HashMap<ObjectId, Vec<ObjectId>>, old: ObjectId, new: ObjectId) -> bool {
    let mut seen = HashSet::new();
    let mut open = vec![new];
    while let Some(id) = open.pop() {
        if id == old || !parents_of.contains_key(&old) {
            return true;
        }
        if seen.insert(id) {
            open.extend(parents_of.get(&id).into_iter().flatten());
        }
    }
    false
}
