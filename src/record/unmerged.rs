//! Two versions of one file, one above the other, as git leaves them where a merge could not join them.
//!
//! No text of a record begins a line like this, so that the marks are known before anything is read as YAML.

use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{RecordName, parse_record_path};
use std::ops::Range;

const BEGINS: &str = "<<<<<<<";
const ENDS: &str = ">>>>>>>";

/// Returns whether a file holds two versions.
pub fn stand_in(bytes: &[u8]) -> bool {
    std::str::from_utf8(bytes).is_ok_and(|text| first_mark(text).is_some())
}

/// Returns the problem of a file that holds two versions, with a next step that loses neither.
pub(super) fn problem(path: &str, text: &str) -> Option<Diagnostic> {
    let mark = first_mark(text)?;
    let problem = Diagnostic::problem("two-versions", Place::bytes(path, mark), "two versions are in this file")
        .label("a merge that could not join them begins here");
    Some(match parse_record_path(path) {
        Some(name) => {
            let other = RecordName { ordinal: name.ordinal.saturating_add(1), ..name }.path();
            problem.help("both are records: while the merge is open, keep the second one under a name of its own").paste(
                format!(
                    "git show :2:{path} > {path}\ngit show :3:{path} > {other}\ngit add {path} {other}\n\
                     git commit --message 'Keep both records'"
                ),
            )
        }
        None => problem.help(format!(
            "write into it what is true of both, and delete the lines that begin with `{BEGINS}`, `=======` and `{ENDS}`"
        )),
    })
}

/// Returns where the line stands that begins the first version, if a line further down ends the second one.
fn first_mark(text: &str) -> Option<Range<usize>> {
    let mut begun = None;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let words = line.trim_end();
        if begun.is_none() && words.starts_with(BEGINS) {
            begun = Some(at..at + words.len());
        }
        if begun.is_some() && words.starts_with(ENDS) {
            return begun;
        }
        at += line.len();
    }
    None
}

#[cfg(test)]
mod tests {
    use super::stand_in;

    #[test]
    fn both_marks_must_begin_a_line() {
        assert!(stand_in(b"a: 1\n<<<<<<< HEAD\nb: 1\n=======\nb: 2\n>>>>>>> other\n"));
        assert!(stand_in(b"<<<<<<< HEAD\r\nb: 1\r\n=======\r\nb: 2\r\n>>>>>>> other\r\n"));
        for text in ["remarks: <<<<<<< HEAD >>>>>>>\n", "<<<<<<< HEAD\n", "  <<<<<<< a\n  >>>>>>> b\n", ""] {
            assert!(!stand_in(text.as_bytes()), "{text}");
        }
    }
}
