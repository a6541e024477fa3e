//! A writer's turn: from before a logbook is read until what was judged is committed, nobody else commits.
//!
//! A record is judged by what the history says at that moment. Were another one to come in between judging and committing,
//! a machine could be called ready that was withheld a second before. Other runs of this program wait for the turn's end;
//! a commit made with git itself ends the turn without a commit of ours.

use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Context, Result};
use gix::ObjectId;

use super::branch;
use super::commit::{self, Addition, Durability, Signature};
use super::lock::{self, Lock};
use super::objects::{Deed, Draft};
use super::pending;
use super::repository;
use super::seen;
use super::trouble::Trouble;

/// How long to wait for others: eight writers on a slow computer with years of records.
const PATIENCE: Duration = Duration::from_secs(120);

/// The one writer's turn at a logbook, until it is dropped.
#[derive(Debug)]
pub struct Turn {
    root: PathBuf,
    /// Where the branch stood when the turn began, or after its last commit.
    tip: Option<ObjectId>,
    _lock: Lock,
}

impl Turn {
    /// Waits for the turn at the logbook in `root`, and finishes what a crash left of another one.
    ///
    /// `waiting` is told once when others keep it waiting.
    ///
    /// # Errors
    /// The folder cannot be written, others take too long, or the branch cannot take a commit: in the middle of a merge,
    /// at no branch, or locked by git.
    pub fn take(root: &Path, waiting: &mut dyn FnMut()) -> Result<Turn> {
        let repo = repository::open(root)?;
        let lock = lock::acquire(repo.git_dir(), PATIENCE, waiting)?;
        pending::finish(&repo, root)?;
        let tip = branch::read(&repo)?.tip;
        Ok(Turn { root: root.to_path_buf(), tip, _lock: lock })
    }

    /// Adds every file in a commit of its own, in order, and returns the ids of the commits.
    ///
    /// `progress` is told the number of commits made so far. Either all commits are on the branch afterwards or none is,
    /// and then what was written is taken away again.
    pub fn commit_each(
        &mut self,
        additions: &[Addition],
        durability: Durability,
        progress: &mut dyn FnMut(usize),
    ) -> Result<Vec<String>> {
        let drafts: Vec<Draft<'_>> = additions
            .iter()
            .map(|addition| Draft {
                files: vec![(&addition.path, Deed::Add(&addition.text))],
                author: &addition.author,
                committer: &addition.committer,
                message: &addition.message,
            })
            .collect();
        self.commit(&drafts, durability, progress)
    }

    /// Adds several files, given as path and text, in one commit and returns its id.
    pub fn commit_all(
        &mut self,
        files: &[(String, String)],
        author: &Signature,
        committer: &Signature,
        message: &str,
    ) -> Result<String> {
        let files = files.iter().map(|(path, text)| (path.as_str(), Deed::Add(text.as_str()))).collect();
        self.one(Draft { files, author, committer, message })
    }

    /// Keeps the files that were changed on disk, given as path and text, in one commit and returns its id.
    ///
    /// The text must be what is on disk, and nothing for a file that is gone from it. A record or a seal that is in the
    /// history already is refused.
    pub fn commit_changed(
        &mut self,
        files: &[(String, Option<String>)],
        author: &Signature,
        committer: &Signature,
        message: &str,
    ) -> Result<String> {
        let deeds = files.iter().map(|(path, text)| (path.as_str(), text.as_deref().map_or(Deed::Remove, Deed::Keep)));
        let files = deeds.collect();
        self.one(Draft { files, author, committer, message })
    }

    fn one(&mut self, draft: Draft<'_>) -> Result<String> {
        let ids = self.commit(&[draft], Durability::Synced, &mut |_| {})?;
        ids.into_iter().next().context("one commit was asked for and none was made")
    }

    fn commit(
        &mut self,
        drafts: &[Draft<'_>],
        durability: Durability,
        progress: &mut dyn FnMut(usize),
    ) -> Result<Vec<String>> {
        if drafts.is_empty() {
            return Ok(Vec::new());
        }
        let ids = commit::commit(&self.root, self.tip, drafts, durability, progress)?.ok_or_else(overtaken)?;
        if let Some(new) = ids.last().copied() {
            // What is committed is committed, whether this can be written or not.
            let _ = seen::note(&repository::open(&self.root)?, self.tip, new);
            self.tip = Some(new);
        }
        Ok(ids.iter().map(ToString::to_string).collect())
    }
}

fn overtaken() -> Trouble {
    Trouble::new(
        "someone committed to this logbook with another program at the same moment",
        "nothing was committed and nothing is lost; run the same command again",
    )
}
