//! A writer's turn: from before a logbook is read until what was judged is committed, nobody else commits.
//!
//! A record is judged by what the history says at that moment. Were another one to come in between judging and committing,
//! a machine could be called ready that was withheld a second before. Other runs of this program wait for the turn's end;
//! a commit made with git itself ends the turn without a commit of ours.

use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::Duration;

use anyhow::{Context, Result};
use gix::ObjectId;

use super::branch;
use super::commit::{self, Addition, Author, Durability};
use super::lock::{self, Lock};
use super::objects::{Deed, Draft};
use super::pending;
use super::repository;
use super::seen;
use super::signing::{Signer, Signers};
use super::trouble::Trouble;

/// How long to wait for others: eight writers on a slow computer with years of records.
const PATIENCE: Duration = Duration::from_secs(120);

/// The one writer's turn at a logbook, until it is dropped.
#[derive(Debug)]
pub struct Turn {
    root: PathBuf,
    /// Where the branch stood when the turn began, or after its last commit.
    tip: Option<ObjectId>,
    /// The keys that commits are signed with.
    signers: Signers,
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
        Ok(Turn { root: root.to_path_buf(), tip, signers: Signers::default(), _lock: lock })
    }

    /// Signs what a person commits in this turn, with a key that was unlocked before it: nobody waits for a passphrase.
    pub fn sign_for(&mut self, name: &str, email: &str, signer: Rc<Signer>) {
        self.signers.add(name, email, signer);
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
                signer: self.signers.of(&addition.committer),
            })
            .collect();
        if drafts.is_empty() {
            return Ok(Vec::new());
        }
        let made = commit::commit(&self.root, self.tip, &drafts, durability, progress)?;
        self.stands_at(made)
    }

    /// Adds several files, given as path and text, in one commit and returns its id.
    pub fn commit_all(
        &mut self,
        files: &[(String, String)],
        author: &Author,
        committer: &Author,
        message: &str,
    ) -> Result<String> {
        let files = files.iter().map(|(path, text)| (path.as_str(), Deed::Add(text.as_str()))).collect();
        self.one(files, author, committer, message)
    }

    /// Keeps the files that were changed on disk, given as path and text, in one commit and returns its id.
    ///
    /// The text must be what is on disk, and nothing for a file that is gone from it. A record or a seal that is in the
    /// history already is refused.
    pub fn commit_changed(
        &mut self,
        files: &[(String, Option<String>)],
        author: &Author,
        committer: &Author,
        message: &str,
    ) -> Result<String> {
        let deeds = files.iter().map(|(path, text)| (path.as_str(), text.as_deref().map_or(Deed::Remove, Deed::Keep)));
        let files = deeds.collect();
        self.one(files, author, committer, message)
    }

    /// Puts the first texts of altered records back into the history, given as path and text, in one commit; returns its id.
    ///
    /// That a text is the first one is for the caller to know. It must lie in the folder already.
    pub fn bring_back(&mut self, records: &[(String, String)], by: &Author, message: &str) -> Result<String> {
        let deeds = records.iter().map(|(path, text)| (path.as_str(), Deed::BringBack(text.as_str()))).collect();
        self.one(deeds, by, by, message)
    }

    fn one(
        &mut self,
        files: Vec<(&str, Deed<'_>)>,
        author: &Author,
        committer: &Author,
        message: &str,
    ) -> Result<String> {
        let draft = Draft { files, author, committer, message, signer: self.signers.of(committer) };
        let made = commit::commit(&self.root, self.tip, &[draft], Durability::Synced, &mut |_| {})?;
        self.stands_at(made)?.into_iter().next().context("one commit was asked for and none was made")
    }

    /// Goes on from the commits that were made, and returns their ids.
    fn stands_at(&mut self, made: Option<Vec<ObjectId>>) -> Result<Vec<String>> {
        let ids = made.ok_or_else(overtaken)?;
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
