//! The rules of the source itself: who may import whom, what every file begins with, and what no file holds.
//!
//! `src/lib.rs` lists the modules so that each stands below all it imports from; DEVELOPERS.md explains them in that order.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test reads the source")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Returns the text of a file of the project.
fn text(path: &str) -> String {
    let whole = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(whole).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Returns the paths of all files below a folder of the project, with `/`, in order.
fn files(folder: &str) -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    // What was made by programs: packages, and the inputs of the fuzz targets, which need be no text.
    let made = |name: &std::ffi::OsStr| ["node_modules", "__pycache__", "corpus"].iter().any(|made| name == *made);
    let paths = walkdir::WalkDir::new(root.join(folder))
        .sort_by_file_name()
        .into_iter()
        .filter_entry(|entry| !made(entry.file_name()))
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| entry.path().strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/"))
        .collect::<Vec<_>>();
    assert_ne!(paths, [""; 0], "{folder} is empty");
    paths
}

fn rust_files() -> Vec<String> {
    let paths: Vec<String> = files("src").into_iter().filter(|path| path.ends_with(".rs")).collect();
    assert!(paths.len() > 100, "only {} files", paths.len());
    paths
}

/// Returns the modules in the order of `src/lib.rs`.
fn modules() -> Vec<String> {
    let lib = text("src/lib.rs");
    let names = lib.lines().filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'));
    names.map(str::to_owned).collect()
}

/// Returns the names that follow `crate::` in code, also those of a list in braces.
fn imports(source: &str) -> BTreeSet<String> {
    let code: String =
        source.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    let name = |text: &str| text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    let mut found = BTreeSet::new();
    for (at, start) in code.match_indices("crate::") {
        let rest = &code[at + start.len()..];
        match rest.strip_prefix('{') {
            None => found.extend([name(rest)]),
            Some(list) => {
                // Only the names of the first level: what stands in inner braces belongs to the name before it.
                let mut depth = 0;
                let mut entry = String::new();
                for c in list.chars() {
                    match c {
                        '{' => depth += 1,
                        '}' if depth == 0 => break,
                        '}' => depth -= 1,
                        ',' if depth == 0 => found.extend([name(&std::mem::take(&mut entry))]),
                        _ if depth == 0 => entry.push(c),
                        _ => {}
                    }
                }
                found.extend([name(&entry)]);
            }
        }
    }
    found.remove("");
    found
}

#[test]
fn imports_are_found_in_every_form() {
    let source =
        "use crate::a::B;\nuse crate::{c, d::{self, e}, f::G};\n// crate::comment\nlet x = crate::h::i(crate::j);";
    assert_eq!(imports(source).into_iter().collect::<Vec<_>>(), ["a", "c", "d", "f", "h", "j"]);
}

#[test]
fn no_module_imports_from_one_that_stands_below_it() {
    let order: BTreeMap<String, usize> = modules().into_iter().enumerate().map(|(n, name)| (name, n)).collect();
    let mut looked_at = 0;
    for path in rust_files() {
        let module = path.split('/').nth(1).unwrap().trim_end_matches(".rs").to_owned();
        // These three put everything together.
        if ["main", "lib", "cli", "command"].contains(&module.as_str()) {
            continue;
        }
        let own = order.get(&module).unwrap_or_else(|| panic!("{path} is in no module of src/lib.rs"));
        let source = text(&path);
        for import in imports(&source) {
            let other =
                order.get(&import).unwrap_or_else(|| panic!("{path} imports `{import}`, which src/lib.rs lacks"));
            assert!(other <= own, "{path} imports from `{import}`, which stands below `{module}` in src/lib.rs");
            looked_at += 1;
        }
        // The way around: out of the module by its parents.
        let depth = path.split('/').count() - if path.ends_with("/mod.rs") { 3 } else { 2 };
        let out = "super::".repeat(depth + 1);
        assert!(!source.contains(&out), "{path} leaves its module by `{out}`");
    }
    assert!(looked_at > 150, "only {looked_at} imports were found");
}

#[test]
fn developers_md_explains_the_modules_in_their_order() {
    let explained: Vec<String> = text("DEVELOPERS.md")
        .lines()
        .filter_map(|line| Some(line.strip_prefix("| `")?.split_once("/` |")?.0.to_owned()))
        .collect();
    let mut order = modules();
    assert_eq!(order.pop().as_deref(), Some("cli"));
    assert_eq!(explained, order);
}

#[test]
fn only_two_folders_and_the_program_itself_may_touch_the_world() {
    let may: Vec<String> =
        rust_files().into_iter().filter(|path| text(path).contains("expect(clippy::disallowed_methods")).collect();
    assert_eq!(may, ["src/command/mod.rs", "src/logbook/mod.rs"]);
}

#[test]
fn every_source_file_says_first_what_it_is_for() {
    for path in rust_files() {
        assert!(text(&path).starts_with("//! "), "{path} does not begin with `//! `");
    }
    let texts = ["md", "yaml", "css", "js"];
    for path in files("src").iter().filter(|path| !path.ends_with(".rs")) {
        assert!(texts.contains(&path.rsplit('.').next().unwrap()), "{path} is neither source, page nor template");
        assert!(!text(path).trim().is_empty(), "{path} is empty");
    }
}

#[test]
fn no_file_is_named_after_nothing() {
    for path in files("src") {
        for nothing in ["utils", "util", "common", "helpers", "helper", "manager", "misc"] {
            let words = path.split(['/', '.', '_', '-']);
            assert!(words.into_iter().all(|word| word != nothing), "{path}: name it after what it holds");
        }
    }
}

#[test]
fn nothing_is_left_for_later() {
    for path in files("src") {
        let source = text(&path);
        for left in ["TODO", "FIXME", "XXX", "dbg!(", "todo!(", "unimplemented!("] {
            assert!(!source.contains(left), "{path} holds `{left}`");
        }
    }
}

#[test]
fn every_dependency_says_what_it_is_for() {
    let manifest = text("Cargo.toml");
    let mut section = "";
    let mut before = "";
    let mut dependencies = 0;
    for line in manifest.lines() {
        if line.starts_with('[') {
            section = line;
        } else if section.ends_with("dependencies]") && !line.is_empty() && !line.starts_with('#') {
            assert!(before.starts_with("# "), "Cargo.toml: no comment above `{line}`");
            dependencies += 1;
        }
        before = line;
    }
    assert!(dependencies > 25, "only {dependencies} dependencies were found");
}

#[test]
fn the_papers_are_there() {
    for (path, heading) in [("README.md", "# pinindex"), ("DEVELOPERS.md", "# "), ("tests/README.md", "# ")] {
        let paper = text(path);
        assert!(paper.starts_with(heading) && paper.lines().count() > 20, "{path} is missing or nearly empty");
    }
}

/// A word with one meaning here: what the demo's random numbers start from.
#[test]
fn a_seed_is_only_what_random_numbers_start_from() {
    let folders = ["src", "tests", "schema", "records-example", "report-templates"];
    let single = ["Cargo.toml", "README.md", "DEVELOPERS.md", "clippy.toml"].map(str::to_owned);
    let about_the_demo =
        |path: &str| path.starts_with("src/demo/") || path.contains("demo") || path.contains("architecture");
    let about_numbers = ["SeedableRng", "seed_from_u64", "Settings {", "settings.seed", "--seed", "random numbers"];
    let mut looked_at = 0;
    for path in folders.iter().flat_map(|folder| files(folder)).chain(single) {
        // Fonts and pictures hold no words.
        if [".ttf", ".png", ".jar"].iter().any(|end| path.ends_with(end)) || about_the_demo(&path) {
            continue;
        }
        for line in text(&path).lines().filter(|line| line.to_lowercase().contains("seed")) {
            assert!(about_numbers.iter().any(|words| line.contains(words)), "{path}: {line}");
        }
        looked_at += 1;
    }
    assert!(looked_at > 300, "only {looked_at} files");
}
