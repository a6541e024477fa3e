//! Corrections: what stands, which line is picked, what is said at once, both values, and the record that comes of it.

use crate::script::{Script, text};
use pinindex::bedside::console::Console;
use pinindex::bedside::correct::CorrectionInquiry;
use pinindex::bedside::given::Given;
use pinindex::bedside::inquiry::{Inquiry, complete};
use pinindex::contents::difference::differences;
use pinindex::contents::{self, Contents, Filed};
use pinindex::demo::{Settings, plan};
use pinindex::logbook::{self, FileContent, Snapshot, Source};
use pinindex::record::kinds::KINDS;
use pinindex::record::{Body, Common, Record, write};
use pinindex::timeline::lives;
use std::collections::BTreeSet;
use std::path::Path;

const CHECK: &str = "records/2026/11/25/065840-theatre-1.check.yaml";
const FAULT: &str = "records/2026/11/05/070200-theatre-2.fault.yaml";
const REPAIR: &str = "records/2026/11/12/112000-theatre-1.repair.yaml";
const RELEASE: &str = "records/2026/11/12/124000-theatre-1.release.yaml";
const NOW: &str = "2026-11-25T12:00:00+01:00";

fn example() -> Contents {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, faults) = contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    assert_eq!(faults, []);
    contents
}

/// Asks for the correction of a record, and returns what it comes to.
fn with<T>(contents: &Contents, path: &str, ask: impl FnOnce(&CorrectionInquiry<'_>) -> T) -> T {
    let without = contents.without(&BTreeSet::from([path]));
    let lives = lives(&without);
    ask(&CorrectionInquiry::new(contents.record(path).unwrap(), &without, &lives, Vec::new()))
}

/// Asks at a console that answers from a list, and returns the record; nothing when the person stopped.
fn asked(script: &mut Script, path: &str) -> Option<Record> {
    with(&example(), path, |inquiry| {
        let given = inquiry.ask(script, Given::default(), &mut |_| Ok(())).unwrap()?;
        Some(inquiry.record(&given, script.now()))
    })
}

/// Completes a correction by flags.
fn by_flags(path: &str, flags: &[(&str, &[&str])]) -> Result<Record, Vec<String>> {
    let now = NOW.parse().unwrap();
    let flags = flags.iter().fold(Given::default(), |given, (flag, answers)| given.with(flag, answers.iter().copied()));
    with(&example(), path, |inquiry| complete(inquiry, &flags, now).map(|given| inquiry.record(&given, now)))
}

const WHO: [(&str, &[&str]); 2] = [("because", &["the paper says otherwise"]), ("by", &["t-nakagiri"])];

fn changed(path: &str, flags: &[(&str, &[&str])]) -> Record {
    by_flags(path, &[&WHO[..], flags].concat()).unwrap_or_else(|wrong| panic!("{path}: {wrong:#?}"))
}

fn told(path: &str, new: &Record) -> Vec<String> {
    let contents = example();
    differences(&contents, &contents.record(path).unwrap().record, new).iter().map(ToString::to_string).collect()
}

/// Asserts that a record comes back as it was where nothing is changed, and that this makes no correction.
fn stays_as_it_is(contents: &Contents, filed: &Filed) {
    let now = "2027-01-01T12:00:00+01:00".parse().unwrap();
    with(contents, &filed.path, |inquiry| {
        let given = inquiry.answered().with("because", ["a reason"]).with("by", filed.record.common.by[..1].to_vec());
        let made = inquiry.record(&given, now);
        let corrects = made.common.corrects.clone().unwrap();
        assert_eq!((corrects.record.as_str(), corrects.because.as_str()), (filed.path.as_str(), "a reason"));
        let old = &filed.record.common;
        let (recorded, recorded_by, corrects) = (old.recorded, old.recorded_by.clone(), old.corrects.clone());
        let common = Common { recorded, recorded_by, corrects, ..made.common };
        assert_eq!(Record { common, body: made.body }, filed.record, "{}", filed.path);
        // Every line stands without being asked.
        let here = contents.people.iter().find(|(_, person)| person.is_here_on(contents.day(now))).unwrap().0;
        let flags = Given::default().with("because", ["a reason"]).with("by", [here.clone()]);
        let wrong = complete(inquiry, &flags, now).unwrap_err();
        assert_eq!(wrong, ["nothing differs from the record that is to be corrected"], "{}", filed.path);
    });
}

#[test]
fn what_nobody_touches_stays_as_it_is_written_in_every_record() {
    let contents = example();
    let kinds: BTreeSet<&str> = contents.records.iter().map(|filed| filed.record.kind()).collect();
    assert_eq!(kinds.len(), KINDS.len(), "{kinds:?}");
    contents.records.iter().for_each(|filed| stays_as_it_is(&contents, filed));
}

#[test]
fn what_nobody_touches_stays_as_it_is_written_in_a_demo() {
    let plan = plan(&Settings { machines: 3, months: 5, seed: 2, last_day: "2026-11-25".parse().unwrap() });
    let files = plan.files.iter().filter(|(path, _)| logbook::belongs(path)).cloned();
    let records = plan.records.iter().map(|planned| (planned.path.clone(), write::text(&planned.record).unwrap()));
    let files = files.chain(records).map(|(path, text)| (path, FileContent::Bytes(text.into_bytes().into())));
    let source = Source::WorkingFiles { head: None, uncommitted: false };
    let (contents, _) = contents::read(&Snapshot { files: files.collect(), source }, &mut |_| {});
    // Checks are many and alike; of all else every record is taken.
    let mut checks = 0;
    for filed in &contents.records {
        let is_check = filed.record.kind() == "check";
        checks += usize::from(is_check);
        if !is_check || checks % 25 == 0 {
            stays_as_it_is(&contents, filed);
        }
    }
    assert!(checks > 200, "{checks}");
}

#[test]
fn a_text_of_several_lines_stays_to_its_last_sign() {
    let contents = example();
    let mut filed = contents.record(FAULT).unwrap().clone();
    let Body::Fault(fault) = &mut filed.record.body else { panic!("{FAULT} is a fault") };
    fault.what = "battery warning\nstays lit \n".to_owned();
    let mut contents = contents.without(&BTreeSet::from([FAULT]));
    contents.add([filed.clone()]);
    stays_as_it_is(&contents, &filed);
    // The line is picked, and left as it stands.
    let mut script = Script::new(NOW, &["6", "⏎", "⏎", "^C"]);
    with(&contents, FAULT, |inquiry| {
        assert_eq!(inquiry.ask(&mut script, Given::default(), &mut |_| Ok(())).unwrap(), None);
    });
    script.said_in_order(&["> what: [battery warning stays lit]", "nothing differs"]);
}

// The other side of the comparison is the JSON that serde makes of both records.
#[test]
fn everything_that_two_records_say_differently_is_told() {
    let contents = example();
    let said = |record: &Record| match write::value(record).unwrap() {
        serde_json::Value::Object(fields) => fields,
        other => panic!("{other}"),
    };
    let mut pairs = 0;
    for old in &contents.records {
        for new in contents.records.iter().filter(|new| new.record.kind() == old.record.kind()) {
            let (before, after) = (said(&old.record), said(&new.record));
            let keys: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
            let differ = keys.into_iter().filter(|key| before.get(*key) != after.get(*key)).map(String::as_str);
            let told_elsewhere = ["recorded", "recorded-by", "corrects"];
            let differ = differ.filter(|key| !told_elsewhere.contains(key));
            let expected: BTreeSet<&str> =
                differ.map(|key| if key == "revision" { "procedure" } else { key }).collect();
            let told = differences(&contents, &old.record, &new.record);
            let keys: BTreeSet<&str> = told.iter().map(|one| one.key.split('/').next().unwrap()).collect();
            assert_eq!(keys, expected, "{} and {}", old.path, new.path);
            for one in &told {
                assert_ne!(one.old, one.new, "{} and {}: {}", old.path, new.path, one.name);
            }
            pairs += told.len();
        }
    }
    assert!(pairs > 100, "{pairs}");
}

#[test]
fn a_line_of_a_check_is_picked_and_its_verdict_told_at_once() {
    let answers =
        ["8", "f", "8", "p", "12", "12 furlongs", "86 bar", "m", "⏎", "typed wrongly", "4", "1", "90 bar", "y"];
    let mut script = Script::new(NOW, &answers);
    let record = asked(&mut script, CHECK).unwrap();
    script.said_in_order(&[
        "Correction of the check of theatre-1, 2026-11-25 06:58",
        "written down 2026-11-25 06:58 by Maryam Okafor",
        "   8  Patient suction: pass",
        "  12  Spare oxygen cylinder: 1530 psi",
        "FAILS",
        "What follows: the machine is withheld from use.",
        "   8  Patient suction: pass -> fail",
        "   8  Patient suction: pass\n",
        "limit: at least 1000 psi",
        "the reading in psi, f: fail, n and why: not done, Enter: 1530 psi",
        "! `furlongs` is no unit known here",
        "pass: 86 bar",
        "  12  Spare oxygen cylinder: 1530 psi -> 86 bar",
        "  17  ",
        "Why is it corrected?",
        "Who corrects it?",
        "to read over:",
        "   1  Spare oxygen cylinder: 1530 psi -> 86 bar",
        "   2  because: typed wrongly",
        "   3  corrected by: Tomoe Nakagiri, provider",
        "Both records stay readable",
        "   1  Spare oxygen cylinder: 1530 psi -> 90 bar",
    ]);
    assert_eq!(told(CHECK, &record), ["Spare oxygen cylinder: 1530 psi -> 90 bar"]);
}

#[test]
fn nothing_is_recorded_where_nothing_differs_and_what_was_told_is_kept() {
    let mut kept = Given::default();
    let mut script = Script::new(NOW, &["⏎", "8", "n", "n: canister away", "^C"]);
    let stopped = with(&example(), CHECK, |inquiry| {
        inquiry.ask(&mut script, Given::default(), &mut |given| {
            kept = given.clone();
            Ok(())
        })
    });
    assert_eq!(stopped.unwrap(), None);
    script.said_in_order(&["nothing differs", "! say why it was not done", "not done: canister away"]);
    assert_eq!(kept, Given::default().with("set suction", ["not done: canister away"]));
}

#[test]
fn a_correction_by_flags_holds_both_people_and_the_reason() {
    let record = changed(CHECK, &[("set spare-oxygen-cylinder", &["86,5 Bar"]), ("finished", &["0705"])]);
    let text = text(&record);
    for line in [
        "recorded: \"2026-11-25T12:00:00+01:00\"\nby:\n- m-okafor\n- j-lindqvist\nrecorded-by: t-nakagiri\n",
        "finished: \"2026-11-25T07:05:00+01:00\"\n",
        "corrects:\n  record: records/2026/11/25/065840-theatre-1.check.yaml\n  because: the paper says otherwise\n",
        "  spare-oxygen-cylinder:\n    reading: 86.5 bar\n",
    ] {
        assert!(text.contains(line), "{line} is not in\n{text}");
    }
    assert_eq!(
        told(CHECK, &record),
        ["finished: 2026-11-25 06:58 -> 2026-11-25 07:05", "Spare oxygen cylinder: 1530 psi -> 86.5 bar"]
    );
}

#[test]
fn a_verdict_that_turns_is_told_beside_both_values() {
    let record = changed(CHECK, &[("set spare-oxygen-cylinder", &["40 psi"]), ("set suction", &["fail"])]);
    assert_eq!(
        told(CHECK, &record),
        ["Patient suction: pass -> fail", "Spare oxygen cylinder: 1530 psi (passes) -> 40 psi (fails)"]
    );
}

#[test]
fn one_answer_of_several_is_changed_and_the_others_stay() {
    let record = changed(CHECK, &[("set pipeline-pressure/air", &["not done: hose away"])]);
    assert_eq!(told(CHECK, &record), ["Pipeline pressure, air: 54 psi (passes) -> not done: hose away"]);
    assert!(text(&record).contains("    nitrous-oxide:\n      reading: 52 psi\n    air:\n      not-done: hose away\n"));
}

#[test]
fn another_machine_asks_for_what_it_has_and_leaves_what_it_has_not() {
    let wrong = by_flags(CHECK, &[&WHO[..], &[("machine", &["spare-1"])]].concat()).unwrap_err();
    assert_eq!(wrong, ["--set scavenging-passive=pass|fail is missing: Scavenging, passive"]);
    let record = changed(CHECK, &[("machine", &["spare-1"]), ("set scavenging-passive", &["pass"])]);
    let lines = told(CHECK, &record);
    for line in [
        "machine: theatre-1 -> spare-1",
        "Scavenging, passive: no answer -> pass",
        "Scavenging, active: pass -> no answer",
    ] {
        assert!(lines.iter().any(|told| told == line), "{line}\n{lines:#?}");
    }
    text(&record);
}

#[test]
fn faults_repairs_and_releases_are_corrected_by_the_fields_of_their_own() {
    let fault = changed(FAULT, &[("what", &["another vaporizer was meant"]), ("use", &["withheld"])]);
    let lines = told(FAULT, &fault);
    assert!(lines[0].ends_with("-> another vaporizer was meant"), "{lines:#?}");
    assert_eq!(lines[1], "use: restricted -> withheld");
    assert!(lines[2].starts_with("only: ") && lines[2].ends_with("-> nothing"), "{lines:#?}");
    assert_eq!(lines[3..], ["until: 2026-12-05 -> nothing", "answers for it: Rosa Castellanos -> nothing"]);
    let fault = changed(FAULT, &[("until", &["2026-12-12"])]);
    assert_eq!(told(FAULT, &fault), ["until: 2026-12-05 -> 2026-12-12"]);

    let repair = changed(REPAIR, &[("cause", &["battery"]), ("part", &["cell", "seal"]), ("waited", &["parts 96 h"])]);
    let lines = told(REPAIR, &repair);
    assert_eq!(lines.len(), 3, "{lines:#?}");
    assert!(lines[0].ends_with("-> battery") && lines[1].ends_with("-> cell; seal"), "{lines:#?}");

    let release = changed(RELEASE, &[("released", &["1245"]), ("done-by", &["r-castellanos"])]);
    let lines = told(RELEASE, &release);
    assert_eq!(lines.len(), 2, "{lines:#?}");
    assert!(lines[0].ends_with("-> 2026-11-12 12:45"), "{lines:#?}");
}

#[test]
fn what_does_not_fit_is_told_with_its_option() {
    let wrong = by_flags(CHECK, &[("set suction", &["12 psi"]), ("started", &["2027-01-01 07:00"])]).unwrap_err();
    assert!(wrong.iter().any(|line| line.starts_with("--set suction: ")), "{wrong:#?}");
    assert!(wrong.iter().any(|line| line.starts_with("--started: that has not come yet")), "{wrong:#?}");
    assert!(wrong.iter().any(|line| line == "--because is missing: Why is it corrected?"), "{wrong:#?}");
    assert!(wrong.iter().any(|line| line == "--by is missing: Who corrects it?"), "{wrong:#?}");
    let wrong = by_flags(CHECK, &[&WHO[..], &[("set suktion", &["pass"])]].concat()).unwrap_err();
    assert_eq!(wrong, ["--set suktion does not go with what else was given"]);
}

#[test]
fn an_answer_that_opens_further_questions_has_them_asked_before_it_is_recorded() {
    const WITHHELD: &str = "records/2026/11/11/112000-spare-1.fault.yaml";
    let answers = ["6", "2", "⏎", "by hand only", "2026-11-01", "2026-12-01", "1", "wrong line ticked", "3", "y"];
    let mut script = Script::new(NOW, &answers);
    let record = asked(&mut script, WITHHELD).unwrap();
    script.said_in_order(&[
        "Correction of the fault of spare-1, 2026-11-11 11:20",
        "   6  use: withheld: not used until it is released",
        "May the machine be used?",
        "-> restricted",
        "no answer yet",
        "How may it still be used?",
        "Until and with which day?",
        "! that is before today",
        "Who sees to it?",
        "Why is it corrected?",
        "   1  use: withheld -> restricted",
        "   2  only: nothing -> by hand only",
        "   3  until: nothing -> 2026-12-01",
    ]);
    assert_eq!(told(WITHHELD, &record).len(), 4);
    text(&record);
}
