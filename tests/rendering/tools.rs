//! Outside programs, each asked for by name; a missing one is an error that says what brings it.

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Output};

use pinindex::command::typst::{Typeset, typeset};
use pinindex::report::{Report, typeset::setting};

/// Runs a program in a folder.
pub fn run<A: AsRef<OsStr>>(program: &str, arguments: &[A], folder: &Path) -> Output {
    Command::new(program).args(arguments).current_dir(folder).output().unwrap_or_else(|error| {
        panic!("`{program}` did not run ({error}); run tests/run, which installs what the tests need")
    })
}

/// Runs a program that must succeed and returns what it wrote.
pub fn output<A: AsRef<OsStr>>(program: &str, arguments: &[A], folder: &Path) -> String {
    let output = run(program, arguments, folder);
    assert!(output.status.success(), "`{program}` failed: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("the program writes UTF-8")
}

/// Returns the report as a PDF.
pub fn pdf(report: &Report, fonts: Option<&Path>) -> Vec<u8> {
    match typeset(|extra| setting(report, extra), fonts).expect("the scratch folder can be written") {
        Typeset::Pdf(pdf) => pdf,
        Typeset::NoProgram => panic!("`typst` is not on PATH; run tests/run, which installs what the tests need"),
        other => panic!("no PDF: {other:?}"),
    }
}
