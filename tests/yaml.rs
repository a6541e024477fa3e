//! The records we write, read by two YAML readers that are not ours: PyYAML, which follows YAML 1.1 and takes `no` for
//! false and `12:30` for 750, and ruamel.yaml, which follows YAML 1.2.
//!
//! Both must give back exactly what we wrote: a record is still there when this program no longer is.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test asks programs that are not ours")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::contents;
use pinindex::logbook;
use pinindex::record::{self, Body, Record, tree, write};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use serde_json::Value;
use std::sync::Arc;

/// Texts that one reader or another takes for something else, when they are not quoted.
const NASTY: &[&str] = &[
    "no",
    "No",
    "NO",
    "n",
    "N",
    "yes",
    "y",
    "Y",
    "on",
    "On",
    "off",
    "OFF",
    "true",
    "True",
    "TRUE",
    "false",
    "null",
    "Null",
    "NULL",
    "~",
    "-",
    "--",
    "---",
    "...",
    "=",
    "<<",
    "?",
    "|",
    ">",
    "!",
    "&",
    "*",
    "%",
    "@",
    "`",
    "#",
    ":",
    ",",
    "[",
    "]",
    "{",
    "}",
    "\"",
    "'",
    "\\",
    "12:30",
    "12:30:45",
    "1:2",
    "190:20:30",
    "-12:30",
    "1_000",
    "1,000",
    "1.5",
    "1.",
    ".5",
    "1e3",
    "1E+3",
    "+1",
    "-1",
    "0",
    "00",
    "010",
    "0o17",
    "0x1F",
    "0b11",
    "-0",
    ".inf",
    "-.inf",
    ".nan",
    ".NaN",
    "inf",
    "nan",
    "2026-11-25",
    "2026-11-25 06:42:10",
    "2026-11-25T06:42:10Z",
    "2026-11-25T06:42:10+01:00",
    "2026-1-1",
    "11/25/2026",
    " leading",
    "trailing ",
    " both ",
    "  ",
    "\tleading tab",
    "trailing tab\t",
    "tab\tinside",
    "# a comment",
    "text # no comment",
    "text #x",
    "#x",
    "key: value",
    "key:",
    ": x",
    "a: b: c",
    "- item",
    "-item",
    "? key",
    "! tag",
    "!tag",
    "!!str x",
    "&anchor",
    "*alias",
    "[a, b]",
    "{a: b}",
    "a, b",
    "%YAML 1.1",
    "--- text",
    "... text",
    "@at",
    "`tick`",
    "\"double\"",
    "'single'",
    "it's",
    "say \"no\"",
    "\"",
    "''",
    "a\\b",
    "\\n",
    "ends with \\",
    "line one\nline two",
    "line one\n\nline three",
    "ends with newline\n",
    "ends with two\n\n",
    "\nbegins with newline",
    "\n",
    "  indented\nless",
    "less\n  indented",
    "a\n b\n  c\n",
    "a \nb",
    "a\r\nb",
    "a\rb",
    "trailing blanks  \nin a line",
    "a\n\tb",
    "nul \u{0} byte",
    "bell \u{7}",
    "escape \u{1b}[31m",
    "del \u{7f}",
    "next line \u{85} here",
    "no-break \u{a0} space",
    "\u{a0}",
    "line separator \u{2028} here",
    "paragraph separator \u{2029} here",
    "zero\u{200b}width",
    "right-to-left \u{202e} override",
    "\u{202a}",
    "ends with \\\u{2066}",
    "isolates \u{2067}it's\n\u{2069} over",
    "\u{feff}mark",
    "mark\u{feff}inside",
    "soft\u{ad}hyphen",
    "Füße, naïve, œuvre",
    "Ωμέγα",
    "Привет",
    "שלום",
    "سلام",
    "中文",
    "日本語",
    "ไทย",
    "e\u{301} combining",
    "🙂",
    "👩‍⚕️ checked it",
    "🏥",
    "\u{e000}",
    "\u{fffd}",
    "\u{fffe}",
    "\u{ffff}",
    "\u{1fffe}",
    "\u{10ffff}",
    "<b>bold</b>",
    "$HOME",
    "${x}",
    "a very long text that a writer could want to fold because \
    it does not fit into the eighty columns that some writers take for the width of the world, and then some more",
    "words-without-any-blank-that-are-longer-than-eighty-columns-so-that-no-writer-can-fold-them-without-breaking-them",
];

/// Returns a record of each kind that holds texts, with one text in every place that takes a free one.
fn with_text(record: &Record, text: &str) -> Record {
    let mut record = record.clone();
    let free = text.to_owned();
    record.common.remarks = Some(free.clone());
    if let Some(correction) = &mut record.common.corrects {
        correction.because.clone_from(&free);
    }
    match &mut record.body {
        Body::Check(check) => {
            for (_, entry) in &mut Arc::make_mut(check).results.0 {
                if let record::result::Entry::One(result) = entry {
                    result.remark = Some(free.clone());
                }
            }
        }
        Body::Fault(fault) => fault.what = free,
        Body::Repair(repair) => {
            repair.work.clone_from(&free);
            repair.parts = vec![free.clone(), free];
        }
        Body::Release(_) => {}
        Body::Service(service) => service.work = free,
        Body::Void(void) => void.because = free,
    }
    record
}

/// Returns the records of the example, by path.
fn example() -> Vec<(String, Record)> {
    let root = format!("{}/records-example", env!("CARGO_MANIFEST_DIR"));
    let snapshot = logbook::read_working_files(root.as_ref()).unwrap();
    let (contents, faults) = contents::read(&snapshot, &mut |_| {});
    assert_eq!(faults, []);
    contents.records.iter().map(|filed| (filed.path.clone(), filed.record.clone())).collect()
}

/// Asserts that the texts of the records come back the same from ours and both other readers.
fn all_readers_agree(records: &[(String, Record)]) {
    let texts: Vec<String> = records.iter().map(|(_, record)| write::text(record).unwrap()).collect();
    let questions: Vec<Value> = texts.iter().map(|text| Value::from(text.as_str())).collect();
    let answers = python::ask("yaml_readers.py", &questions);
    let mut wrong = Vec::new();
    for (((name, record), text), theirs) in records.iter().zip(&texts).zip(answers) {
        let (root, faults) = tree::read(name, text.as_bytes());
        if let Some(fault) = faults.first() {
            wrong.push(format!("{name}: {} in what we wrote ourselves:\n{text}", fault.headline));
        }
        let ours = root.map_or(Value::Null, |root| root.to_json());
        let value = write::value(record).unwrap();
        for (reader, read) in [("we", &ours), ("PyYAML", &theirs["1.1"]), ("ruamel.yaml", &theirs["1.2"])] {
            if *read != value {
                wrong.push(format!("{name}: {reader} read\n  {read}\nfrom\n{text}"));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {} misread:\n{}",
        wrong.len(),
        texts.len(),
        wrong[..wrong.len().min(5)].join("\n")
    );
}

#[test]
fn the_records_of_the_example() {
    let records = example();
    assert!(records.len() > 30, "only {} records", records.len());
    all_readers_agree(&records);
    // Nothing is lost on the way to a record and back.
    for (path, before) in &records {
        let (after, faults) = record::read(path, write::text(before).unwrap().as_bytes());
        assert_eq!(faults, []);
        assert_eq!(after.as_ref(), Some(before), "{path}");
    }
}

#[test]
fn nasty_texts_in_every_kind_of_record() {
    let mut kinds: Vec<(String, Record)> = example();
    kinds.sort_by_key(|(_, record)| record.kind());
    kinds.dedup_by_key(|(_, record)| record.kind());
    assert_eq!(kinds.len(), 6);
    let records: Vec<(String, Record)> = NASTY
        .iter()
        .flat_map(|text| kinds.iter().map(move |(_, r)| (format!("{} with {text:?}", r.kind()), with_text(r, text))))
        .collect();
    all_readers_agree(&records);
}

#[test]
fn random_texts() {
    let (_, record) = example().into_iter().find(|(_, record)| record.kind() == "repair").unwrap();
    // The same texts on every run; half are any characters, half are built from those that mean something in YAML.
    let mut runner = TestRunner::deterministic();
    let any = proptest::string::string_regex("(?s).{1,60}").unwrap();
    let meaning =
        proptest::string::string_regex("[-:#?,.&*!|>'\"%@`{}\\[\\]<=~ \\t\\n\\\\a1nNyé\u{85}\u{2028}]{1,40}").unwrap();
    let records: Vec<(String, Record)> = (0..300)
        .map(|n| {
            let text = if n % 2 == 0 { any.new_tree(&mut runner) } else { meaning.new_tree(&mut runner) };
            let text = text.unwrap().current();
            (format!("repair with {text:?}"), with_text(&record, &text))
        })
        .collect();
    all_readers_agree(&records);
}
