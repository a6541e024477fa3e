//! The bounds that `DEVELOPERS.md` names, each from both sides: what lies within is taken, what lies beyond is told.

use super::ground::{CHECK, Ground};
use std::fs;

/// Hands in the check of the small logbook with one piece in the place of another.
#[track_caller]
fn hand_in(from: &str, to: &str) -> super::ground::Done {
    let ground = Ground::new();
    let text = fs::read_to_string(ground.root().join(CHECK)).unwrap().replace("2026-11-23", "2026-11-25");
    assert!(text.contains(from), "{from}");
    fs::write(ground.inbox().join("x.yaml"), text.replace(from, to)).unwrap();
    ground.run(&["record", "../inbox/x.yaml"])
}

fn remarks(text: &str) -> String {
    format!("by: [m-okafor]\nremarks: {text}")
}

#[test]
fn a_file_has_at_most_65536_bytes() {
    let ground = Ground::new();
    let text = fs::read_to_string(ground.root().join(CHECK)).unwrap().replace("2026-11-23", "2026-11-25");
    for (more, status) in [(0, 0), (1, 1)] {
        let filled = format!("{text}#{}\n", "x".repeat(65_536 - text.len() - 2 + more));
        assert_eq!(filled.len(), 65_536 + more);
        fs::write(ground.inbox().join("x.yaml"), filled.replace("06:52:00", &format!("06:52:0{more}"))).unwrap();
        let done = ground.run(&["record", "../inbox/x.yaml"]).is(status);
        assert_eq!(done.out.contains("problem[file-too-large]"), status == 1, "{}", done.out);
    }
}

#[test]
fn a_file_is_nested_at_most_24_levels_deep() {
    // The file itself is a map, which is the first level.
    let nested = |levels: usize| remarks(&format!("{}{}", "[".repeat(levels), "]".repeat(levels)));
    let within = hand_in("by: [m-okafor]", &nested(23)).is(1);
    assert!(!within.out.contains("nested-too-deep"), "{}", within.out);
    hand_in("by: [m-okafor]", &nested(24)).is(1).says("problem[nested-too-deep]").says("deeper than 24 levels");
}

#[test]
fn a_number_has_at_most_15_characters() {
    hand_in("1450 psi", "1450.0000000000 psi").is(0);
    hand_in("1450 psi", "1450.00000000000 psi").is(1).says("problem[not-a-quantity]");
    hand_in("1450 psi", &format!("{} psi", "9".repeat(15))).is(0).says("finding[reading-not-believable]");
    hand_in("1450 psi", &format!("{} psi", "9".repeat(16))).is(1).says("problem[not-a-quantity]");
}

#[test]
fn an_id_has_at_most_40_characters() {
    let id = |length: usize| format!("by: [{}]", "a".repeat(length));
    hand_in("by: [m-okafor]", &id(40)).is(1).says("problem[unknown-person]");
    hand_in("by: [m-okafor]", &id(41)).is(1).says("problem[wrong-shape]");
}

#[test]
fn a_text_has_at_most_2000_characters_and_a_line_300() {
    // Characters, and not bytes: these have three each.
    hand_in("by: [m-okafor]", &remarks(&"語".repeat(2000))).is(0);
    hand_in("by: [m-okafor]", &remarks(&"語".repeat(2001))).is(1).says("problem[wrong-shape]").says("2000");
    let ground = Ground::new();
    let machine = fs::read_to_string(ground.root().join("machines/theatre-1.yaml")).unwrap();
    for (length, status) in [(300, 0), (301, 1)] {
        ground.put(
            "machines/theatre-1.yaml",
            machine.replace("name: Theatre 1", &format!("name: {}", "語".repeat(length))),
        );
        let done = ground.run(&["keep", "--by", "m-okafor"]).is(status);
        assert_eq!(done.out.contains("300"), status == 1, "{}", done.out);
    }
}

#[test]
fn of_a_file_with_many_faults_25_are_drawn_and_all_are_counted() {
    let many = |count: usize| {
        let keys: String = (0..count).map(|n| format!("k{n}: 1\n")).collect();
        hand_in("by: [m-okafor]", &format!("by: [m-okafor]\n{keys}")).is(1)
    };
    assert!(!many(25).out.contains("more in"));
    many(26).says("1 more in ../inbox/x.yaml, shown by `--format short`");
}

#[test]
fn many_names_of_other_records_take_no_longer_than_they_must() {
    let ground = Ground::new();
    // A release of as many faults as fit into a file, none of which is there.
    let path = |n: usize| {
        format!(
            "records/2026/{:02}/{:02}/{:02}{:02}00-theatre-2.fault.yaml",
            n / 24 % 12 + 1,
            n / 288 % 28 + 1,
            n % 24,
            n / 8064 % 60
        )
    };
    let faults: Vec<String> = (0..1200).map(path).collect();
    let release = format!(
        "record: release\nmachine: theatre-2\nby: [r-castellanos]\nfaults: [{}]\nproved-by: \
         records/2026/11/24/112000-theatre-2.check.yaml\nreleased: \"2026-11-24T12:00:00+01:00\"\nrecorded: \"2026-11-24T12:00:00+01:00\"\n",
        faults.join(", ")
    );
    assert!(release.len() < 65_536);
    // Beside five thousand faults that are there.
    let fault = fs::read_to_string(ground.root().join("records/2026/11/23/091500-theatre-2.fault.yaml")).unwrap();
    for n in 0..5000 {
        let (day, hour, minute) = (n / 1440 + 1, n / 60 % 24, n % 60);
        let text = fault.replace("2026-11-23T09:15:00", &format!("2026-10-{day:02}T{hour:02}:{minute:02}:30"));
        let text = text.replace("2026-11-23T09:20:00", &format!("2026-10-{day:02}T{hour:02}:{minute:02}:40"));
        ground.put(&format!("records/2026/10/{day:02}/{hour:02}{minute:02}30-theatre-2.fault.yaml"), text);
    }
    ground.commit_all();
    fs::write(ground.inbox().join("x.yaml"), release).unwrap();
    ground.run(&["record", "../inbox/x.yaml"]).is(1).says("problem[unknown-record]").says("1175 more in");
}
