//! What lies in git's folder beside its objects, before git's library opens it: small plain files, or nothing.
//!
//! Whoever can write there can put a pipe, a device, a link or a file without end in the place of one, and whatever opens it
//! waits for ever or fills the memory. Here each is asked first what it is.

use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::Result;
use gix::bstr::ByteSlice;
use walkdir::{DirEntry, WalkDir};

use super::folder;
use super::snapshot::FileContent;
use super::trouble::Trouble;

/// A branch, a tag, or where another folder lies.
const LARGEST_NAME: u64 = 4096;
const LARGEST_SETTINGS: u64 = 1024 * 1024;
/// The list of packed branches and tags.
const LARGEST_LIST: u64 = 16 * 1024 * 1024;
/// A million files.
pub(super) const LARGEST_INDEX: u64 = 128 * 1024 * 1024;
/// How many branches and tags may lie in files of their own.
const MOST_REFERENCES: usize = 100_000;

/// How many folders objects may be borrowed from, and how deep in them they lie.
const MOST_LENDERS: usize = 32;
const DEEPEST_OBJECT: usize = 3;

/// The files that git's library reads as it opens a repository, and how large each may be.
const OPENED: [(&str, u64); 8] = [
    ("HEAD", LARGEST_NAME),
    ("commondir", LARGEST_NAME),
    ("gitdir", LARGEST_NAME),
    ("config", LARGEST_SETTINGS),
    ("config.worktree", LARGEST_SETTINGS),
    ("shallow", LARGEST_SETTINGS),
    ("packed-refs", LARGEST_LIST),
    ("objects/info/commit-graph", LARGEST_INDEX),
];

/// Refuses the git folder of the logbook in `root` where anything but a plain file of a fit size lies in the place of one.
pub(super) fn refuse_unfit(root: &Path) -> Result<()> {
    for folder in folders(root)? {
        for (name, limit) in OPENED {
            refuse_other(&folder.join(name), limit)?;
        }
        refuse_other_references(&folder.join("refs"))?;
    }
    refuse_other_objects(folders(root)?.into_iter().map(|folder| folder.join("objects")).collect())
}

/// Returns the text of git's settings for the logbook in `root`; nothing where there are none.
pub(super) fn settings(root: &Path) -> Result<String> {
    let mut settings = String::new();
    for folder in folders(root)? {
        settings.push_str(&text(&folder.join("config"), LARGEST_SETTINGS));
    }
    Ok(settings)
}

/// Returns the text of a small plain file; nothing where there is none, or anything else.
pub(super) fn text(place: &Path, limit: u64) -> String {
    match folder::read_within(place, limit) {
        Some(FileContent::Bytes(bytes)) => bytes.to_str_lossy().into_owned(),
        _ => String::new(),
    }
}

/// Refuses whatever is no plain file of at most so many bytes; nothing at all is fine.
pub(super) fn refuse_other(place: &Path, limit: u64) -> Result<()> {
    match fs::symlink_metadata(place) {
        Ok(found) if found.is_file() && found.len() <= limit => Ok(()),
        Ok(_) => Err(in_the_way(place, limit).into()),
        // What cannot be looked at is told by whoever reads it.
        Err(_) => Ok(()),
    }
}

fn in_the_way(place: &Path, limit: u64) -> Trouble {
    Trouble::new(
        format!("`{}` is in the way: it should be a plain file of at most {limit} bytes", place.display()),
        "ask who put it there, and keep a copy; bring the logbook back from a copy that is sound",
    )
}

fn too_many(place: &Path, what: &str) -> Trouble {
    Trouble::new(
        format!("`{}` {what} than any logbook can have", place.display()),
        "ask who put them there, or take a copy that is sound; nothing was changed",
    )
}

/// Returns git's folder, and the one that several folders of files share with it.
fn folders(root: &Path) -> Result<Vec<PathBuf>> {
    let named = root.join(".git");
    let own = match fs::metadata(&named) {
        Ok(found) if found.is_dir() => named,
        // A folder of files that lies elsewhere than its history says in a file where that is.
        _ => {
            refuse_other(&named, LARGEST_NAME)?;
            let text = text(&named, LARGEST_NAME);
            root.join(text.trim_end().strip_prefix("gitdir:").unwrap_or_default().trim())
        }
    };
    refuse_other(&own.join("commondir"), LARGEST_NAME)?;
    let shared = text(&own.join("commondir"), LARGEST_NAME);
    let shared = (!shared.trim().is_empty()).then(|| own.join(shared.trim()));
    Ok(std::iter::once(own).chain(shared).collect())
}

fn refuse_other_references(refs: &Path) -> Result<()> {
    let mut number = 0;
    for entry in WalkDir::new(refs).follow_links(false).into_iter().flatten() {
        if entry.file_type().is_dir() {
            continue;
        }
        number += 1;
        if number > MOST_REFERENCES {
            return Err(too_many(refs, "has more branches and tags").into());
        }
        refuse_other(entry.path(), LARGEST_NAME)?;
    }
    Ok(())
}

/// Looks through folders of objects, and those that they borrow from. An object is compared with its id as it is read, so that
/// a link to a file or a folder does no harm.
fn refuse_other_objects(mut open: Vec<PathBuf>) -> Result<()> {
    let mut seen = HashSet::new();
    while let Some(objects) = open.pop() {
        if !seen.insert(objects.clone()) {
            continue;
        }
        if seen.len() > MOST_LENDERS {
            return Err(too_many(&objects, "borrows its objects from more folders").into());
        }
        let lenders = objects.join("info").join("alternates");
        refuse_other(&lenders, LARGEST_SETTINGS)?;
        let text = text(&lenders, LARGEST_SETTINGS);
        let named = text.lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
        open.extend(named.map(|line| objects.join(line.trim_matches('"'))));
        // What a borrowed folder holds besides is nobody's business.
        let is_of_git = |entry: &DirEntry| entry.depth() != 1 || entry.file_name().to_str().is_some_and(holds_objects);
        let walk = WalkDir::new(&objects).follow_links(false).max_depth(DEEPEST_OBJECT).into_iter();
        for entry in walk.filter_entry(is_of_git).flatten() {
            let kind = entry.file_type();
            let leads_to_none = || fs::metadata(entry.path()).is_ok_and(|found| !found.is_file() && !found.is_dir());
            if !(kind.is_dir() || kind.is_file() || (kind.is_symlink() && !leads_to_none())) {
                return Err(in_the_way(entry.path(), LARGEST_LIST).into());
            }
        }
    }
    Ok(())
}

/// Returns whether git looks for objects in a folder of this name among its objects.
fn holds_objects(name: &str) -> bool {
    ["pack", "info"].contains(&name) || (name.len() == 2 && name.bytes().all(|byte| byte.is_ascii_hexdigit()))
}
