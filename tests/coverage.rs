//! The shipped procedures against the published lists they say they cover, and against the published numbers.
//!
//! The lists stand here a second time, by number and in a few words of our own, so that a procedure cannot shrink or
//! grow a list that it claims to cover. `tests/golden/coverage.md` shows which items cover what.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test runs the program and reads what it wrote")]

mod golden;
#[path = "outside/run.rs"]
mod run;

use pinindex::contents::{self, Contents};
use pinindex::logbook;
use pinindex::procedure::item::Who;
use pinindex::procedure::{Procedure, When};
use pinindex::record::Date;
use pinindex::register::{Limit, LimitOf, Role, Standing};
use run::run;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::PathBuf;
use std::process::Command;

/// ASA Recommendations for Pre-Anesthesia Checkout Procedures, 2008: number, whether also before each case, and what.
const ASA: [(u32, bool, &str); 15] = [
    (1, false, "backup oxygen and self-inflating bag there and working"),
    (2, true, "suction enough to clear the airway"),
    (3, false, "machine on, mains power there"),
    (4, true, "required monitors and alarms there"),
    (5, false, "enough pressure in the spare oxygen cylinder"),
    (6, false, "piped gases at 50 psi or more"),
    (7, true, "vaporizers filled, fillers closed"),
    (8, false, "no leak between flowmeters and gas outlet"),
    (9, false, "scavenging works"),
    (10, false, "oxygen monitor calibrated, low oxygen alarm"),
    (11, true, "absorbent not exhausted"),
    (12, true, "breathing system holds pressure"),
    (13, true, "gas flows both ways"),
    (14, true, "check written down"),
    (15, true, "ventilator settings confirmed, ready"),
];

/// FDA Anesthesia Apparatus Checkout Recommendations, 1993: number and what.
const FDA: [(u32, &str); 14] = [
    (1, "backup ventilation there and working"),
    (2, "oxygen cylinder at least half full"),
    (3, "pipeline hoses connected, pressure"),
    (4, "low-pressure system: controls closed, vaporizers filled"),
    (5, "leak of the low-pressure system"),
    (6, "master switch and electrical equipment on"),
    (7, "flowmeters, and the guard against hypoxic mixtures"),
    (8, "scavenging adjusted and tested"),
    (9, "oxygen monitor calibrated"),
    (10, "breathing system complete"),
    (11, "leak of the breathing system"),
    (12, "ventilator and one-way valves"),
    (13, "monitors calibrated, alarm limits set"),
    (14, "final state of the machine"),
];

fn example() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("records-example")
}

fn example_contents() -> Contents {
    let snapshot = logbook::read_working_files(&example()).unwrap();
    let (contents, faults) = contents::read(&snapshot, &mut |_| {});
    assert_eq!(faults, [], "the example has faults of its own");
    contents
}

/// Returns the revision in force at the end of the example.
fn newest(contents: &Contents, when: When) -> &Procedure {
    let last_day: Date = "2026-11-25".parse().unwrap();
    contents.in_force_when(when, last_day).unwrap_or_else(|| panic!("no procedure for {when:?}"))
}

/// Returns the ids of the items that cover one entry of a list.
fn covering<'a>(procedure: &'a Procedure, entry: &str) -> Vec<&'a str> {
    procedure.items.iter().filter(|i| i.covers.iter().any(|c| c == entry)).map(|i| i.id.as_str()).collect()
}

#[test]
fn every_published_item_is_covered() {
    let contents = example_contents();
    let daily = newest(&contents, When::FirstCase);
    let each_patient = newest(&contents, When::EachPatient);
    let complete = newest(&contents, When::AfterService);
    let mut shown = String::from(
        "Which items of the shipped procedures cover what two published lists ask for.\n\n\
        | entry | in our words | daily | each-patient | complete |\n| --- | --- | --- | --- | --- |\n",
    );
    let asa = ASA.iter().map(|(n, _, what)| (format!("ASA 2008 item {n}"), what));
    let fda = FDA.iter().map(|(n, what)| (format!("FDA 1993 step {n}"), what));
    for (entry, what) in asa.chain(fda) {
        let by = [daily, each_patient, complete].map(|procedure| covering(procedure, &entry));
        assert!(by.iter().any(|items| !items.is_empty()), "{entry} ({what}) is covered by no item");
        let [daily, each_patient, complete] = by.map(|items| items.join(", "));
        writeln!(shown, "| {entry} | {what} | {daily} | {each_patient} | {complete} |").unwrap();
    }
    golden::matches("coverage.md", &shown);
}

#[test]
fn the_daily_and_the_short_check_hold_the_items_published_for_them() {
    let contents = example_contents();
    let short: Vec<u32> = ASA.iter().filter(|(_, each_case, _)| *each_case).map(|(n, _, _)| *n).collect();
    assert_eq!(short, [2, 4, 7, 11, 12, 13, 14, 15], "the table in this test was changed");
    for (n, before_each_case, what) in ASA {
        let entry = format!("ASA 2008 item {n}");
        assert_ne!(covering(newest(&contents, When::FirstCase), &entry), [""; 0], "daily lacks {entry}: {what}");
        if before_each_case {
            assert_ne!(covering(newest(&contents, When::EachPatient), &entry), [""; 0], "{entry}: {what}");
        }
    }
}

#[test]
fn nothing_is_said_to_cover_what_no_list_has() {
    let known: BTreeSet<String> = ASA
        .iter()
        .map(|(n, _, _)| format!("ASA 2008 item {n}"))
        .chain(FDA.iter().map(|(n, _)| format!("FDA 1993 step {n}")))
        .collect();
    let contents = example_contents();
    let mut claims = 0;
    for procedure in contents.procedures.values() {
        for item in &procedure.items {
            for entry in &item.covers {
                assert!(known.contains(entry), "{}, `{}` covers `{entry}`", procedure.words(), item.id);
                claims += 1;
            }
        }
    }
    assert!(claims > 60, "only {claims} entries were looked at");
}

#[test]
fn who_may_do_an_item_is_as_published_where_it_was_found_published() {
    let contents = example_contents();
    // Item 1 wants both, each for himself or herself; item 8 wants either. For the other items nothing is asserted here.
    for (entry, both) in [("ASA 2008 item 1", true), ("ASA 2008 item 8", false)] {
        let daily = newest(&contents, When::FirstCase);
        let ids = covering(daily, entry);
        assert_ne!(ids, [""; 0], "{entry} is covered by nothing");
        for item in ids.iter().filter_map(|id| daily.item(id)) {
            let (Who::AnyOf(roles) | Who::AllOf(roles)) = &item.by;
            assert!(
                roles.contains(&Role::Provider) && roles.contains(&Role::Technician),
                "{entry}: {}",
                item.by.words()
            );
            assert_eq!(matches!(item.by, Who::AllOf(_)), both, "{entry}: {}", item.by.words());
        }
    }
}

/// Every limit of the newest revisions: procedure, item, part of the answer, bounds, standing, how its source begins.
const LIMITS: &[(&str, &str, LimitOf, &str, Standing, &str)] = {
    use LimitOf::{Fall, From, Held, In, Reading};
    use Standing::{Local, Memory, Published};
    &[
        ("daily", "spare-oxygen-cylinder", Reading, "at least 1000 psi", Published, "FDA 1993 step 2"),
        ("daily", "pipeline-pressure", Reading, "at least 50 psi", Published, "ASA 2008 item 6"),
        ("daily", "low-pressure-leak", Held, "at least 10 s", Published, "FDA 1993 step 5"),
        ("daily", "vaporizer-leak", Held, "at least 10 s", Published, "FDA 1993 step 5"),
        ("daily", "hypoxic-guard", Reading, "at least 25 %", Published, "AAGBI 2012"),
        (
            "daily",
            "oxygen-monitor-air",
            Reading,
            "at least 19 % and at most 23 %",
            Local,
            "21 % is from FDA 1993 step 9",
        ),
        ("daily", "oxygen-monitor-flush", Reading, "more than 90 %", Published, "FDA 1993 step 9"),
        ("daily", "circuit-leak", From, "at least 30 cmH2O", Published, "FDA 1993 step 11"),
        ("daily", "circuit-leak", In, "at least 10 s", Published, "FDA 1993 step 11"),
        ("daily", "circuit-leak", Fall, "at most 1 cmH2O", Local, "this site's choice"),
        ("each-patient", "circuit-leak", From, "at least 30 cmH2O", Published, "FDA 1993 step 11"),
        ("each-patient", "circuit-leak", In, "at least 10 s", Published, "FDA 1993 step 11"),
        ("each-patient", "circuit-leak", Fall, "at most 1 cmH2O", Local, "this site's choice"),
        ("complete", "suction-vacuum", Reading, "at most -400 mmHg", Published, "BS 4957"),
        ("complete", "suction-flow", Reading, "at least 40 L/min", Published, "Meagher 1991"),
        ("complete", "battery", Reading, "at least 30 min", Memory, "ASTM F1850"),
        ("complete", "spare-oxygen-cylinder", Reading, "at least 1000 psi", Published, "FDA 1993 step 2"),
        ("complete", "cylinder-leak", In, "at least 5 min", Published, "Ottawa 1997"),
        ("complete", "cylinder-leak", Fall, "less than 100 psi", Published, "Ottawa 1997"),
        ("complete", "pipeline-pressure", Reading, "at least 50 psi", Published, "ASA 2008 item 6"),
        ("complete", "oxygen-failure-alarm", Reading, "at least 7 s", Published, "AAGBI 2012"),
        (
            "complete",
            "oxygen-flush",
            Reading,
            "at least 35 L/min and at most 75 L/min",
            Published,
            "US anaesthesia textbooks",
        ),
        ("complete", "hypoxic-guard", Reading, "at least 25 %", Published, "AAGBI 2012"),
        // 20 % to either side of a setting of 2 %.
        ("complete", "vaporizer-output", Reading, "at least 1.6 % and at most 2.4 %", Published, "Redondo 2020"),
        ("complete", "low-pressure-leak", Held, "at least 10 s", Published, "FDA 1993 step 5"),
        ("complete", "vaporizer-leak", Held, "at least 10 s", Published, "FDA 1993 step 5"),
        ("complete", "low-pressure-leak-flow", Reading, "at most 50 mL/min", Memory, "ISO 80601-2-13"),
        (
            "complete",
            "oxygen-monitor-air",
            Reading,
            "at least 19 % and at most 23 %",
            Local,
            "21 % is from FDA 1993 step 9",
        ),
        ("complete", "oxygen-monitor-flush", Reading, "more than 90 %", Published, "FDA 1993 step 9"),
        ("complete", "circuit-leak", From, "at least 30 cmH2O", Published, "FDA 1993 step 11"),
        ("complete", "circuit-leak", In, "at least 10 s", Published, "FDA 1993 step 11"),
        ("complete", "circuit-leak", Fall, "at most 1 cmH2O", Local, "this site's choice"),
        ("complete", "circuit-leak-flow", Reading, "at most 300 mL/min", Published, "ANZCA PS31"),
    ]
};

fn all_limits(procedure: &Procedure) -> impl Iterator<Item = (&str, &Limit)> {
    procedure.items.iter().flat_map(|item| item.limits.iter().map(|limit| (item.id.as_str(), limit)))
}

#[test]
fn every_limit_is_the_published_number_from_the_right_source() {
    let contents = example_contents();
    let mut expected: BTreeMap<(&str, &str, String), (String, Standing, &str)> = BTreeMap::new();
    for (procedure, item, of, words, standing, source) in LIMITS {
        expected.insert((procedure, item, of.words().to_owned()), ((*words).to_owned(), *standing, source));
    }
    assert_eq!(expected.len(), LIMITS.len(), "a limit stands twice in the table of this test");
    for when in [When::FirstCase, When::EachPatient, When::AfterService] {
        let procedure = newest(&contents, when);
        for (item, limit) in all_limits(procedure) {
            let place = format!("{}, `{item}`, {}", procedure.words(), limit.of.words());
            let (words, standing, source) = expected
                .remove(&(procedure.procedure.as_str(), item, limit.of.words().to_owned()))
                .unwrap_or_else(|| panic!("{place} {}: not in the table of this test", limit.words()));
            assert_eq!(limit.words(), words, "{place}");
            assert_eq!(limit.standing, standing, "{place}");
            assert!(limit.source.starts_with(source), "{place}: source `{}`, expected `{source}`", limit.source);
        }
    }
    assert!(expected.is_empty(), "limits that no procedure has: {expected:?}");
}

#[test]
fn a_number_from_memory_says_so_wherever_it_is_printed() {
    let contents = example_contents();
    let from_memory: Vec<(&Procedure, &str, &Limit)> = contents
        .procedures
        .values()
        .flat_map(|procedure| all_limits(procedure).map(move |(item, limit)| (procedure, item, limit)))
        .filter(|(_, _, limit)| limit.standing == Standing::Memory)
        .collect();
    assert_ne!(from_memory.len(), 0, "no limit from memory is left; this test has nothing to look at");
    for (procedure, item, limit) in &from_memory {
        assert!(limit.source_words().contains("memory"), "{}, `{item}`: {}", procedure.words(), limit.source_words());
    }
    // And the other way round: a limit that calls itself remembered is not passed off as published.
    for procedure in contents.procedures.values() {
        for (item, limit) in all_limits(procedure).filter(|(_, limit)| limit.source.contains("memory")) {
            assert_eq!(limit.standing, Standing::Memory, "{}, `{item}`", procedure.words());
        }
    }

    let section = printed_limits();
    let blocks = section["blocks"].as_array().unwrap();
    let rows = blocks.iter().find(|block| block["block"] == "table").unwrap()["content"]["rows"].as_array().unwrap();
    let mut printed = 0;
    for (procedure, item, limit) in &from_memory {
        let title = &procedure.item(item).unwrap().title;
        let says = |row: &Value| row[1] == *title && row[2].as_str().unwrap().ends_with(&limit.words());
        for row in rows.iter().filter(|row| says(row)) {
            assert!(row[3].as_str().unwrap().contains("memory"), "the report prints {row}");
            printed += 1;
        }
    }
    assert_ne!(printed, 0, "no limit from memory was used in November, so nothing was looked at");
    let warns = |block: &Value| block["block"] == "notice" && block["content"].as_str().unwrap().contains("memory");
    let notice = blocks.iter().any(warns);
    assert!(notice, "the report warns nobody that some limits are from memory");
}

/// Returns the section on limits of the example's report of November, as the program prints it.
fn printed_limits() -> Value {
    let folder = tempfile::tempdir().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    command.args(["report", "2026-11", "--now", "2026-11-25T12:00:00+01:00", "--format", "json"]);
    let output = run(command.arg("--logbook").arg(example()).arg("--output").arg(folder.path()), "");
    assert!(output.status.success(), "no report: {}", String::from_utf8_lossy(&output.stderr));
    let text = std::fs::read_to_string(folder.path().join("2026-11.json")).unwrap();
    let report: Value = serde_json::from_str(&text).unwrap();
    report["sections"].as_array().unwrap().iter().find(|section| section["id"] == "limits").unwrap().clone()
}
