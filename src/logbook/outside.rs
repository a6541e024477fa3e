//! Records that git's folder holds and the history does not: on another branch, under a tag, or on a commit that a branch
//! stood at before somebody moved it.
//!
//! Git keeps a log of where each branch stood. Whoever rewrites a history with git's own commands leaves the old commits
//! there until git throws them away, after some months.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::Path;

use anyhow::Result;
use gix::ObjectId;

use super::layout;
use super::repository;
use super::snapshot::CommitInfo;
use super::walk::{Content, Part, walk_from};

/// A record that the history has not, or has otherwise at all times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outside {
    pub path: String,
    /// The commit that has it.
    pub commit: CommitInfo,
    /// The file in git's folder that leads to that commit, below the logbook.
    pub from: String,
}

/// Returns the records that only other branches, tags and git's logs lead to, in order of their paths.
///
/// What git has thrown away in part is passed over as far as it is gone.
pub fn records_outside(root: &Path) -> Result<Vec<Outside>> {
    let repo = repository::open(root)?;
    let Some(head) = repo.head()?.id().map(gix::Id::detach) else { return Ok(Vec::new()) };
    let mut inside: HashSet<ObjectId> = HashSet::new();
    let mut had: HashMap<String, Vec<Content>> = HashMap::new();
    walk_from(&repo, Part::Records, &[head], &mut |id, _, touched| {
        inside.insert(id);
        for file in touched {
            had.entry(file.path).or_default().extend(file.now);
        }
        Ok(())
    })?;
    let mut outside: BTreeMap<String, Outside> = BTreeMap::new();
    for (tip, from) in tips(&repo)?.into_iter().filter(|(tip, _)| !inside.contains(tip)) {
        let walked = walk_from(&repo, Part::Records, &[head, tip], &mut |id, _, touched| {
            for file in touched.into_iter().filter(|file| !inside.contains(&id) && file.is_own) {
                let is_had = |content| had.get(&file.path).is_some_and(|all| all.contains(&content));
                if file.now.is_some_and(|now| !is_had(now)) && layout::parse_record_path(&file.path).is_some() {
                    let commit = repository::commit_info(&repo.find_commit(id)?)?;
                    let one = Outside { path: file.path.clone(), commit, from: from.clone() };
                    outside.entry(file.path).or_insert(one);
                }
            }
            Ok(())
        });
        // A commit that nothing but a log leads to may be gone in part.
        drop(walked);
    }
    Ok(outside.into_values().collect())
}

/// Returns the commits that branches and tags name and those that git's logs know, each once, and what leads to them.
fn tips(repo: &gix::Repository) -> Result<Vec<(ObjectId, String)>> {
    let mut tips = Vec::new();
    for mut reference in repo.references()?.all()?.flatten() {
        let name = format!(".git/{}", reference.name().as_bstr());
        if let Ok(id) = reference.peel_to_id() {
            tips.push((id.detach(), name));
        }
    }
    let logs = repo.common_dir().join("logs");
    for entry in walkdir::WalkDir::new(&logs).sort_by_file_name().into_iter().flatten() {
        let Ok(text) = std::fs::read(entry.path()) else { continue };
        let below = entry.path().strip_prefix(&logs).unwrap_or(entry.path()).to_string_lossy();
        for line in String::from_utf8_lossy(&text).lines() {
            let ids = line.split(' ').take(2).filter_map(|digits| ObjectId::from_hex(digits.as_bytes()).ok());
            tips.extend(ids.map(|id| (id, format!(".git/logs/{below}"))));
        }
    }
    let mut seen = HashSet::new();
    tips.retain(|(id, _)| seen.insert(*id) && repo.find_commit(*id).is_ok());
    Ok(tips)
}
