//! Objects of the history, read within bounds that no logbook of a hospital comes near.
//!
//! A small packed object can unfold to any size, and ten folders that hold each other ten times over list ten thousand
//! million files. Whoever made the history may have meant harm, so each size is asked first and each name is counted.

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::bstr::{BStr, ByteSlice};

use super::trouble::Trouble;

/// The largest commit that is read, in bytes: what it says of itself, not its files.
const LARGEST_COMMIT: u64 = 1024 * 1024;
/// The largest folder of a commit that is read, in bytes of its names and ids: about a million files.
const LARGEST_FOLDER: u64 = 64 * 1024 * 1024;
/// How many folders may lie within each other; a record lies within four.
const DEEPEST_FOLDER: usize = 16;
/// How many names are looked at in the files of one commit: ten years of forty machines.
const MOST_NAMES: u64 = 500_000;
/// How many more names each commit of a history may add to that.
const NAMES_A_COMMIT: u64 = 2_000;

/// Returns a commit.
pub(super) fn commit(repo: &gix::Repository, id: ObjectId) -> Result<gix::Commit<'_>> {
    refuse_larger(repo, id, LARGEST_COMMIT, "commit")?;
    repo.find_commit(id).with_context(|| format!("cannot read commit {id}"))
}

/// Returns what a tag names.
pub(super) fn tag_target(repo: &gix::Repository, id: ObjectId) -> Result<ObjectId> {
    refuse_larger(repo, id, LARGEST_COMMIT, "tag")?;
    let tag = repo.find_tag(id).with_context(|| format!("cannot read tag {id}"))?;
    Ok(tag.target_id().with_context(|| format!("cannot read tag {id}"))?.detach())
}

/// Returns a folder of a commit; `path` is for the message.
pub(super) fn folder<'a>(repo: &'a gix::Repository, id: ObjectId, path: &str) -> Result<gix::Tree<'a>> {
    refuse_larger(repo, id, LARGEST_FOLDER, "folder")?;
    repo.find_tree(id).with_context(|| format!("cannot read the folder `{path}` ({id}) in git"))
}

/// Returns whether git was told to leave objects where the logbook was copied from, until it needs them.
fn is_partial(repo: &gix::Repository) -> bool {
    repo.config_snapshot()
        .plumbing()
        .sections_by_name("remote")
        .into_iter()
        .flatten()
        .any(|remote| remote.value("promisor").is_some_and(|value| value.eq_ignore_ascii_case(b"true")))
}

fn partial() -> Trouble {
    Trouble::new(
        "this copy of the logbook has only a part of what is in its history (a partial clone)",
        "run `git fetch --refetch --no-filter` in it to get the rest, or make a whole copy with `git clone`",
    )
}

fn refuse_larger(repo: &gix::Repository, id: ObjectId, limit: u64, what: &str) -> Result<()> {
    let header = repo.find_header(id).map_err(|error| match is_partial(repo) {
        true => anyhow::Error::from(partial()),
        false => anyhow::Error::from(error).context(format!("cannot read {what} {id} in git")),
    })?;
    if header.size() <= limit {
        return Ok(());
    }
    Err(Trouble::new(
        format!("{what} {id} of the history has {} bytes, more than the {limit} that are read", header.size()),
        "this is not what a logbook's history looks like; ask who gave it to you, or take a copy that is sound",
    )
    .into())
}

/// Returns why nothing below a folder of this path is looked at; `path` ends with `/` unless it is the top.
pub(super) fn too_deep(path: &str) -> Option<&'static str> {
    (path.matches('/').count() > DEEPEST_FOLDER).then_some("it lies in more than 16 folders within each other")
}

/// Returns why a name in a folder of the history can be that of no file on a disk.
pub(super) fn unfit(name: &BStr) -> Option<&'static str> {
    if name.to_str().is_err() {
        return Some("its name is not text (UTF-8)");
    }
    let steps_out = name.is_empty() || name == "." || name == ".." || name.eq_ignore_ascii_case(b".git");
    (steps_out || name.contains(&b'/') || name.contains(&0)).then_some("no file can have this name")
}

/// How many more names may be looked at.
#[derive(Clone)]
pub(super) struct Allowance(u64);

impl Allowance {
    /// Returns the allowance for the files of one commit.
    pub(super) fn of_a_commit() -> Allowance {
        Allowance(MOST_NAMES)
    }

    /// Returns the allowance for what a history of so many commits changed.
    pub(super) fn of_a_history(commits: usize) -> Allowance {
        Allowance(MOST_NAMES.saturating_add(NAMES_A_COMMIT.saturating_mul(commits as u64)))
    }

    /// Allows what one more commit may add.
    pub(super) fn grow(&mut self) {
        self.0 = self.0.saturating_add(NAMES_A_COMMIT);
    }

    /// Returns whether nothing is left.
    pub(super) fn is_spent(&self) -> bool {
        self.0 == 0
    }

    /// Counts names, and refuses when there were too many.
    pub(super) fn spend(&mut self, names: usize) -> Result<()> {
        match self.0.checked_sub(names as u64) {
            Some(left) => self.0 = left,
            None => {
                self.0 = 0;
                return Err(Trouble::new(
                    "the history lists more files than any logbook can have",
                    "ask who gave it to you, or take a copy that is sound; nothing was changed",
                )
                .into());
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_elsewhere_are_no_names() {
        for name in ["", ".", "..", ".git", ".GIT", "a/b", "a\0b"] {
            assert_eq!(unfit(name.into()), Some("no file can have this name"), "{name:?}");
        }
        for name in ["...", ".gitkeep", "-rf", "CON", "a\nb", "räume.yaml"] {
            assert_eq!(unfit(name.into()), None, "{name:?}");
        }
        assert!(unfit(b"\xff".as_bstr()).is_some());
    }

    #[test]
    fn an_allowance_ends() {
        let mut allowance = Allowance::of_a_history(0);
        allowance.spend(499_999).unwrap();
        allowance.spend(1).unwrap();
        assert!(allowance.spend(1).is_err());
        Allowance::of_a_history(1).spend(502_000).unwrap();
    }
}
