//! Finding a logbook's folder and reading its files as they are on disk.
//!
//! Reads only what belongs to a logbook, follows no link, and lists what it could not read with the
//! reason, so that one bad file never hides the others.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use anyhow::{Context, Result};
use walkdir::WalkDir;

use super::history;
use super::layout::{self, FOLDERS, SITE_FILE, SIZE_LIMIT, TOP_FILES};
use super::snapshot::{FileContent, Snapshot, Source};
use super::trouble::Trouble;

/// Returns the folder of the logbook: `explicit` if given, else the nearest one at or above `start`.
pub fn find(start: &Path, explicit: Option<&Path>) -> Result<PathBuf> {
    let has_site = |folder: &Path| folder.join(SITE_FILE).is_file();
    if let Some(folder) = explicit {
        if has_site(folder) {
            return Ok(folder.to_path_buf());
        }
        return Err(Trouble::new(
            format!("`{}` is not a logbook: it has no `{SITE_FILE}`", folder.display()),
            format!("run `pinindex init {}` to start a logbook there", folder.display()),
        )
        .into());
    }
    let start = without_parent_steps(start).with_context(|| format!("cannot find the folder `{}`", start.display()))?;
    match start.ancestors().find(|folder| has_site(folder)) {
        Some(folder) => Ok(folder.to_path_buf()),
        None => Err(Trouble::new(
            format!("no logbook here: no `{SITE_FILE}` in `{}` or any folder above it", start.display()),
            "go to the logbook's folder, or run `pinindex init DIR` to start one",
        )
        .into()),
    }
}

/// Returns `path` in full. The disk is asked only where `..` would make the folders above ambiguous.
fn without_parent_steps(path: &Path) -> std::io::Result<PathBuf> {
    let absolute = std::path::absolute(path)?;
    if absolute.components().any(|part| part == Component::ParentDir) {
        return absolute.canonicalize();
    }
    Ok(absolute)
}

/// Returns all files of the logbook in `root` as they are on disk.
pub fn read_working_files(root: &Path) -> Result<Snapshot> {
    let files = list(root, &TOP_FILES).into_iter().map(|file| (file.path.clone(), file.content()));
    let files: BTreeMap<String, FileContent> = files.collect();
    let (head, uncommitted) = history::compare_with_head(root, &files)?;
    Ok(Snapshot { files, source: Source::WorkingFiles { head, uncommitted } })
}

/// Returns what is at `place`, as it would be read in a logbook: no link is followed, nothing over the limit is read.
///
/// Nothing if there is nothing at that place.
pub fn read_file(place: &Path) -> Option<FileContent> {
    match fs::symlink_metadata(place) {
        Ok(found) => Some(content(place, &found)),
        Err(error) if error.kind() == ErrorKind::NotFound => None,
        Err(error) => Some(FileContent::Unreadable(plain_reason(&error))),
    }
}

/// Returns what is at a path of the logbook in `root`, as [`read_file`] does; nothing for a path that leads out of it or
/// through a link.
pub fn read_inside(root: &Path, path: &str) -> Option<FileContent> {
    let mut place = root.to_path_buf();
    let mut parts = Path::new(path).components().peekable();
    while let Some(part) = parts.next() {
        let Component::Normal(name) = part else { return None };
        place.push(name);
        if parts.peek().is_some() && !fs::symlink_metadata(&place).is_ok_and(|found| found.is_dir()) {
            return None;
        }
    }
    read_file(&place)
}

/// A file of the folder, found and not yet read.
pub(super) struct Found {
    /// The path below the logbook, with `/`.
    pub(super) path: String,
    place: PathBuf,
    /// What the disk says of it, or why it cannot be read.
    metadata: Result<fs::Metadata, String>,
}

impl Found {
    /// Reads the file.
    pub(super) fn content(&self) -> FileContent {
        match &self.metadata {
            Ok(found) => content(&self.place, found),
            Err(reason) => FileContent::Unreadable(reason.clone()),
        }
    }

    /// Returns the place of a plain file.
    pub(super) fn plain_file(&self) -> Option<&Path> {
        self.metadata.as_ref().is_ok_and(fs::Metadata::is_file).then_some(&self.place)
    }
}

/// Returns the files in the folders of the logbook in `root`, and those of the files named `beside` that are there.
pub(super) fn list(root: &Path, beside: &[&str]) -> Vec<Found> {
    let mut files = Vec::new();
    for name in beside {
        let place = root.join(name);
        let metadata = match fs::symlink_metadata(&place) {
            Err(error) if error.kind() == ErrorKind::NotFound => continue,
            metadata => metadata.map_err(|error| plain_reason(&error)),
        };
        files.push(Found { path: (*name).to_owned(), place, metadata });
    }
    for folder in FOLDERS {
        list_folder(root, folder, &mut files);
    }
    files
}

fn list_folder(root: &Path, folder: &str, files: &mut Vec<Found>) {
    let walk = WalkDir::new(root.join(folder)).follow_links(false).follow_root_links(false);
    for entry in walk {
        match entry {
            Ok(entry) => {
                let (path, is_text) = relative(root, entry.path());
                if entry.file_type().is_dir() || (passed_over(entry.file_name()) && !is_stuffed(&entry)) {
                    continue;
                }
                let metadata = match (is_text, entry.metadata()) {
                    (false, _) => Err("its name is not text (UTF-8)".to_owned()),
                    (true, found) => found.map_err(|error| walk_reason(&error)),
                };
                files.push(Found { path, place: entry.into_path(), metadata });
            }
            Err(error) => {
                let path = error.path().map_or((folder.to_owned(), true), |path| relative(root, path)).0;
                let absent = error.io_error().is_some_and(|error| error.kind() == ErrorKind::NotFound);
                // A logbook need not have every folder; a file that is gone again is no file.
                if !absent {
                    files.push(Found { place: root.join(&path), path, metadata: Err(walk_reason(&error)) });
                }
            }
        }
    }
}

/// Returns whether a file that only makes git keep its folder has something in it all the same.
fn is_stuffed(entry: &walkdir::DirEntry) -> bool {
    entry.file_name() == layout::KEEPS_A_FOLDER
        && !entry.metadata().is_ok_and(|found| found.is_file() && found.len() == 0)
}

fn passed_over(name: &OsStr) -> bool {
    name.to_str().is_some_and(layout::passed_over)
}

/// Returns the path below `root` with `/`, and whether all of it was text.
fn relative(root: &Path, path: &Path) -> (String, bool) {
    let below = path.strip_prefix(root).unwrap_or(path);
    let parts: Vec<_> = below.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    (parts.join("/"), below.to_str().is_some())
}

fn content(path: &Path, found: &fs::Metadata) -> FileContent {
    if found.is_symlink() {
        return FileContent::Link;
    }
    // A pipe or a device would block the reader for ever.
    if !found.is_file() {
        return FileContent::Unreadable("it is not a plain file".to_owned());
    }
    if found.len() > SIZE_LIMIT {
        return FileContent::TooLarge(found.len());
    }
    // The file may have grown since it was measured, so the read has a limit of its own.
    let mut bytes = Vec::with_capacity(usize::try_from(found.len()).unwrap_or(0));
    match File::open(path).and_then(|file| file.take(SIZE_LIMIT + 1).read_to_end(&mut bytes)) {
        Ok(size) if size as u64 > SIZE_LIMIT => FileContent::TooLarge(size as u64),
        Ok(_) => FileContent::Bytes(Arc::from(bytes)),
        Err(error) => FileContent::Unreadable(plain_reason(&error)),
    }
}

fn walk_reason(error: &walkdir::Error) -> String {
    error.io_error().map_or_else(|| error.to_string(), plain_reason)
}

fn plain_reason(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::PermissionDenied => "no permission to read it".to_owned(),
        _ => error.to_string(),
    }
}
