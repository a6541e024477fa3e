//! The same logbook gives the same report, to the byte and in every format.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test runs the program and reads what it wrote")]

mod golden;
#[path = "outside/program.rs"]
mod program;
#[path = "outside/run.rs"]
mod run;

use program::pinindex;
use run::run;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;
use tempfile::TempDir;

/// Returns the files that a report of the example's November consists of, by their endings.
///
/// The folder it is written to and the surroundings differ from call to call.
fn report(zone: &str) -> (TempDir, BTreeMap<String, Vec<u8>>) {
    paper("report", "2026-11", zone)
}

/// Returns the files that a command writes about the example's November, all under one name.
fn paper(command: &str, named: &str, zone: &str) -> (TempDir, BTreeMap<String, Vec<u8>>) {
    let folder = tempfile::tempdir().unwrap();
    let mut program = pinindex();
    program.env("TZ", zone).env("SOURCE_DATE_EPOCH", "86400");
    program.args([command, "2026-11", "--logbook"]).arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example"));
    let output = run(program.arg("--output").arg(folder.path()), "");
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "no report: {said}{}", String::from_utf8_lossy(&output.stderr));
    assert!(!said.contains("no PDF"), "{said}\n`tests/run` installs typst");
    let files = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
    let by_ending = files.map(|path| {
        let name = path.file_name().unwrap().to_str().unwrap();
        let ending = name.strip_prefix(&format!("{named}.")).unwrap_or_else(|| panic!("`{name}` was left behind"));
        (ending.to_owned(), std::fs::read(&path).unwrap())
    });
    let by_ending = by_ending.collect();
    (folder, by_ending)
}

#[test]
fn twice_in_two_folders_the_bytes_are_equal() {
    let (_one, first) = report("Pacific/Auckland");
    let (_other, second) = report("America/St_Johns");
    assert_eq!(first.keys().collect::<Vec<_>>(), ["csv", "html", "json", "md", "pdf"]);
    for (ending, bytes) in &first {
        assert!(bytes.len() > 1000, "the {ending} is nearly empty");
        assert!(second[ending] == *bytes, "the two {ending} files differ");
    }
}

/// Returns the text of a file of the report.
fn text<'a>(files: &'a BTreeMap<String, Vec<u8>>, ending: &str) -> &'a str {
    std::str::from_utf8(&files[ending]).unwrap()
}

/// Returns a web page without its tags and style, with its few entities resolved and every run of blanks as one.
fn words_of(html: &str) -> String {
    let body = html.split_once("<body").expect("a page has a body").1;
    let mut words = String::new();
    let mut inside = true;
    for c in body.chars() {
        match c {
            '<' => inside = true,
            '>' if inside => {
                inside = false;
                words.push(' ');
            }
            _ if !inside => words.push(c),
            _ => {}
        }
    }
    let entities = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    let resolved = entities.iter().fold(words, |words, (entity, c)| words.replace(entity, c));
    resolved.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Returns whether a number stands in a text by itself: `4` does not stand in `40`, in `4.5` or in `2026-11-04`.
fn stands(number: &str, text: &str) -> bool {
    let part = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '-');
    text.match_indices(number).any(|(at, _)| {
        let (before, after) = (&text[..at], &text[at + number.len()..]);
        let decimals = |text: &str| text.starts_with(['.', ',']) && text[1..].starts_with(|c: char| c.is_ascii_digit());
        !part(before.chars().next_back()) && !before.ends_with('.') && !part(after.chars().next()) && !decimals(after)
    })
}

#[test]
fn a_number_stands_by_itself() {
    assert!(stands("4", "4 of 62") && stands("6.5", "(6.5 %)") && stands("4", "there were 4."));
    assert!(!stands("4", "40") && !stands("4", "4.5") && !stands("4", "2026-11-04") && !stands("5", "6.5"));
}

#[test]
fn every_figure_stands_in_every_format() {
    let (_folder, files) = report("UTC");
    let json: Value = serde_json::from_str(text(&files, "json")).unwrap();
    let html = words_of(text(&files, "html"));
    let markdown = text(&files, "md");
    let csv = text(&files, "csv");
    let figures = json["figures"].as_array().unwrap();
    let mut with_value = 0;
    for (figure, line) in figures.iter().zip(csv.lines().skip(1)) {
        let what = format!("{} of {}", figure["figure"].as_str().unwrap(), figure["of"].as_str().unwrap());
        assert!(line.starts_with(&format!(
            "{},{},",
            figure["figure"].as_str().unwrap(),
            figure["of"].as_str().unwrap()
        )));
        let Some(value) = figure["value"].as_str() else { continue };
        assert!(line.split(',').any(|cell| cell == value), "{what}: {value} is not in the CSV line {line}");
        assert!(stands(value, &html), "{what}: {value} is not on the web page");
        assert!(stands(value, markdown), "{what}: {value} is not in the Markdown");
        with_value += 1;
    }
    assert_eq!(csv.lines().count(), figures.len() + 1, "a figure of several lines would need another test");
    assert!(with_value > 20, "only {with_value} figures have a value");
}

/// Returns every text that people read in a part of the report.
fn texts(part: &Value) -> Vec<&str> {
    match part {
        Value::String(text) => vec![text],
        Value::Array(items) => items.iter().flat_map(texts).collect(),
        Value::Object(fields) => {
            let words = |(key, _): &(&String, &Value)| !["block", "id", "align", "svg"].contains(&key.as_str());
            fields.iter().filter(words).flat_map(|(_, value)| texts(value)).collect()
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => Vec::new(),
    }
}

#[test]
fn every_sentence_and_every_cell_stands_on_the_web_page() {
    let (_folder, files) = report("UTC");
    let json: Value = serde_json::from_str(text(&files, "json")).unwrap();
    let html = words_of(text(&files, "html"));
    let texts = texts(&json["sections"]);
    assert!(texts.len() > 300, "only {} texts", texts.len());
    for text in texts {
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(html.contains(&words), "`{words}` is not on the web page");
    }
}

#[test]
fn the_report_of_the_example_is_the_one_that_was_looked_at() {
    let (_folder, files) = report("UTC");
    golden::matches("2026-11.md", text(&files, "md"));
}

#[test]
fn the_questions_of_the_example_are_those_that_were_looked_at() {
    let (_folder, files) = paper("questions", "2026-11-questions", "UTC");
    assert_eq!(files.keys().collect::<Vec<_>>(), ["csv", "html", "json", "md", "pdf"]);
    golden::matches("2026-11-questions.md", text(&files, "md"));
    // What is worth asking about is no fault of a record and stands nowhere in the monthly summary.
    let (_folder, summary) = report("UTC");
    assert!(!text(&summary, "md").contains("worth asking"));
}
