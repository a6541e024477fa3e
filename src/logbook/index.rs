//! Git's index: the list of files that git thinks are in the next commit.
//!
//! Held under git's own lock from the first look to the last write, so that nobody stages anything in
//! between. A new record must be in the index before the branch moves: a crash between the two leaves
//! an addition, the other order would leave the removal of a record ready to be committed.

use std::collections::HashSet;
use std::fs;
use std::io::{BufWriter, ErrorKind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::bstr::{BStr, ByteSlice};
use gix::index::entry::{Flags, Mode, Stat};

use super::files;
use super::folder;
use super::git_folder;
use super::snapshot::FileContent;
use super::trouble::Trouble;

/// What our lock file says, to know it again after a crash. Nothing but the lock is ever in this file.
const OUR_MARK: &[u8] = b"held by pinindex\n";
const PAUSE: Duration = Duration::from_millis(20);
const PATIENCE: Duration = Duration::from_secs(2);

/// The index of a logbook, locked until this is dropped.
pub(super) struct LockedIndex {
    file: gix::index::File,
    /// The bytes of its file before it was last written here; nothing in them if there was none.
    before: Option<Option<Vec<u8>>>,
    root: PathBuf,
    // Declared last: the lock is given up after everything else.
    _lock: GitLock,
}

struct GitLock {
    path: PathBuf,
}

impl Drop for GitLock {
    fn drop(&mut self) {
        // A lock that cannot be removed is reported by whoever meets it next.
        let _ = fs::remove_file(&self.path);
    }
}

impl GitLock {
    /// Takes git's lock on the index.
    fn acquire(index: &Path) -> Result<Self> {
        let path = lock_of(index);
        let begun = Instant::now();
        loop {
            // With its mark from the first moment, so that no crash leaves a lock that nobody knows.
            match files::put(&path, OUR_MARK, false) {
                Ok(()) => return Ok(GitLock { path }),
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {
                    if begun.elapsed() < PATIENCE {
                        std::thread::sleep(PAUSE);
                    } else {
                        return Err(locked(&path).into());
                    }
                }
                Err(error) => {
                    return Err(error).with_context(|| format!("cannot write `{}`", path.display()));
                }
            }
        }
    }
}

/// Takes away the lock that a crash of ours left on the index. The caller holds the logbook's own lock.
pub(super) fn sweep(repo: &gix::Repository) -> Result<()> {
    let path = lock_of(&repo.index_path());
    // Git's own lock is the index that it writes, which may be long.
    if git_folder::text(&path, OUR_MARK.len() as u64).as_bytes() != OUR_MARK {
        return Ok(());
    }
    fs::remove_file(&path).with_context(|| format!("cannot remove `{}`", path.display()))
}

/// Returns the name of git's lock file for a file.
pub(super) fn lock_of(place: &Path) -> PathBuf {
    let mut name = place.as_os_str().to_owned();
    name.push(".lock");
    PathBuf::from(name)
}

/// Returns the word about a lock file of git that does not go away.
pub(super) fn locked(path: &Path) -> Trouble {
    Trouble::new(
        format!("git's lock file `{}` is in the way", path.display()),
        "close other programs that use git here and try again; if none is running, a crash left the file: delete it",
    )
}

impl LockedIndex {
    /// Locks and reads the index of the logbook in `root`; a logbook without one has an empty index.
    pub(super) fn open(repo: &gix::Repository, root: &Path) -> Result<Self> {
        let path = repo.index_path();
        let lock = GitLock::acquire(&path)?;
        git_folder::refuse_other(&path, git_folder::LARGEST_INDEX)?;
        let file = if path.exists() {
            repo.open_index()
                .map_err(anyhow::Error::from)
                .with_context(|| format!("cannot read git's index `{}`", path.display()))?
        } else {
            gix::index::File::from_state(gix::index::State::new(repo.object_hash()), path)
        };
        Ok(LockedIndex { file, before: None, root: root.to_path_buf(), _lock: lock })
    }

    /// Refuses if anything is staged, that is if the index differs from the commit's `tree`.
    pub(super) fn refuse_staged_changes(&self, repo: &gix::Repository, tree: ObjectId) -> Result<()> {
        // Git keeps the id of the tree it last made from the index; when it is there it settles it.
        let settled = self.file.tree().is_some_and(|kept| kept.num_entries.is_some() && kept.id == tree);
        if settled || self.same_as(&repo.index_from_tree(&tree)?) {
            return Ok(());
        }
        Err(Trouble::new(
            "the logbook has changes that are staged but not committed",
            "run `git status` to see them, then `git commit` to keep them or `git restore --staged .` to unstage them",
        )
        .into())
    }

    fn same_as(&self, other: &gix::index::File) -> bool {
        let (ours, theirs) = (self.file.entries(), other.entries());
        ours.len() == theirs.len()
            && ours.iter().zip(theirs).all(|(a, b)| {
                a.id == b.id && a.mode == b.mode && a.stage() == b.stage() && a.path(&self.file) == b.path(other)
            })
    }

    /// Returns whether a file or a folder at `path`, or a file in place of one of its folders, is known.
    pub(super) fn knows(&self, path: &str) -> bool {
        let mut above = path;
        while let Some((folder, _)) = above.rsplit_once('/') {
            if self.file.entry_by_path(BStr::new(folder)).is_some() {
                return true;
            }
            above = folder;
        }
        self.file.entry_by_path(BStr::new(path)).is_some() || self.file.path_is_directory(BStr::new(path))
    }

    /// Returns whether a file at exactly this path is known.
    pub(super) fn has(&self, path: &str) -> bool {
        self.file.entry_by_path(BStr::new(path)).is_some()
    }

    /// Puts the files in, in place of what was known of them, and writes the index. A file without an
    /// id is taken out; all others must be in the working folder already.
    pub(super) fn put(&mut self, files: &[(String, Option<ObjectId>)], sync: bool) -> Result<()> {
        self.before = Some(fs::read(self.file.path()).ok());
        if files.iter().any(|(path, _)| self.has(path)) {
            let touched: HashSet<&[u8]> = files.iter().map(|(path, _)| path.as_bytes()).collect();
            self.file.remove_entries(|_, path, _| touched.contains(path.as_bytes()));
        }
        for (path, id) in files {
            let Some(id) = id else { continue };
            let stat = self.stat(path)?;
            self.file.dangerously_push_entry(stat, *id, Flags::empty(), Mode::FILE, BStr::new(path));
        }
        self.file.sort_entries();
        self.write(sync)
    }

    /// Writes the index as it was before.
    pub(super) fn take_back(&mut self, sync: bool) -> Result<()> {
        let path = self.file.path();
        match self.before.take() {
            None => Ok(()),
            // A full disk has no room for what need not be written.
            Some(before) if fs::read(path).ok() == before => Ok(()),
            Some(Some(before)) => files::replace(path, &before, sync),
            Some(None) => fs::remove_file(path).with_context(|| format!("cannot remove `{}`", path.display())),
        }
    }

    /// Brings the index to the tree `to` if it is that of the tree `from` and the files on disk fit.
    ///
    /// Returns false, and changes nothing, if the index is any other or a file on disk is not as in `to`.
    pub(super) fn catch_up(&mut self, repo: &gix::Repository, from: ObjectId, to: ObjectId) -> Result<bool> {
        let wanted = repo.index_from_tree(&to)?;
        if self.same_as(&wanted) {
            return Ok(true);
        }
        if !self.same_as(&repo.index_from_tree(&from)?) {
            return Ok(false);
        }
        let touched = self.differences(&wanted);
        if !touched.iter().all(|(path, id)| self.is_on_disk(path, *id)) {
            return Ok(false);
        }
        self.put(&touched, true)?;
        Ok(true)
    }

    /// Returns the files that differ in `wanted`, with their ids there.
    fn differences(&self, wanted: &gix::index::File) -> Vec<(String, Option<ObjectId>)> {
        let name = |path: &BStr| path.to_str_lossy().into_owned();
        let is_known = |path, entry: &gix::index::Entry| {
            self.file.entry_by_path(path).is_some_and(|known| known.id == entry.id && known.mode == entry.mode)
        };
        let put = wanted.entries().iter().map(|entry| (entry.path(wanted), entry));
        let put = put.filter(|(path, entry)| !is_known(path, entry)).map(|(path, entry)| (name(path), Some(entry.id)));
        let gone = self.file.entries().iter().map(|entry| entry.path(&self.file));
        let gone = gone.filter(|path| wanted.entry_by_path(path).is_none()).map(|path| (name(path), None));
        put.chain(gone).collect()
    }

    fn is_on_disk(&self, path: &str, id: Option<ObjectId>) -> bool {
        match (folder::read_file(&self.root.join(path)), id) {
            (Some(FileContent::Bytes(bytes)), Some(id)) => {
                gix::objs::compute_hash(id.kind(), gix::objs::Kind::Blob, &bytes).is_ok_and(|found| found == id)
            }
            (found, id) => found.is_none() && id.is_none(),
        }
    }

    fn stat(&self, path: &str) -> Result<Stat> {
        let place = self.root.join(path);
        gix::index::fs::Metadata::from_path_no_follow(&place)
            .map_err(anyhow::Error::from)
            .and_then(|found| Ok(Stat::from_fs(&found)?))
            .with_context(|| format!("cannot look at `{}`", place.display()))
    }

    fn write(&mut self, sync: bool) -> Result<()> {
        // Git would believe the trees remembered here, which know nothing of the new entries.
        self.file.remove_tree();
        let mut bytes = BufWriter::new(Vec::new());
        self.file.write_to(&mut bytes, gix::index::write::Options::default())?;
        let bytes = bytes.into_inner().context("cannot put git's index together")?;
        files::replace(self.file.path(), &bytes, sync)
    }
}
