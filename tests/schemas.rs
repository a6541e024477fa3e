//! The schemas, and what we say of files that do not fit them, against validators written by others.
//!
//! `tests/outside/schemas.py` judges the schemas, the example and the cases of `tests/schema-cases/` by check-jsonschema.
//! Every case is then judged a second time here: the verdicts must be the same, and where the other finds fault we must too.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test reads its cases and asks programs that are not ours")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::diagnostic::{At, Diagnostic};
use pinindex::record::Quantity;
use pinindex::record::quantity::UNITS;
use pinindex::record::shape::{COMMON_SCHEMA, Kind, SCHEMAS, judge};
use pinindex::record::tree;
use pinindex::rule::RULES;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Returns everything we say of a case, judged as the kind that its name begins with.
fn our_faults(case: &str) -> Vec<Diagnostic> {
    let path = format!("{}/tests/schema-cases/{case}", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{case}: {error}"));
    let name = case.rsplit('/').next().unwrap();
    let (kind, _, _) = SCHEMAS
        .iter()
        .find(|(_, word, _)| name.starts_with(&format!("{word}-")))
        .unwrap_or_else(|| panic!("{case} does not begin with a kind of file"));
    let (root, mut faults) = tree::read(case, &bytes);
    if let Some(root) = root {
        faults.extend(judge(case, *kind, &root, &root.to_json()));
    }
    faults
}

/// Returns the JSON pointer that a diagnostic names.
fn pointer(diagnostic: &Diagnostic) -> &str {
    match &diagnostic.place.at {
        At::Value(pointer) | At::Key(pointer) => pointer,
        At::File | At::Bytes(_) => "",
    }
}

#[test]
fn our_verdict_and_our_places_are_those_of_another_validator() {
    let lines = python::ask("schemas.py", &[]);
    let mut bad = 0;
    for line in &lines {
        let case = line["case"].as_str().unwrap();
        let faults = our_faults(case);
        let places: Vec<&str> = line["at"].as_array().unwrap().iter().map(|at| at.as_str().unwrap()).collect();
        assert_eq!(case.starts_with("bad/"), !places.is_empty(), "{case}: the other validator against its folder");
        assert_eq!(
            faults.is_empty(),
            places.is_empty(),
            "{case}: the other finds fault at {places:?}, we say {faults:#?}"
        );
        for place in &places {
            let below = format!("{place}/");
            assert!(
                faults.iter().any(|fault| pointer(fault) == *place || pointer(fault).starts_with(&below)),
                "{case}: the other finds fault at `{place}`, we only at {:?}",
                faults.iter().map(pointer).collect::<Vec<_>>()
            );
        }
        bad += usize::from(!places.is_empty());
    }
    assert!(bad >= 80 && lines.len() >= bad + 15, "only {bad} bad cases of {}", lines.len());
}

#[test]
fn the_example_says_the_same_in_another_language() {
    assert_eq!(python::ask("example.py", &[]), [Value::Null; 0]);
}

#[test]
fn what_is_said_of_a_bad_case_is_a_whole_sentence_with_a_next_step() {
    let folder = format!("{}/tests/schema-cases/bad", env!("CARGO_MANIFEST_DIR"));
    let mut said = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let case = format!("bad/{}", entry.unwrap().file_name().into_string().unwrap());
        for fault in our_faults(&case) {
            let start = fault.headline.chars().next().unwrap_or('A');
            assert!(start == '`' || start.is_lowercase(), "{case}: {}", fault.headline);
            assert!(!fault.headline.ends_with('.') && !fault.help.ends_with('.'), "{case}: {fault:?}");
            assert!(!fault.label.is_empty() && !fault.help.is_empty(), "{case}: {fault:?}");
            assert!(RULES.iter().any(|rule| rule.name == fault.rule), "{case}: no page explains `{}`", fault.rule);
            said += 1;
        }
    }
    assert!(said >= 80, "only {said} sentences");
}

#[test]
fn every_schema_is_a_schema_and_judges() {
    let mut names = BTreeSet::new();
    for text in SCHEMAS.iter().map(|(_, _, text)| *text).chain([COMMON_SCHEMA]) {
        let schema: Value = serde_json::from_str(text).unwrap();
        let id = schema["$id"].as_str().unwrap();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "{id}");
        if let Err(error) = jsonschema::meta::validate(&schema) {
            panic!("{id} is no valid schema: {error}");
        }
        assert!(names.insert(id.to_owned()), "{id} is there twice");
    }
    assert_eq!(names.len(), 14);
    // A list fits no kind of file, so each compiled schema must refuse it.
    let (root, _) = tree::read("list.yaml", b"[]");
    let root = root.unwrap();
    for (kind, word, _) in SCHEMAS {
        assert_ne!(judge("list.yaml", kind, &root, &root.to_json()), [], "{word}");
        assert_eq!(kind.word(), word);
        assert!(Kind::of_record(word).is_none_or(|same| same == kind), "{word}");
    }
}

/// Returns a validator for one of the shared definitions that is a pattern.
fn pattern(name: &str) -> jsonschema::Validator {
    let common: Value = serde_json::from_str(COMMON_SCHEMA).unwrap();
    let pattern = &common["$defs"][name]["pattern"];
    assert!(pattern.is_string(), "common.schema.json has no pattern for `{name}`");
    jsonschema::validator_for(&json!({"type": "string", "pattern": pattern})).unwrap()
}

#[test]
fn schema_and_program_know_the_same_quantities() {
    let schema = pattern("quantity");
    let numbers =
        ["1", "0", "1250", "-53", "20.90", "007", "1.", ".5", "1e3", "+1", "1,5", "1_000", "١", "- 1", "--1", ""];
    let strange =
        ["", "PSI", "psig", "Psi", "torr", "absolute", "psi abs", "L/m", "l", "mins", "c", "psi absolute absolute"];
    let absolute: Vec<String> = UNITS.iter().map(|unit| format!("{} absolute", unit.symbol)).collect();
    let units = UNITS.iter().map(|unit| unit.symbol).chain(strange).chain(absolute.iter().map(String::as_str));
    let mut accepted = 0;
    for unit in units {
        for number in numbers {
            for between in ["", " "] {
                let text = format!("{number}{between}{unit}");
                let ours = text.parse::<Quantity>().is_ok() && text == text.trim();
                assert_eq!(schema.is_valid(&json!(text)), ours, "`{text}`: schema and program disagree");
                accepted += usize::from(ours);
            }
        }
    }
    assert!(accepted > 250, "only {accepted} quantities were accepted");
}

#[test]
fn each_kind_of_measure_has_its_units_in_its_own_pattern() {
    for name in ["gauge-pressure", "absolute-pressure", "flow", "volume", "duration", "compliance"] {
        let schema = pattern(name);
        for unit in UNITS {
            let kind = serde_json::to_value(unit.kind).unwrap();
            let text = format!("1 {}", unit.symbol);
            assert_eq!(schema.is_valid(&json!(text)), kind == name, "`{text}` as {name}");
        }
    }
}
