//! Where a record belongs that lies under another name, and whether it is only a copy of one that lies there.
//!
//! Nobody is told to put a file where another one lies.

use super::{Contents, Filed};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::numbered_record_path;
use crate::record::Record;

/// Where a record belongs.
pub enum Belongs {
    /// Under this name, which is free.
    At(String),
    /// Nowhere else: it is a copy of this record.
    CopyOf(String),
}

/// Returns where a record belongs that lies under the name of no record, or of another one; `ordinal` is where the count of
/// records of one second begins.
pub fn belongs(contents: &Contents, record: &Record, ordinal: u32) -> Belongs {
    let mut ordinal = ordinal;
    loop {
        let path = numbered_record_path(record.when().0, &record.common.machine, record.kind(), ordinal);
        match contents.record(&path) {
            Some(Filed { record: other, .. }) if other == record => return Belongs::CopyOf(path),
            Some(_) => ordinal += 1,
            None => return Belongs::At(path),
        }
    }
}

/// Adds to a problem what to do with a copy.
pub fn copy_of(problem: Diagnostic, original: &str) -> Diagnostic {
    let path = problem.place.path.clone();
    Diagnostic { headline: format!("file is a copy of {original}"), ..problem }.help(format!(
        "delete it; if it was committed, `pinindex void {path}` takes it out of the count and leaves both readable"
    ))
}

/// Returns the problem of a record under a name that no record has.
pub(super) fn under_no_name(path: &str, record: &Record, contents: &Contents) -> Diagnostic {
    let problem = Diagnostic::problem("misfiled-record", Place::file(path), "file name is not that of a record");
    match belongs(contents, record, 1) {
        Belongs::CopyOf(original) => copy_of(problem, &original),
        Belongs::At(right) => problem.help(format!("give it the name of its time, machine and kind: `{right}`")),
    }
}
