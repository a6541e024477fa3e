//! The trail: everything that ever happened to the files of a logbook, commit by commit.
//!
//! For whoever wants to know what the history did, and not only what it holds. Read anew each time, from the first commit
//! to the last; nothing that was remembered is trusted. What git shows in place of other objects (`refs/replace`, grafts) is
//! passed over and named.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::Path;
use std::sync::Arc;

use anyhow::Result;
use gix::ObjectId;
use gix::bstr::ByteSlice;

use super::graph::Graph;
use super::headers;
use super::history;
use super::layout;
use super::repository;
use super::snapshot::CommitInfo;
use super::veils::{self, Veil};
use super::walk::{Content, Part, walk};
use super::whole;

/// Everything that happened, every parent before its children.
#[derive(Debug, Default)]
pub struct Trail {
    pub steps: Vec<Step>,
    /// Which step stands on which.
    pub graph: Graph,
    /// What the last commit has, by path.
    pub last: BTreeMap<String, Content>,
    /// Every content that a file beside the records ever had, to be read: people, machines, procedures and the like.
    pub texts: HashMap<Content, Arc<[u8]>>,
    /// Files whose content git's folder does not give as it was committed, and the places of the commits that have it.
    pub damaged: Vec<(String, usize)>,
    /// What makes git show another history than the one that is there.
    pub veils: Vec<Veil>,
}

/// One commit.
#[derive(Debug)]
pub struct Step {
    pub commit: CommitInfo,
    /// The whole message.
    pub message: String,
    /// The places of the parents among the steps.
    pub parents: Vec<usize>,
    pub changes: Vec<Change>,
}

/// A file of the logbook that a commit has otherwise than one of its parents.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub path: String,
    /// The content in each parent, in their order; nothing where there is no such file.
    pub before: Vec<Option<Content>>,
    /// The content in the commit; nothing where there is no such file.
    pub now: Option<Content>,
    /// Whether this commit did it. A merge did not where its content follows from what each side did since they parted: then a
    /// commit before it did.
    pub is_own: bool,
}

/// Returns the trail of the logbook in `root`; an empty one where there is no commit yet.
///
/// # Errors
/// The history is not whole (a shallow copy), or an object of it is missing or damaged.
pub fn trail(root: &Path) -> Result<Trail> {
    let repo = repository::open(root)?;
    let listed = history::list_files(&repo, repo.head_tree_id_or_empty()?.detach())?;
    let last = listed.into_iter().map(|file| (file.path, Content::of(file.kind, file.id))).collect();
    let mut trail = Trail { veils: veils::find(&repo, root)?, last, ..Trail::default() };
    let mut places: HashMap<ObjectId, usize> = HashMap::new();
    let mut looked_at: HashSet<Content> = HashSet::new();
    let Trail { steps, graph, texts, damaged, .. } = &mut trail;
    walk(&repo, Part::Everything, &mut |id, parents, touched| {
        let commit = whole::commit(&repo, id)?;
        let mut changes = Vec::new();
        for file in touched.into_iter().filter(|file| layout::is_kept(&file.path)) {
            let is_small = |id| !repo.find_header(id).is_ok_and(|header| header.size() > layout::SIZE_LIMIT);
            let news = file.now.filter(|content| content.is_file && looked_at.insert(*content));
            if let Some(content) = news.filter(|content| is_small(content.id)) {
                match whole::content(&repo, content.id) {
                    Ok(bytes) if !file.path.starts_with("records/") => {
                        texts.insert(content, bytes);
                    }
                    Ok(_) => {}
                    Err(_) => damaged.push((file.path.clone(), steps.len())),
                }
            }
            changes.push(Change { path: file.path, before: file.before, now: file.now, is_own: file.is_own });
        }
        changes.sort_by(|a, b| a.path.cmp(&b.path));
        let parents: Vec<usize> = parents.iter().filter_map(|parent| places.get(parent).copied()).collect();
        places.insert(id, graph.add(parents.clone()));
        steps.push(Step {
            commit: repository::commit_info(&commit),
            message: headers::read(&commit.data).message.to_str_lossy().into_owned(),
            parents,
            changes,
        });
        Ok(())
    })?;
    Ok(trail)
}
