//! All that the typst program needs to set a blank form as a PDF.
//!
//! The template reads the form as data, so no text of the logbook is ever read as typst.

use super::Paper;
use crate::report::coverage::{self, Coverage};
use crate::report::typeset::{Setting, fonts};
use std::collections::BTreeSet;

const TEMPLATE: &str = "paper.typ";
const SOURCE: &str = include_str!("../../../report-templates/paper.typ");

/// Returns what sets a form as a PDF: PDF/A-2a for the archive, and PDF/UA-1 for readers who hear or feel it.
///
/// Characters without a picture are replaced, and a notice on the sheet says so.
pub fn setting(paper: &Paper, extra_fonts: &[Vec<u8>]) -> Setting {
    let coverage = Coverage::of(&fonts(extra_fonts));
    let mut missing = BTreeSet::new();
    let data = |paper: &Paper| serde_json::to_value(paper).expect("a form is only texts and numbers");
    let mut drawn = coverage.draw_all(data(paper), &mut missing);
    if !missing.is_empty() {
        let mut told = paper.clone();
        told.notices.push(coverage::notice(&missing, "sheet"));
        drawn = coverage.draw_all(data(&told), &mut missing);
    }
    let files = vec![
        (TEMPLATE.to_owned(), SOURCE.as_bytes().to_vec()),
        ("sheet.json".to_owned(), serde_json::to_vec_pretty(&drawn).expect("a form is only texts and numbers")),
    ];
    Setting::of(TEMPLATE, "a-2a,ua-1", paper.timestamp, files, extra_fonts)
}
