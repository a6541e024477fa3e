//! The life of every record: the commit that added it and the commit that touched it last.

use std::collections::{BTreeMap, HashMap};

use anyhow::Result;
use gix::ObjectId;

use super::graph::Graph;
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
    /// What histories that knew nothing of this record brought under the same name.
    pub(super) rivals: Vec<Content>,
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
        } else if walked.places.len() < WORTH_REMEMBERING {
            return Ok(walked.lives);
        }
    }
    if walked.places.is_empty() {
        walk(repo, Part::Records, &mut |commit, parents, touched| {
            walked.take(commit, parents, touched);
            Ok(())
        })?;
    }
    if walked.places.len() >= WORTH_REMEMBERING {
        remembered::write(repo, head, &walked.lives);
    }
    Ok(walked.lives)
}

/// The lives as far as the walk has come.
#[derive(Default)]
struct Walked {
    lives: BTreeMap<String, Life>,
    graph: Graph,
    /// The place of every commit of this walk.
    places: HashMap<ObjectId, usize>,
}

impl Walked {
    fn take(&mut self, commit: ObjectId, parents: &[ObjectId], touched: Vec<Touched>) {
        let parents = parents.iter().filter_map(|parent| self.places.get(parent).copied()).collect();
        let at = self.graph.add(parents);
        self.places.insert(commit, at);
        for file in touched.into_iter().filter(|file| file.is_own) {
            let is_new = file.before.iter().all(Option::is_none);
            match (self.lives.get_mut(&file.path), file.now) {
                (Some(life), now) => {
                    life.touched = Some(commit);
                    // A commit that was not walked is remembered, and all that is walked stands on it.
                    let knew = || self.places.get(&life.added).is_none_or(|added| self.graph.leads_to(*added, at));
                    let rival =
                        now.filter(|now| is_new && *now != life.content && !life.rivals.contains(now) && !knew());
                    life.rivals.extend(rival);
                }
                (None, Some(content)) => {
                    let life = Life { added: commit, content, touched: None, rivals: Vec::new() };
                    self.lives.insert(file.path, life);
                }
                (None, None) => {}
            }
        }
    }
}
