//! What the fuzz targets begin with and what they once stumbled over, tried each time the tests run.

#[path = "../fuzz/logbook.rs"]
mod logbook;
#[path = "../fuzz/one_file.rs"]
mod one_file;

use std::fs;
use std::path::Path;

/// Returns the files of a corpus; there must be many, or nothing is tried.
fn corpus(of: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(of);
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let read = |path: std::path::PathBuf| (path.display().to_string(), fs::read(&path).unwrap());
    let files: Vec<_> = files.map(read).collect();
    assert!(files.len() >= 40, "only {} files", files.len());
    files
}

/// Tries something out, and says of which file a crash came.
fn told(path: &str, try_out: impl FnOnce()) {
    let came = std::panic::catch_unwind(std::panic::AssertUnwindSafe(try_out));
    assert!(came.is_ok(), "{path} ends in a crash");
}

#[test]
fn every_file_of_the_corpus_is_a_record_or_a_fault() {
    for (path, bytes) in corpus("reader") {
        told(&path, || one_file::try_out(&bytes));
    }
}

#[test]
fn every_logbook_of_the_corpus_is_read_judged_counted_and_shown() {
    for (path, bytes) in corpus("whole_line") {
        told(&path, || logbook::try_out(&bytes));
    }
}
