//! Texts that are compared as a whole with a file of this folder.

use std::path::Path;

/// Compares a text with the file of this name; `GOLDEN=overwrite` writes the file instead.
///
/// Shows the first line that differs: with the whole of both texts nobody would find it.
pub fn matches(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if std::env::var_os("GOLDEN").is_some_and(|wish| wish == "overwrite") {
        std::fs::write(&path, text).expect("the golden folder can be written to");
        return;
    }
    let golden = std::fs::read_to_string(&path).unwrap_or_default();
    if golden == text {
        return;
    }
    let line = golden.lines().zip(text.lines()).take_while(|(one, other)| one == other).count();
    let at = |text: &str| text.lines().nth(line).map_or("nothing more".to_owned(), |line| format!("`{line}`"));
    panic!(
        "tests/golden/{name} differs from line {} on:\n  there: {}\n  now:   {}\n\
        If the change is meant, run this test with GOLDEN=overwrite and look at the difference before you commit it.",
        line + 1,
        at(&golden),
        at(text)
    );
}
