//! Records that git's folder holds and the history does not: on another branch, under a tag, fetched from elsewhere, or on a
//! commit that a branch stood at before somebody moved it.
//!
//! Git keeps a log of where each branch stood. Whoever rewrites a history with git's own commands leaves the old commits
//! there until git throws them away, after some months. Every commit beside the history is looked at once, however many names
//! and lines lead to it.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::Path;

use anyhow::Result;
use gix::ObjectId;
use gix::bstr::ByteSlice;
use gix::objs::Kind;

use super::bounded;
use super::folder;
use super::layout;
use super::repository;
use super::snapshot::{CommitInfo, FileContent};
use super::walk::{Beside, Content, Part, walk};

/// How many commits beside the history are looked at, and how many names and lines that lead there.
const MOST: usize = 20_000;
/// The longest log of a branch that is read, in bytes: about a hundred thousand lines.
const LONGEST_LOG: u64 = 16 * 1024 * 1024;

/// A record that the history has not, or has otherwise at all times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outside {
    pub path: String,
    /// The commit that has it.
    pub commit: CommitInfo,
    /// The file in git's folder that leads to that commit, below the logbook.
    pub from: String,
    /// Whether it was fetched from another copy and never was on a branch of this one.
    pub is_fetched: bool,
}

/// What git's folder holds beside the history.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BesideHistory {
    /// In order of their paths.
    pub records: Vec<Outside>,
    /// The commits that came after the one that the folder stands at, by id, where it stands at none of the branches.
    pub later: HashSet<String>,
    /// What was not looked through, in words; nothing where everything was.
    pub unread: Option<String>,
}

/// Looks for what only other branches, tags and git's logs lead to.
///
/// What git has thrown away in part is passed over as far as it is gone.
pub fn records_outside(root: &Path) -> Result<BesideHistory> {
    let repo = repository::open(root)?;
    let mut found = BesideHistory::default();
    let Some(head) = repo.head()?.id().map(gix::Id::detach) else { return Ok(found) };
    let mut inside: HashSet<ObjectId> = HashSet::new();
    let mut had: HashMap<String, Vec<Content>> = HashMap::new();
    walk(&repo, Part::Records, &mut |id, _, touched| {
        inside.insert(id);
        for file in touched {
            had.entry(file.path).or_default().extend(file.now);
        }
        Ok(())
    })?;
    let mut tips = Tips { repo: &repo, tips: Vec::new(), known: HashSet::new(), unread: None };
    tips.take_references()?;
    tips.take_logs();
    let Tips { mut tips, unread, .. } = tips;
    found.unread = unread;
    // Where a branch of this copy stood is asked about before what was fetched, and that before tags and the like.
    tips.sort_by_key(|tip| tip.kind);
    let mut beside = Beside::of(&repo, inside, MOST);
    if repo.head()?.is_detached() {
        found.later = later(&mut beside, &tips, head)?;
    }
    let mut outside: BTreeMap<String, Outside> = BTreeMap::new();
    for Tip { id: tip, from, kind } in tips {
        beside.walk(tip, &mut |id, _, touched| {
            // What a parent has is told of that one.
            for file in touched.into_iter().filter(|file| !file.before.contains(&file.now)) {
                let is_had = |content| had.get(&file.path).is_some_and(|all| all.contains(&content));
                if file.now.is_some_and(|now| !is_had(now)) && layout::parse_record_path(&file.path).is_some() {
                    let commit = repository::commit_info(&bounded::commit(&repo, id)?);
                    let is_fetched = kind == TipKind::Fetched;
                    let one = Outside { path: file.path.clone(), commit, from: from.clone(), is_fetched };
                    outside.entry(file.path).or_insert(one);
                }
            }
            Ok(())
        })?;
    }
    if !beside.is_whole() {
        found.unread = Some(format!("more than {MOST} commits stand beside the history"));
    }
    found.records = outside.into_values().collect();
    Ok(found)
}

/// Looks at the branches that stand on a commit, and returns all that came after it.
fn later(beside: &mut Beside<'_>, tips: &[Tip], head: ObjectId) -> Result<HashSet<String>> {
    let mut later = HashSet::new();
    for tip in tips.iter().filter(|tip| tip.is_branch()) {
        let mut walked = Vec::new();
        let mut stands_on_it = false;
        let mut apart = beside.clone();
        apart.walk(tip.id, &mut |id, parents, _| {
            stands_on_it |= parents.contains(&head);
            walked.push(id.to_string());
            Ok(())
        })?;
        if stands_on_it {
            *beside = apart;
            later.extend(walked);
        }
    }
    Ok(later)
}

/// What kind of name or line leads to a commit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum TipKind {
    /// A branch of this copy, or where one stood.
    Own,
    /// A branch of another copy.
    Fetched,
    /// Anything else, such as a tag, or where somebody looked.
    Other,
}

struct Tip {
    id: ObjectId,
    /// The file in git's folder, below the logbook.
    from: String,
    kind: TipKind,
}

impl Tip {
    fn is_branch(&self) -> bool {
        [".git/refs/heads/", ".git/refs/remotes/"].iter().any(|folder| self.from.starts_with(folder))
    }
}

/// The commits that branches and tags name and those that git's logs know, and what leads to them.
struct Tips<'repo> {
    repo: &'repo gix::Repository,
    tips: Vec<Tip>,
    known: HashSet<(ObjectId, TipKind)>,
    unread: Option<String>,
}

impl Tips<'_> {
    fn take_references(&mut self) -> Result<()> {
        for reference in self.repo.references()?.all()?.flatten() {
            let name = reference.name().as_bstr().to_string();
            // What names another name leads nowhere that the other one does not.
            if let Some(id) = reference.target().try_id() {
                self.take(id.to_owned(), &name, &format!(".git/{name}"));
            }
        }
        Ok(())
    }

    fn take_logs(&mut self) {
        let logs = self.repo.common_dir().join("logs");
        for entry in walkdir::WalkDir::new(&logs).sort_by_file_name().into_iter().flatten() {
            if entry.file_type().is_dir() {
                continue;
            }
            let below = entry.path().strip_prefix(&logs).unwrap_or(entry.path()).to_string_lossy().into_owned();
            let from = format!(".git/logs/{below}");
            let Some(FileContent::Bytes(text)) = folder::read_within(entry.path(), LONGEST_LOG) else {
                self.unread = Some(format!("`{from}` is no plain file of at most {LONGEST_LOG} bytes"));
                continue;
            };
            for line in text.lines() {
                let ids = line.split(|byte| *byte == b' ').take(2).filter_map(|digits| ObjectId::from_hex(digits).ok());
                for id in ids {
                    self.take(id, &below, &from);
                }
            }
        }
    }

    fn take(&mut self, mut id: ObjectId, name: &str, from: &str) {
        let kind = match name {
            name if name.starts_with("refs/heads/") => TipKind::Own,
            name if name.starts_with("refs/remotes/") => TipKind::Fetched,
            _ => TipKind::Other,
        };
        if !self.known.insert((id, kind)) {
            return;
        }
        if self.known.len() > MOST {
            self.unread = Some(format!("more than {MOST} branches, tags and lines of git's logs lead to commits"));
            return;
        }
        let kind_of = |id| self.repo.find_header(id).map(|header| header.kind()).ok();
        while kind_of(id) == Some(Kind::Tag) {
            let Ok(target) = bounded::tag_target(self.repo, id) else { return };
            id = target;
        }
        if kind_of(id) == Some(Kind::Commit) {
            self.tips.push(Tip { id, from: from.to_owned(), kind });
        }
    }
}
