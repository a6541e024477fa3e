//! The page that holds the tables, between two marks.

use std::fs;
use std::path::{Path, PathBuf};

const BEGIN: &str = "<!-- Written by `GOLDEN=overwrite cargo bench --bench sensitivity`. -->\n";
const END: &str = "<!-- The end of what that command writes. -->\n";

/// Returns the path of the page.
pub fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")
}

/// Returns the page as it stands.
pub fn text() -> String {
    fs::read_to_string(path()).unwrap()
}

/// Returns the tables as they stand on the page.
pub fn tables() -> String {
    let page = text();
    let (_, rest) = page.split_once(BEGIN).unwrap();
    let (tables, _) = rest.split_once(END).unwrap();
    tables.trim_matches('\n').to_owned() + "\n"
}

/// Returns the page with other tables.
pub fn with(tables: &str) -> String {
    let page = text();
    let (before, rest) = page.split_once(BEGIN).unwrap();
    let (_, after) = rest.split_once(END).unwrap();
    format!("{before}{BEGIN}\n{tables}\n{END}{after}")
}
