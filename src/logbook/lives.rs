//! The life of every record: the commit that added it and the commit that touched it last.

use std::collections::{BTreeMap, HashMap, HashSet};

use anyhow::Result;
use gix::ObjectId;

use super::walk::{Content, Part, walk};

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
    let mut lives: BTreeMap<String, Life> = BTreeMap::new();
    let mut parents_of: HashMap<ObjectId, Vec<ObjectId>> = HashMap::new();
    walk(repo, Part::Records, &mut |commit, parents, touched| {
        parents_of.insert(commit, parents.to_vec());
        for file in touched.into_iter().filter(|file| !file.came_from_a_parent()) {
            let is_new = file.before.iter().all(Option::is_none);
            match (lives.get_mut(&file.path), file.now) {
                (Some(life), now) => {
                    life.touched = Some(commit);
                    let is_other = now.is_some_and(|now| now != life.content);
                    life.has_rival |= is_new && is_other && !leads_to(&parents_of, life.added, commit);
                }
                (None, Some(content)) => {
                    let life = Life { added: commit, content, touched: None, has_rival: false };
                    lives.insert(file.path, life);
                }
                (None, None) => {}
            }
        }
        Ok(())
    })?;
    Ok(lives)
}

/// Returns whether a commit is among those that another one stands on.
fn leads_to(parents_of: &HashMap<ObjectId, Vec<ObjectId>>, old: ObjectId, new: ObjectId) -> bool {
    let mut seen = HashSet::new();
    let mut open = vec![new];
    while let Some(id) = open.pop() {
        if id == old {
            return true;
        }
        if seen.insert(id) {
            open.extend(parents_of.get(&id).into_iter().flatten());
        }
    }
    false
}
