//! Git's index: the list of files that git thinks are in the next commit.
//!
//! Held under git's own lock from the first look to the last write, so that nobody stages anything in
//! between. A new record must be in the index before the branch moves: a crash between the two leaves
//! an addition, the other order would leave the removal of a record ready to be committed.

use std::fs::{self, File};
use std::io::{BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::bstr::{BStr, ByteSlice};
use gix::index::entry::{Flags, Mode, Stat};

use super::files;
use super::trouble::Trouble;

/// What our lock file says, to know it again after a crash. Nothing but the lock is ever in this file.
const OUR_MARK: &[u8] = b"held by pinindex\n";
const PAUSE: Duration = Duration::from_millis(20);
const PATIENCE: Duration = Duration::from_secs(2);

/// The index of a logbook, locked until this is dropped.
pub(super) struct LockedIndex {
    file: gix::index::File,
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
    /// Takes git's lock on the index. The caller holds the logbook's own lock, so a lock file with our
    /// mark can only be what a crash left behind.
    fn acquire(index: &Path) -> Result<Self> {
        let mut path = index.as_os_str().to_owned();
        path.push(".lock");
        let path = PathBuf::from(path);
        let begun = Instant::now();
        loop {
            match File::options().write(true).create_new(true).open(&path) {
                Ok(mut file) => {
                    let lock = GitLock { path };
                    file.write_all(OUR_MARK).with_context(|| format!("cannot write `{}`", lock.path.display()))?;
                    return Ok(lock);
                }
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {
                    if fs::read(&path).is_ok_and(|text| text == OUR_MARK) {
                        fs::remove_file(&path).with_context(|| format!("cannot remove `{}`", path.display()))?;
                    } else if begun.elapsed() < PATIENCE {
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
        let file = if path.exists() {
            repo.open_index()
                .map_err(anyhow::Error::from)
                .with_context(|| format!("cannot read git's index `{}`", path.display()))?
        } else {
            gix::index::File::from_state(gix::index::State::new(repo.object_hash()), path)
        };
        Ok(LockedIndex { file, root: root.to_path_buf(), _lock: lock })
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

    /// Adds the files and writes the index. The files must be in the working folder already.
    pub(super) fn add(&mut self, files: &[(String, ObjectId)], sync: bool) -> Result<()> {
        for (path, id) in files {
            let stat = self.stat(path)?;
            self.file.dangerously_push_entry(stat, *id, Flags::empty(), Mode::FILE, BStr::new(path));
        }
        self.file.sort_entries();
        self.write(sync)
    }

    /// Takes the files out again, where they are still as they were added.
    pub(super) fn take_back(&mut self, files: &[(String, ObjectId)], sync: bool) -> Result<()> {
        let added: std::collections::HashMap<&[u8], ObjectId> =
            files.iter().map(|(path, id)| (path.as_bytes(), *id)).collect();
        self.file.remove_entries(|_, path, entry| added.get(path.as_bytes()) == Some(&entry.id));
        self.write(sync)
    }

    /// Brings the index to the commit's `tree` if all that differs is files that are missing in it.
    ///
    /// Returns false, and changes nothing, if something else differs or a file is not on disk.
    pub(super) fn catch_up(&mut self, repo: &gix::Repository, tree: ObjectId) -> Result<bool> {
        let wanted = repo.index_from_tree(&tree)?;
        let mut missing = Vec::new();
        let mut present = 0;
        for entry in wanted.entries() {
            let path = entry.path(&wanted);
            match self.file.entry_by_path(path) {
                Some(known) if known.id == entry.id && known.mode == entry.mode => present += 1,
                Some(_) => return Ok(false),
                None => missing.push((path.to_str_lossy().into_owned(), entry.id)),
            }
        }
        let on_disk = |(path, id): &(String, ObjectId)| {
            fs::read(self.root.join(path)).is_ok_and(|bytes| {
                gix::objs::compute_hash(id.kind(), gix::objs::Kind::Blob, &bytes).is_ok_and(|found| found == *id)
            })
        };
        if present != self.file.entries().len() || !missing.iter().all(on_disk) {
            return Ok(false);
        }
        if !missing.is_empty() {
            self.add(&missing, true)?;
        }
        Ok(true)
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
