//! The branch: where it stands, whether it may be moved, and moving it.
//!
//! The branch moves once per command, from the very commit that was read at the start and from no
//! other. Whoever commits in between makes the move fail instead of losing a commit.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::lock::acquire::Fail;
use gix::refs::Target;
use gix::refs::transaction::{PreviousValue, RefEdit};

use super::commit::Author;
use super::files;
use super::folder;
use super::index::{self, lock_of};
use super::objects;
use super::snapshot::FileContent;
use super::trouble::Trouble;

/// How long to wait for the lock of another program.
const PATIENCE: Duration = Duration::from_secs(1);
const PAUSE: Duration = Duration::from_millis(20);
const LOCKS: Fail = Fail::AfterDurationWithBackoff(PATIENCE);

/// The branch that `HEAD` names, and the commit it stands at.
pub(super) struct Branch {
    name: gix::refs::FullName,
    /// Nothing while the branch has no commit yet.
    pub(super) tip: Option<ObjectId>,
    /// The files of the tip; the empty tree while there is no commit.
    pub(super) tree: ObjectId,
}

/// Returns the branch of a repository that is ready for a commit, or refuses.
pub(super) fn read(repo: &gix::Repository) -> Result<Branch> {
    if let Some(state) = repo.state() {
        return Err(Trouble::new(
            format!("git is in the middle of something else here ({})", words(&state)),
            "run `git status` and finish or abort it first",
        )
        .into());
    }
    let head = repo.head()?;
    let Some(name) = head.referent_name().map(ToOwned::to_owned) else {
        return Err(Trouble::new(
            "the logbook stands at an old commit and on no branch",
            "run `git switch main` to go back to the newest records",
        )
        .into());
    };
    let tip = head.id().map(gix::Id::detach);
    let tree = repo.head_tree_id_or_empty()?.detach();
    Ok(Branch { name, tip, tree })
}

fn words(state: &gix::state::InProgress) -> &'static str {
    use gix::state::InProgress::*;
    match state {
        Merge => "a merge",
        Rebase | RebaseInteractive => "a rebase",
        CherryPick | CherryPickSequence => "a cherry-pick",
        Revert | RevertSequence => "a revert",
        Bisect => "a bisect",
        ApplyMailbox | ApplyMailboxRebase => "applying patches",
    }
}

/// Whether the branch was moved.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Move {
    Done,
    /// Someone else moved the branch since it was read.
    Overtaken,
}

impl Branch {
    /// Moves the branch from the tip that was read to `new`. With `sync` the new place is on the disk before its name
    /// is; that the name is too, [`Branch::sync`] makes sure.
    pub(super) fn advance(
        &self,
        repo: &gix::Repository,
        new: ObjectId,
        by: &Author,
        message: &str,
        sync: bool,
    ) -> Result<Move> {
        let expected = match self.tip {
            Some(tip) => PreviousValue::MustExistAndMatch(Target::Object(tip)),
            None => PreviousValue::MustNotExist,
        };
        let first_line = message.lines().next().unwrap_or_default();
        let kind = if self.tip.is_none() { "commit (initial)" } else { "commit" };
        let log = format!("{kind}: {first_line}");
        let head = gix::refs::FullName::try_from("HEAD").context("cannot name HEAD")?;
        let edit = RefEdit::update(head, new, expected, log).with_deref(true);
        let by = objects::named(by);
        let mut time = gix::date::parse::TimeBuf::default();
        let moved = || -> Result<()> {
            let ready = repo.refs.transaction().prepare([edit], LOCKS, LOCKS)?;
            if sync {
                files::sync_one(&lock_of(&self.place(repo)))?;
            }
            ready.commit(Some(by.to_ref(&mut time)))?;
            Ok(())
        };
        let Err(error) = moved() else { return Ok(Move::Done) };
        let tip = self.tip_now(repo)?;
        if tip == Some(new) {
            return Ok(Move::Done);
        }
        if tip != self.tip {
            return Ok(Move::Overtaken);
        }
        match self.lock_files(repo).into_iter().find(|path| is_there(path)) {
            Some(path) => Err(index::locked(&path).into()),
            None => Err(error.context("cannot move the branch to the new commit")),
        }
    }

    /// Refuses if another program's lock lies on the branch. Takes away the locks that a crash of ours left while it moved
    /// the branch to `noted`; the caller holds the logbook's own lock.
    pub(super) fn refuse_locks(&self, repo: &gix::Repository, noted: Option<ObjectId>) -> Result<()> {
        let begun = Instant::now();
        loop {
            let Some(path) = self.lock_files(repo).into_iter().find(|path| is_there(path)) else {
                return Ok(());
            };
            let waited = begun.elapsed() > PATIENCE;
            if noted.is_some_and(|noted| is_ours(&path, noted, waited)) {
                fs::remove_file(&path).with_context(|| format!("cannot remove `{}`", path.display()))?;
            } else if waited {
                return Err(index::locked(&path).into());
            } else {
                std::thread::sleep(PAUSE);
            }
        }
    }

    /// Returns whether a lock lies on the branch.
    pub(super) fn is_locked(&self, repo: &gix::Repository) -> bool {
        self.lock_files(repo).iter().any(|path| is_there(path))
    }

    fn tip_now(&self, repo: &gix::Repository) -> Result<Option<ObjectId>> {
        let found = repo.try_find_reference(&self.name)?;
        Ok(found.and_then(|found| found.target().try_id().map(ToOwned::to_owned)))
    }

    fn place(&self, repo: &gix::Repository) -> PathBuf {
        repo.common_dir().join(self.name.as_bstr().to_string())
    }

    fn lock_files(&self, repo: &gix::Repository) -> Vec<PathBuf> {
        [self.place(repo), repo.git_dir().join("HEAD")].map(|place| lock_of(&place)).to_vec()
    }

    /// Makes sure that the branch, where it stands, survives a power cut.
    pub(super) fn sync(&self, repo: &gix::Repository) -> Result<()> {
        let place = self.place(repo);
        let all = place.ancestors().take_while(|path| path.starts_with(repo.common_dir()));
        files::sync_all(&all.map(Path::to_path_buf).collect::<Vec<_>>())
    }
}

/// Returns whether anything is there, be it a link that leads nowhere.
fn is_there(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

/// Returns whether a lock says that the branch is to stand at the commit of our note. One that says only a part of it may
/// still be being written, so long as nobody has waited.
fn is_ours(lock: &Path, noted: ObjectId, waited: bool) -> bool {
    let whole = format!("{noted}\n");
    match folder::read_within(lock, whole.len() as u64) {
        Some(FileContent::Bytes(text)) => *text == *whole.as_bytes() || (waited && whole.as_bytes().starts_with(&text)),
        _ => false,
    }
}
