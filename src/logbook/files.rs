//! Writing the files of the working folder so that a power cut leaves either nothing or the whole file.
//!
//! A file is written under a passing name beside its place, synced, and put in place by a rename that
//! refuses to replace anything. Nothing is ever written through a link out of the logbook.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use gix::bstr::ByteSlice;
use tempfile::NamedTempFile;

use super::layout::{self, UNFINISHED_PREFIX, UNFINISHED_SUFFIX};
use super::trouble::Trouble;

/// Below this number of files threads cost more than they save.
const FILES_WORTH_THREADS: usize = 200;
const WAITS_AT_ONCE: usize = 16;

/// Refuses a path that is not plainly inside the logbook or that some system could not hold.
pub(super) fn check_path(path: &str) -> Result<()> {
    let every_protection = gix::validate::path::component::Options::default();
    let is_good = |name: &str| {
        let bytes = name.as_bytes().as_bstr();
        !name.chars().any(char::is_control) && gix::validate::path::component(bytes, None, every_protection).is_ok()
    };
    if path.split('/').all(is_good) {
        return Ok(());
    }
    Err(Trouble::new(
        format!("`{}` cannot be the name of a file in a logbook", path.escape_debug()),
        "use letters, digits, `-`, `_` and `.`, with `/` between folders",
    )
    .into())
}

/// What is at the place of a file that shall be added.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    Free,
    /// The very same bytes are there already, for instance after a crash before the commit.
    Same,
}

/// Returns what is at the place of `path`, and refuses if it is anything but the same bytes.
pub(super) fn look(root: &Path, path: &str, bytes: &[u8]) -> Result<Place> {
    let mut folder = root.to_path_buf();
    for name in path.split('/').rev().skip(1).collect::<Vec<_>>().into_iter().rev() {
        folder.push(name);
        match fs::symlink_metadata(&folder) {
            Ok(found) if found.is_dir() => {}
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Place::Free),
            Ok(_) => {
                return Err(in_the_way(&folder).into());
            }
            Err(error) => {
                return Err(error).with_context(|| format!("cannot look into `{}`", folder.display()));
            }
        }
    }
    let place = root.join(path);
    match fs::symlink_metadata(&place) {
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(Place::Free),
        Err(error) => Err(error).with_context(|| format!("cannot look at `{}`", place.display())),
        Ok(found) if found.is_file() && found.len() == bytes.len() as u64 && holds(&place, bytes)? => Ok(Place::Same),
        Ok(found) if found.is_dir() => Err(Trouble::new(
            format!("the folder `{}` is in the way: a file belongs there", place.display()),
            "move it away, then run the same command again",
        )
        .into()),
        Ok(_) => Err(exists(path).into()),
    }
}

fn holds(place: &Path, bytes: &[u8]) -> Result<bool> {
    let found = fs::read(place).with_context(|| format!("cannot read `{}`", place.display()))?;
    Ok(found == bytes)
}

/// Returns the refusal to write over a file.
pub(super) fn exists(path: &str) -> Trouble {
    Trouble::new(
        format!("`{path}` already exists, and a record is never written over"),
        "nothing was changed; put a mistake right with a new record that says which one it corrects",
    )
}

/// A file to be put in its place.
pub(super) struct NewFile<'a> {
    pub(super) path: &'a str,
    pub(super) bytes: &'a [u8],
    /// What [`look`] found there.
    pub(super) place: Place,
}

/// Files on their way into the working folder, which can be taken away again.
pub(super) struct Writing<'a> {
    root: &'a Path,
    files: &'a [NewFile<'a>],
    /// The folders of the files.
    folders: BTreeSet<PathBuf>,
    /// The folders that were not there, every one before those inside it.
    new_folders: BTreeSet<PathBuf>,
}

impl<'a> Writing<'a> {
    /// Looks at what is there, and writes nothing.
    pub(super) fn of(root: &'a Path, files: &'a [NewFile<'a>]) -> Self {
        let places = files.iter().map(|file| root.join(file.path));
        let folders: BTreeSet<PathBuf> = places.filter_map(|place| place.parent().map(Path::to_path_buf)).collect();
        let is_new = |folder: &&Path| !folder.exists();
        let new_folders = folders.iter().flat_map(|folder| folder.ancestors().take_while(is_new));
        let new_folders = new_folders.map(Path::to_path_buf).collect();
        Writing { root, files, folders, new_folders }
    }

    /// Puts all files in their places, and with `sync` makes sure that they survive a power cut.
    pub(super) fn write(&self, sync: bool) -> Result<()> {
        for folder in &self.folders {
            fs::create_dir_all(folder).with_context(|| format!("cannot make the folder `{}`", folder.display()))?;
            sweep(folder);
        }
        for_each(self.files, |file| write(self.root, file, sync))?;
        if !sync {
            return Ok(());
        }
        let mut all = BTreeSet::new();
        for folder in &self.folders {
            let above = folder.ancestors().take_while(|above| above.starts_with(self.root));
            all.extend(above.map(Path::to_path_buf));
        }
        sync_all(&all.into_iter().collect::<Vec<_>>())
    }

    /// Takes away what was put where nothing was before. What cannot be taken away stays, and may be added again.
    pub(super) fn take_away(&self) {
        for file in self.files.iter().filter(|file| file.place == Place::Free) {
            let place = self.root.join(file.path);
            if holds(&place, file.bytes).unwrap_or(false) {
                fs::remove_file(&place).ok();
            }
        }
        for folder in self.new_folders.iter().rev() {
            fs::remove_dir(folder).ok();
        }
    }
}

fn write(root: &Path, file: &NewFile<'_>, sync: bool) -> Result<()> {
    let target = root.join(file.path);
    match file.place {
        Place::Free => put(&target, file.bytes, sync).map_err(|error| match error.kind() {
            ErrorKind::AlreadyExists => exists(file.path).into(),
            _ => anyhow::Error::from(error).context(format!("cannot write `{}`", target.display())),
        }),
        Place::Same if sync => sync_one(&target),
        Place::Same => Ok(()),
    }
}

/// Does the same to many things. The disk does many waits at once in hardly more time than one.
fn for_each<T: Sync>(all: &[T], work: impl Fn(&T) -> Result<()> + Sync) -> Result<()> {
    if all.len() < FILES_WORTH_THREADS {
        return all.iter().try_for_each(work);
    }
    let share = all.len().div_ceil(WAITS_AT_ONCE);
    std::thread::scope(|scope| {
        let work = &work;
        let workers: Vec<_> =
            all.chunks(share).map(|chunk| scope.spawn(move || chunk.iter().try_for_each(work))).collect();
        workers.into_iter().try_for_each(|worker| {
            let result = worker.join();
            result.map_err(|_| anyhow!("writing to the disk stopped half-way"))?
        })
    })
}

/// Puts a file in a place where nothing is yet: it is there as a whole or not at all.
pub(super) fn put(target: &Path, bytes: &[u8], sync: bool) -> std::io::Result<()> {
    passing_file(target, bytes, sync)?.persist_noclobber(target)?;
    Ok(())
}

/// Writes a small file of our own in one step: it is there as a whole or not at all.
pub(super) fn replace(path: &Path, bytes: &[u8], sync: bool) -> Result<()> {
    let write = || -> std::io::Result<()> {
        passing_file(path, bytes, sync)?.persist(path)?;
        Ok(())
    };
    write().with_context(|| format!("cannot write `{}`", path.display()))?;
    match path.parent() {
        Some(folder) if sync => sync_one(folder),
        _ => Ok(()),
    }
}

/// Returns a folder of the logbook's own beside its records, such as that of the reports, made if it is not there.
///
/// # Errors
/// A link stands in its place, which could lead what is written anywhere, or it cannot be made.
pub(super) fn own_folder(root: &Path, name: &str) -> Result<PathBuf> {
    let folder = root.join(name);
    match fs::symlink_metadata(&folder) {
        Ok(found) if found.is_dir() => Ok(folder),
        Ok(_) => Err(in_the_way(&folder).into()),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            fs::create_dir(&folder).with_context(|| format!("cannot make the folder `{}`", folder.display()))?;
            Ok(folder)
        }
        Err(error) => Err(error).with_context(|| format!("cannot look at `{}`", folder.display())),
    }
}

/// Returns the folder of the reports, made if it is not there.
///
/// # Errors
/// A link stands in its place, or it cannot be made.
pub fn reports_folder(root: &Path) -> Result<PathBuf> {
    own_folder(root, "reports")
}

fn in_the_way(folder: &Path) -> Trouble {
    Trouble::new(
        format!("`{}` is in the way: it should be a plain folder", folder.display()),
        "move it away, then run the same command again; a logbook writes through no link",
    )
}

/// Writes a file that is no part of the logbook, such as a report: it is there as a whole or not at all, and a link in
/// its place is replaced, not followed.
///
/// # Errors
/// The disk refuses, or a folder, a device or a pipe stands there, or a link to one: it would be gone afterwards.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    if fs::metadata(path).is_ok_and(|found| !found.is_file()) {
        return Err(Trouble::new(
            format!("`{}` is there and is no plain file", path.display()),
            "name another file to write to",
        )
        .into());
    }
    replace(path, bytes, false)
}

/// Writes a file under a passing name beside its place; it goes away by itself if it is not kept.
fn passing_file(target: &Path, bytes: &[u8], sync: bool) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNFINISHED_PREFIX).suffix(UNFINISHED_SUFFIX);
    // A temporary file is private by default; a record is readable by whoever may read its folder.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(target.parent().unwrap_or(Path::new(".")))?;
    file.write_all(bytes)?;
    if sync {
        file.as_file().sync_all()?;
    }
    Ok(file)
}

/// Takes away the files that a crash left half-written in a folder. The caller holds the logbook's own lock, so that
/// nobody is writing there.
pub(super) fn sweep(folder: &Path) {
    // What cannot be taken away does no harm.
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        if entry.file_name().to_str().is_some_and(layout::is_unfinished) {
            fs::remove_file(entry.path()).ok();
        }
    }
}

/// Makes sure that files, or the names in folders, survive a power cut.
pub(super) fn sync_all(paths: &[PathBuf]) -> Result<()> {
    for_each(paths, |path| sync_one(path))
}

/// Makes sure that one file, or the names in one folder, survives a power cut.
pub(super) fn sync_one(path: &Path) -> Result<()> {
    // Windows has no such call for folders, and syncs only files that are open for writing, which
    // git's own objects never are: there the system's own order of writing has to do.
    if cfg!(windows) {
        return Ok(());
    }
    File::open(path)
        .and_then(|file| file.sync_all())
        .with_context(|| format!("cannot make sure that `{}` is on the disk", path.display()))
}
