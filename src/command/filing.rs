//! Under which path a record is filed, and whether it is filed already.
//!
//! Takes the logbook as the history has it, the records handed in before this one, and what lies in the folder. Two
//! different records never get one path, and one record never gets two.

use super::bringing_back::{self, Otherwise};
use super::handed::Handed;
use super::opened::Opened;
use super::taking_in::Candidate;
use crate::logbook::{self, Changed, ChangedHow, FileContent, Trouble};
use crate::record::Record;

/// Returns whether the history has a record at a path.
pub fn is_recorded(opened: &Opened, path: &str) -> bool {
    path.starts_with("records/") && opened.snapshot.files.contains_key(path)
}

/// Refuses a record of the history that somebody edited afterwards: filed anew it would stand there twice.
pub fn refuse_edited(opened: &Opened, file: &Handed) -> anyhow::Result<()> {
    match &file.inside {
        Some(path)
            if is_recorded(opened, path)
                && !opened.snapshot.files.get(path).is_some_and(|committed| file.content.is_checkout_of(committed)) =>
        {
            let changed = vec![Changed { path: path.clone(), how: ChangedHow::Edited }];
            let how = bringing_back::otherwise(&opened.root, changed)?.into_iter().next();
            let help = match how {
                Some((_, how @ (Otherwise::FirstText | Otherwise::TwoVersions))) => {
                    format!("it {}", bringing_back::next_step(path, how))
                }
                _ => format!(
                    "bring the old text back with `git checkout HEAD -- {path}`; what was wrong with it is put right \
                     by `pinindex correct`"
                ),
            };
            let what = format!("`{path}` was changed after it was recorded, and a record is never written over");
            Err(Trouble::new(what, help).into())
        }
        _ => Ok(()),
    }
}

/// What becomes of a record that was handed in.
pub enum Where {
    /// It is filed under this path.
    New(String),
    /// The history has it under this path.
    AlreadyThere(String),
    /// Another file handed in together with it holds the same record.
    SameAs(String),
}

/// Finds the path for a record: that of its time, machine and kind, with a number when the name is taken.
///
/// A record that lies at such a path already stays there. A file that lies there and is in no commit yet is another
/// record, which nobody has handed in.
pub fn file_under(opened: &Opened, taken: &[Candidate], record: &Record, text: &str, inside: Option<&str>) -> Where {
    let path = |number| logbook::numbered_record_path(record.when().0, &record.common.machine, record.kind(), number);
    let lies = inside.and_then(logbook::parse_record_path).map(|name| name.ordinal);
    let lies = lies.map(path).filter(|path| Some(path.as_str()) == inside);
    let mut number = 1;
    loop {
        let path = path(number);
        let candidate = taken.iter().find(|candidate| candidate.filed.path == path);
        match (opened.snapshot.files.get(&path), candidate) {
            (Some(FileContent::Bytes(bytes)), _) if **bytes == *text.as_bytes() => return Where::AlreadyThere(path),
            (_, Some(other)) if other.text == text => return Where::SameAs(other.shown.clone()),
            (None, None) => match logbook::read_inside(&opened.root, &path) {
                Some(FileContent::Bytes(bytes)) if *bytes != *text.as_bytes() => {}
                // What cannot be looked at is told when the record is put there.
                Some(FileContent::Bytes(_) | FileContent::Unreadable(_)) | None => {
                    return Where::New(lies.unwrap_or(path));
                }
                Some(FileContent::TooLarge(_) | FileContent::Link) => {}
            },
            _ => {}
        }
        number += 1;
    }
}
