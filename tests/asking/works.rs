//! Repairs, services, releases and voids: what is offered, what is warned of, and the records they make.

use crate::script::{Script, example_before, text};
use pinindex::bedside::console::Console;
use pinindex::bedside::given::Given;
use pinindex::bedside::inquiry::{Inquiry, complete, fill};
use pinindex::bedside::latest;
use pinindex::bedside::release::{NotYet, ReleaseInquiry};
use pinindex::bedside::repair::{CAUSES, RepairInquiry, WAITS};
use pinindex::bedside::service::ServiceInquiry;
use pinindex::bedside::setting::Setting;
use pinindex::bedside::void::VoidInquiry;
use pinindex::contents::Contents;
use pinindex::record::Record;
use pinindex::timeline::{Life, lives};

const REPAIR: &str = "records/2026/11/12/112000-theatre-1.repair.yaml";
const RELEASE: &str = "records/2026/11/12/124000-theatre-1.release.yaml";

fn life(contents: &Contents, machine: &str) -> Life {
    lives(contents).remove(machine).unwrap()
}

fn filled(script: &mut Script, inquiry: &dyn Inquiry) -> Option<Record> {
    let given = fill(script, inquiry, Given::default(), &mut |_| Ok(())).unwrap()?;
    Some(inquiry.record(&given, script.now()))
}

fn repair(script: &mut Script) -> Record {
    let contents = example_before(REPAIR);
    let life = life(&contents, "theatre-1");
    let setting = Setting { contents: &contents, machine: "theatre-1" };
    let inquiry = RepairInquiry::new(setting, &life, script.now()).unwrap();
    filled(script, &inquiry).unwrap()
}

#[test]
fn the_repair_of_the_example_can_be_typed() {
    let answers = ["1", "1030", "1120", "6", "sensor replaced", "cell", "parts 120h", "GA-02, 2027-03-31", "y"];
    let mut script = Script::new("2026-11-12T11:26:00+01:00", &answers);
    let record = repair(&mut script);
    script.said_in_order(&[
        "Of the fault found 2026-11-06",
        "Who did the work?",
        "1  Rosa Castellanos, biomed",
        "What was the cause?",
        "6  wear or age",
        "to read over",
        "waited for: parts 120 h",
    ]);
    assert_eq!(
        text(&record),
        "record: repair\nmachine: theatre-1\nfault: records/2026/11/06/065800-theatre-1.fault.yaml\n\
         started: \"2026-11-12T10:30:00+01:00\"\nfinished: \"2026-11-12T11:20:00+01:00\"\n\
         recorded: \"2026-11-12T11:26:00+01:00\"\nby:\n- r-castellanos\ncause: wear-or-age\nwork: sensor replaced\n\
         parts:\n- cell\nwaited:\n- for: parts\n  time: 120 h\ninstruments:\n- id: GA-02\n  calibration-due: \"2027-03-31\"\n"
    );
}

#[test]
fn one_line_is_changed_and_the_way_back_asks_again() {
    let answers = [
        "1",
        "1030",
        "b",
        "1040",
        "1039",
        "1120",
        "6",
        "sensor replaced",
        "⏎",
        "maker soon",
        "⏎",
        "⏎",
        "5",
        "4",
        "99",
        "y",
    ];
    let mut script = Script::new("2026-11-12T11:26:00+01:00", &answers);
    let record = repair(&mut script);
    script.said_in_order(&[
        "When was it finished?",
        "When was the work begun?",
        "! that is before the work was begun (2026-11-12 10:40)",
        "! write how long after `maker`",
        "to read over",
        "What was the cause?",
        "a number, Enter: 6",
        "to read over",
        "! type y",
    ]);
    let text = text(&record);
    assert!(text.contains("started: \"2026-11-12T10:40:00+01:00\""), "{text}");
    assert!(text.contains("cause: accessory-or-consumable"), "{text}");
}

#[test]
fn work_begun_before_the_fault_was_found_is_asked_about_before_it_is_recorded() {
    let answers = ["1", "2026-11-06 06:00", "1120", "6", "sensor replaced", "⏎", "⏎", "⏎", "3", "1030", "y"];
    let mut script = Script::new("2026-11-12T11:26:00+01:00", &answers);
    let record = repair(&mut script);
    let asked = "Begun 2026-11-06 06:00, before the fault was found (2026-11-06 06:58): are both times right?";
    script.said_in_order(&["to read over", asked, "When was the work begun?", "to read over"]);
    assert_eq!(script.said.matches(asked).count(), 1, "{}", script.said);
    assert!(text(&record).contains("started: \"2026-11-12T10:30:00+01:00\""));
}

#[test]
fn an_instrument_out_of_calibration_is_told_before_it_is_recorded() {
    let answers = ["1", "1030", "1120", "6", "looked at", "⏎", "⏎", "GA-02", "GA-02, 2026-11-11", "q"];
    let mut script = Script::new("2026-11-12T11:26:00+01:00", &answers);
    let contents = example_before(REPAIR);
    let life = life(&contents, "theatre-1");
    let setting = Setting { contents: &contents, machine: "theatre-1" };
    let inquiry = RepairInquiry::new(setting, &life, script.now()).unwrap();
    assert_eq!(filled(&mut script, &inquiry), None);
    script.said_in_order(&[
        "! write the label, a comma, and the day",
        "The calibration of GA-02 was good until 2026-11-11 only.",
    ]);
}

#[test]
fn a_machine_without_an_open_fault_has_nothing_to_repair_or_release() {
    let contents = example_before("records/2027");
    let life = life(&contents, "spare-1");
    let now = "2026-11-25T12:00:00+01:00".parse().unwrap();
    let setting = Setting { contents: &contents, machine: "spare-1" };
    assert!(RepairInquiry::new(setting, &life, now).is_none());
    assert!(matches!(ReleaseInquiry::new(setting, &life, now), Err(NotYet::NoOpenFault)));
}

#[test]
fn a_release_rests_on_a_complete_check_begun_after_the_work() {
    let now = "2026-11-12T12:40:00+01:00".parse().unwrap();
    // The repair is written down; the complete check of 12:24 is not there yet.
    let before = example_before("records/2026/11/12/122445-theatre-1.check.yaml");
    let early = life(&before, "theatre-1");
    let setting = Setting { contents: &before, machine: "theatre-1" };
    let Err(NotYet::NoProof { since, command }) = ReleaseInquiry::new(setting, &early, now) else { panic!("proved") };
    assert_eq!(
        (since.short().as_str(), command.as_str()),
        ("2026-11-12 11:20", "pinindex check theatre-1 --procedure complete")
    );

    let contents = example_before(RELEASE);
    let life = life(&contents, "theatre-1");
    let setting = Setting { contents: &contents, machine: "theatre-1" };
    let mut script = Script::new("2026-11-12T12:40:00+01:00", &["⏎", "⏎", "1", "1200", "⏎", "y"]);
    let record = filled(&mut script, &ReleaseInquiry::new(setting, &life, now).ok().unwrap()).unwrap();
    script.said_in_order(&[
        "Which check proves the machine?",
        "complete check of 2026-11-12 12:24, passed",
        "! that is before the check was finished",
        "to read over",
        "One person releases it; two are usual (common practice).",
    ]);
    let text = text(&record);
    assert!(text.contains("proved-by: records/2026/11/12/122445-theatre-1.check.yaml"), "{text}");
    assert!(text.contains("faults:\n- records/2026/11/06/065800-theatre-1.fault.yaml"), "{text}");
}

#[test]
fn nothing_is_released_by_flags_that_name_no_fault() {
    let now = "2026-11-12T12:40:00+01:00".parse().unwrap();
    let contents = example_before(RELEASE);
    let life = life(&contents, "theatre-1");
    let setting = Setting { contents: &contents, machine: "theatre-1" };
    let inquiry = ReleaseInquiry::new(setting, &life, now).ok().unwrap();
    let wrong = complete(&inquiry, &Given::default().with("by", ["r-castellanos", "m-okafor"]), now).unwrap_err();
    assert_eq!(wrong[0], "--fault is missing: Which faults are put right?");
    assert!(wrong[1].starts_with("    records/2026/11/06/065800-theatre-1.fault.yaml: found 2026-11-06"), "{wrong:#?}");
    // What else is missing is told at the same time, each with what may be named.
    assert_eq!(wrong[2], "--proved-by is missing: Which check proves the machine?");
    assert!(wrong[3].starts_with("    records/2026/11/12/122445-theatre-1.check.yaml: "), "{wrong:#?}");
}

#[test]
fn a_service_names_the_check_of_that_day_that_proves_it() {
    // The example's service of 2026-10-29 ended 15:30, and the complete check after it passed 16:35.
    let contents = example_before("records/2026/10/30");
    let life = life(&contents, "theatre-2");
    let setting = Setting { contents: &contents, machine: "theatre-2" };
    let answers = ["1", "1300", "1530", "yearly maintenance", "2027-10-29", "⏎", "⏎", "y"];
    let mut script = Script::new("2026-10-29T17:00:00+01:00", &answers);
    let record = filled(&mut script, &ServiceInquiry { setting, life: &life }).unwrap();
    script.said_in_order(&["Which check of that day proves it?", "check of 2026-10-29 16:35, passed", "Enter: 1"]);
    assert!(
        text(&record)
            .ends_with("proved-by: records/2026/10/29/163520-theatre-2.check.yaml\nnext-due: \"2027-10-29\"\n"),
        "{}",
        text(&record)
    );
}

#[test]
fn a_void_is_chosen_from_the_latest_records_that_count() {
    let contents = example_before("records/2027");
    let setting = Setting { contents: &contents, machine: "theatre-1" };
    let mut script = Script::new("2026-11-25T12:00:00+01:00", &["2", "written for another machine", "1", "y"]);
    let record = filled(&mut script, &VoidInquiry::latest(setting).unwrap()).unwrap();
    script.said_in_order(&["1  check of 2026-11-25 06:58, by Maryam Okafor", "10  ", "Both records stay readable"]);
    assert!(text(&record).contains("of: records/2026/11/23/065345-theatre-1."), "{}", text(&record));
}

#[test]
fn older_records_are_reached_page_by_page_or_by_their_path() {
    let contents = example_before("records/2027");
    let setting = Setting { contents: &contents, machine: "theatre-1" };
    let offered = latest::latest(setting);
    assert_eq!(offered.len(), 18);
    let mut script = Script::new("2026-11-25T12:00:00+01:00", &["m", "18", "of another machine", "1", "y"]);
    let record = filled(&mut script, &VoidInquiry::latest(setting).unwrap()).unwrap();
    script.said_in_order(&["  16  ", "m: more of them", "  17  ", "  18  "]);
    assert!(text(&record).contains(&format!("of: {}", offered[17].value)), "{}", text(&record));

    let mut script = Script::new("2026-11-25T12:00:00+01:00", &["m", "17"]);
    let chosen = latest::choose(&mut script, setting, "Which record?").unwrap();
    script.said_in_order(&["  16  ", "m: older ones", "  17  "]);
    assert_eq!(chosen.as_ref(), Some(&offered[16].value));

    let oldest = &offered.last().unwrap().value;
    let given = |path: &str| Given::default().with("record", [path]).with("because", ["x"]).with("by", ["m-okafor"]);
    let now = script.now();
    let void = VoidInquiry::latest(setting).unwrap();
    assert_eq!(complete(&void, &given(oldest), now).unwrap().one("record"), Some(oldest.as_str()));
    let wrong = complete(&void, &given("records/nothing"), now).unwrap_err();
    assert!(wrong[0].ends_with(" and 2 more"), "{wrong:#?}");
}

#[test]
fn causes_and_waits_are_those_of_the_schema() {
    let schema: serde_json::Value = serde_json::from_str(include_str!("../../schema/repair.schema.json")).unwrap();
    let words = |list: &[(&'static str, &str)]| list.iter().map(|(word, _)| *word).collect::<Vec<_>>();
    assert_eq!(schema["properties"]["cause"]["enum"], serde_json::json!(words(&CAUSES)));
    let waits = &schema["properties"]["waited"]["items"]["properties"]["for"]["enum"];
    assert_eq!(*waits, serde_json::json!(words(&WAITS)));
}
