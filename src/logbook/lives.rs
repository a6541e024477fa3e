//! The life of every record: the commit that added it and the commit that touched it last.

use std::collections::BTreeMap;

use anyhow::Result;
use gix::ObjectId;

use super::walk::{Part, walk};

/// When a record came in, as what, and which commit touched it last after that.
pub(super) struct Life {
    pub(super) added: ObjectId,
    pub(super) blob: ObjectId,
    pub(super) touched: Option<ObjectId>,
}

/// Returns the life of every path that was ever under `records/`.
pub(super) fn of_records(repo: &gix::Repository) -> Result<BTreeMap<String, Life>> {
    let mut lives: BTreeMap<String, Life> = BTreeMap::new();
    walk(repo, Part::Records, &mut |commit, _, touched| {
        for file in touched.into_iter().filter(|file| !file.came_from_a_parent()) {
            match (lives.get_mut(&file.path), file.now) {
                (Some(life), _) => life.touched = Some(commit),
                (None, Some(blob)) => {
                    lives.insert(file.path, Life { added: commit, blob, touched: None });
                }
                (None, None) => {}
            }
        }
        Ok(())
    })?;
    Ok(lives)
}
