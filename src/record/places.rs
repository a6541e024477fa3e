//! Places in a file: from a JSON pointer to line and column.
//!
//! Typed records carry no positions. When there is something to show, the one file it is about is read into its
//! tree a second time and the pointer looked up there.

use super::tree;
use crate::diagnostic::{At, Diagnostic, Located, Place, Spot};
use std::collections::HashMap;
use std::ops::Range;

/// Finds the place of every diagnostic, and sorts them by path, line and column.
///
/// `bytes` gives a file's content; a file it does not know is placed at line 1, column 1.
pub fn locate(diagnostics: Vec<Diagnostic>, bytes: &dyn Fn(&str) -> Option<Vec<u8>>) -> Vec<Located> {
    let mut finder = Finder { bytes, files: HashMap::new() };
    let mut located: Vec<Located> = diagnostics
        .into_iter()
        .map(|diagnostic| Located {
            spot: finder.spot(&diagnostic.place),
            also: diagnostic.also.iter().map(|(place, _)| finder.spot(place)).collect(),
            diagnostic,
        })
        .collect();
    located.sort();
    located.dedup();
    located
}

struct Finder<'a> {
    bytes: &'a dyn Fn(&str) -> Option<Vec<u8>>,
    files: HashMap<String, (String, Option<tree::Node>)>,
}

impl Finder<'_> {
    fn spot(&mut self, place: &Place) -> Spot {
        let bytes = self.bytes;
        let (text, root) = self.files.entry(place.path.clone()).or_insert_with(|| {
            let content = bytes(&place.path).unwrap_or_default();
            let root = tree::read(&place.path, &content).0;
            (String::from_utf8_lossy(&content).into_owned(), root)
        });
        let range = match &place.at {
            At::File => 0..0,
            At::Bytes(range) => range.clone(),
            At::Value(pointer) => find(root.as_ref(), pointer, false),
            At::Key(pointer) => find(root.as_ref(), pointer, true),
        };
        let (line, column) = line_and_column(text, range.start);
        let (end_line, end_column) = line_and_column(text, range.end);
        Spot { path: place.path.clone(), bytes: range, line, column, end_line, end_column }
    }
}

/// Returns the bytes of the value at a pointer in the text of a record.
pub fn value(text: &str, pointer: &str) -> Option<Range<usize>> {
    let root = tree::read("", text.as_bytes()).0?;
    root.at(pointer).map(|(node, _)| node.span.clone())
}

/// Returns the bytes at a pointer, or of the nearest thing above it that is there.
fn find(root: Option<&tree::Node>, pointer: &str, key: bool) -> Range<usize> {
    let Some(root) = root else { return 0..0 };
    let mut pointer = pointer;
    let mut key = key;
    loop {
        if let Some((node, key_span)) = root.at(pointer) {
            return match key_span {
                Some(span) if key || node.span.is_empty() => span,
                _ if pointer.is_empty() => 0..0,
                _ => node.span.clone(),
            };
        }
        key = true;
        pointer = pointer.rfind('/').map_or("", |i| &pointer[..i]);
    }
}

/// Returns the 1-based line and column (in characters) of a byte offset.
fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let mut byte = byte.min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    let before = &text[..byte];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    let line = before.matches('\n').count() + 1;
    let column = before[line_start..].trim_start_matches('\u{feff}').chars().count() + 1;
    (line, column)
}
