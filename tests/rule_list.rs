//! The list of rules: unchanged unseen, well named, and complete against what the source emits.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a test reads its files, and stops at what it did not expect"
)]

use pinindex::audit::{self, all_rules};
use pinindex::diagnostic::Severity;
use pinindex::rule;
use std::fs;
use std::path::{Path, PathBuf};

#[test]
fn the_list_is_the_one_that_was_agreed() {
    let agreed = fs::read_to_string(root().join("tests/rule_names.txt")).unwrap();
    let list: Vec<String> = all_rules().iter().map(|rule| format!("{} {}", rule.severity.word(), rule.name)).collect();
    assert_eq!(list, agreed.lines().collect::<Vec<_>>(), "a rule came or went: change tests/rule_names.txt too");
}

#[test]
fn names_are_sorted_unique_and_in_kebab_case() {
    for pair in rule::RULES.windows(2).chain(audit::RULES.windows(2)) {
        assert!(pair[0].name < pair[1].name, "{} stands before {}", pair[0].name, pair[1].name);
    }
    for rule in all_rules() {
        let words: Vec<&str> = rule.name.split('-').collect();
        let good = |w: &&str| !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
        assert!(words.iter().all(good), "{}", rule.name);
    }
}

#[test]
fn the_list_has_every_rule_that_the_source_emits_and_no_other() {
    let mut emitted = Vec::new();
    for file in sources(&root().join("src")) {
        let text = fs::read_to_string(&file).unwrap();
        for (severity, call) in
            [(Severity::Problem, "Diagnostic::problem("), (Severity::Finding, "Diagnostic::finding(")]
        {
            for (_, after) in text.match_indices(call).map(|(i, found)| text.split_at(i + found.len())) {
                let Some(name) = after.trim_start().strip_prefix('"').and_then(|rest| rest.split('"').next()) else {
                    continue;
                };
                let rule = all_rules()
                    .into_iter()
                    .find(|rule| rule.name == name)
                    .unwrap_or_else(|| panic!("`{name}` of {} is not listed", file.display()));
                assert_eq!(rule.severity, severity, "{name}");
                let folder = file.parent().is_some_and(|folder| folder.ends_with("src/rule"));
                let own = file.file_stem().is_some_and(|stem| stem.to_str() == Some(&name.replace('-', "_")));
                assert!(own || !folder, "`{name}` is emitted by {}", file.display());
                assert!(!own || rule.check.is_some(), "{name} has a file and no check");
                emitted.push(name.to_owned());
            }
        }
    }
    for rule in all_rules() {
        assert!(emitted.iter().any(|name| name == rule.name), "nothing emits {}", rule.name);
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        if entry.file_type().unwrap().is_dir() {
            files.extend(sources(&entry.path()));
        } else if entry.path().extension().is_some_and(|extension| extension == "rs") {
            files.push(entry.path());
        }
    }
    files
}
