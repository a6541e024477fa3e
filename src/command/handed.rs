//! The files that a person hands in to be recorded: those named, and the .yaml files of the folders named.
//!
//! Each file comes once, however often it was named. What is no plain file is handed on as what it is; a name that leads
//! nowhere is a failure, before anything is done. Folders inside a folder are not looked into.

use super::{Context, paths};
use crate::logbook::{self, FileContent, Trouble};
use crate::record;
use anyhow::Context as _;
use std::collections::HashSet;
use std::path::{Path, PathBuf};

/// A file that was handed in.
pub struct Handed {
    /// Where it lies; nothing when it was never a file.
    pub place: Option<PathBuf>,
    /// The name that the person knows it by.
    pub shown: String,
    pub content: FileContent,
    /// Its path in the logbook, when it is a plain file there.
    pub inside: Option<String>,
}

/// Everything that was handed in.
pub struct Handful {
    pub files: Vec<Handed>,
    /// The folders in which there was nothing to record.
    pub empty: Vec<String>,
}

/// Reads the files named and the .yaml files of the folders named, in the order of their names.
pub fn read(context: &Context, root: &Path, named: &[PathBuf]) -> anyhow::Result<Handful> {
    let mut handful = Handful { files: Vec::new(), empty: Vec::new() };
    let mut seen = HashSet::new();
    for name in named {
        let place = context.folder().join(name);
        let names = if place.is_dir() { yaml_files(&place, name)? } else { vec![name.clone()] };
        if names.is_empty() {
            handful.empty.push(name.display().to_string());
        }
        for name in names {
            let place = context.folder().join(&name);
            let content = logbook::read_file(&place).ok_or_else(|| missing(&name))?;
            // A link is not followed, so it is another file than the one it leads to.
            let whole = if content == FileContent::Link { None } else { place.canonicalize().ok() };
            if !seen.insert(whole.unwrap_or_else(|| place.clone())) {
                continue;
            }
            let is_plain = matches!(content, FileContent::Bytes(_));
            let inside = paths::inside(context, root, &name).filter(|_| is_plain).map(|path| paths::slashed(&path));
            handful.files.push(Handed { place: Some(place), shown: name.display().to_string(), content, inside });
        }
    }
    Ok(handful)
}

/// Returns the id of whoever wrote a record down, as its file says; nothing for a file that is no record.
pub fn recorder(file: &Handed) -> Option<String> {
    let FileContent::Bytes(bytes) = &file.content else { return None };
    record::read(&file.shown, bytes).0.map(|record| record.common.recorder().to_owned())
}

fn missing(name: &Path) -> Trouble {
    Trouble::new(
        format!("there is no file or folder `{}`", name.display()),
        "nothing was recorded; look at the name and run the same command again",
    )
}

/// Returns the .yaml files in a folder. Hidden ones are what systems leave on sticks and shares.
fn yaml_files(place: &Path, name: &Path) -> anyhow::Result<Vec<PathBuf>> {
    let unreadable = || format!("folder `{}` cannot be read", name.display());
    let mut files = Vec::new();
    for entry in std::fs::read_dir(place).with_context(unreadable)? {
        let entry = entry.with_context(unreadable)?;
        let file = PathBuf::from(entry.file_name());
        let is_yaml =
            file.extension().is_some_and(|end| ["yaml", "yml"].iter().any(|known| end.eq_ignore_ascii_case(known)));
        let is_hidden = file.to_string_lossy().starts_with('.');
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if is_yaml && !is_hidden && !is_folder {
            files.push(name.join(file));
        }
    }
    files.sort();
    Ok(files)
}
