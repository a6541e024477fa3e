//! Times to return to service, and where the time went. Limits are those of lifelines 0.30.3 unless something else is
//! said; all else can be counted by hand.

use crate::small_logbook::{ALL_PASSED, LATER, Logbook, count, figure, moment, says};
use pinindex::record::Moment;
use pinindex::report::document::{Block, Figure, Picture, Table};
use pinindex::report::{Report, markdown};

/// Returns a logbook with a target of one day and a passed check to prove releases by.
fn logbook() -> (Logbook, String) {
    let mut logbook = Logbook::new();
    let site = format!("{}return-to-service-target: 1 d\n", logbook.files["site.yaml"]);
    logbook.put("site.yaml", &site);
    let proof = logbook.check("complete", "11-01T09:00", ALL_PASSED);
    (logbook, proof)
}

/// Records a fault that withheld the machine, found on a day of November at midnight and so many minutes, and released
/// after so many hours.
fn released(logbook: &mut Logbook, proof: &str, found: &str, hours: i64) -> String {
    let fault = logbook.fault(found, "flowmeter sticks", "withheld");
    let after = Moment(moment(found).0 + chrono::Duration::hours(hours));
    logbook.release(&after.0.format("%m-%dT%H:%M").to_string(), &[&fault], proof);
    fault
}

/// Records work on a fault.
fn repair(logbook: &mut Logbook, fault: &str, from: &str, until: &str, waited: &str) {
    let fields = format!(
        "fault: {fault}\nstarted: \"{}\"\nfinished: \"{}\"\ncause: wear-or-age\nwork: looked at\n{waited}",
        moment(from),
        moment(until)
    );
    logbook.record("repair", until, &fields);
}

/// Six faults released after 2, 4, 6, 8, 24 and 48 hours, and one open for six days at the end of November.
fn six_and_one_open() -> Logbook {
    let (mut logbook, proof) = logbook();
    for (day, hours) in [(2, 2), (3, 4), (4, 6), (5, 8), (9, 24), (11, 48)] {
        released(&mut logbook, &proof, &format!("11-{day:02}T10:00"), hours);
    }
    logbook.fault("11-25T00:00", "suction is weak", "withheld");
    logbook
}

type Shown<'a> = (Option<u64>, Option<u64>, Option<&'a str>, Option<&'a str>, Option<&'a str>, &'a str);

fn shown(figure: &Figure) -> Shown<'_> {
    let Figure { k, n, value, lower, upper, state, .. } = figure;
    (*k, *n, value.as_deref(), lower.as_deref(), upper.as_deref(), state.as_str())
}

const FIGURES: [&str; 5] = [
    "time-to-return-to-service-median",
    "time-to-return-to-service-90-percent",
    "released-within-target",
    "time-withheld-restricted-mean",
    "response-median",
];

fn states(report: &Report) -> [&str; 5] {
    FIGURES.map(|name| figure(report, name).state.as_str())
}

fn blocks(report: &Report) -> &[Block] {
    &report.sections.iter().find(|section| section.id == "returns").unwrap().blocks
}

/// Asserts that the section does not hold some words; the definitions of the last page hold them always.
#[track_caller]
fn does_not_say(report: &Report, words: &str) {
    let mut only = report.clone();
    only.sections.retain(|section| section.id == "returns");
    let text = markdown::render(&only);
    assert!(text.contains("Time to return to service") && !text.contains(words), "`{words}` is in\n{text}");
}

fn picture(report: &Report) -> Option<&Picture> {
    blocks(report).iter().find_map(|block| match block {
        Block::Picture(picture) => Some(picture),
        _ => None,
    })
}

fn table<'a>(report: &'a Report, caption: &str) -> &'a Table {
    let tables = blocks(report).iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    });
    tables.into_iter().find(|table| table.caption.starts_with(caption)).unwrap_or_else(|| panic!("no table {caption}"))
}

#[test]
fn without_faults_nothing_is_recorded_and_nothing_is_drawn() {
    let (logbook, _) = logbook();
    let report = logbook.november();
    assert_eq!(states(&report), ["not-recorded"; 5]);
    says(&report, "no fault withheld a machine");
    does_not_say(&report, "Where the time went");
    does_not_say(&report, "The hospital's own target is");
    assert_eq!(picture(&report), None);
}

#[test]
fn one_open_fault_is_listed_and_nothing_is_estimated() {
    let (mut logbook, _) = logbook();
    logbook.fault("11-28T00:00", "suction is weak", "withheld");
    let report = logbook.november();
    assert_eq!(states(&report), ["too-little-data"; 5]);
    says(&report, "1 fault withheld a machine: 0 released, 1 still open, the longest for 3 d. That is too few");
    says(&report, "| Theatre 2 | 2026-11-28 00:00 | open | open for 3 d |");
    says(&report, "The hospital's own target is 24 h: 0 faults met it, 1 did not.");
    assert_eq!(picture(&report), None);
}

#[test]
fn open_faults_alone_give_no_estimate_however_many() {
    let (mut logbook, _) = logbook();
    for day in 10..20 {
        logbook.fault(&format!("11-{day}T00:00"), "suction is weak", "withheld");
    }
    let report = logbook.november();
    assert_eq!(states(&report), ["too-little-data"; 5]);
    does_not_say(&report, "Where the time went");
    says(&report, "10 faults withheld a machine: 0 released, 10 still open, the longest for 21 d.");
}

#[test]
fn four_released_faults_are_listed_and_the_fifth_brings_the_estimates() {
    let (mut logbook, proof) = logbook();
    for day in 10..14 {
        released(&mut logbook, &proof, &format!("11-{day}T10:00"), 4);
    }
    let report = logbook.november();
    assert_eq!(states(&report), ["too-little-data"; 5]);
    says(&report, "Every fault that withheld a machine in this time");
    says(&report, "4 released faults together");
    released(&mut logbook, &proof, "11-14T10:00", 4);
    let report = logbook.november();
    does_not_say(&report, "Every fault that withheld a machine in this time");
    assert_eq!(states(&report), ["value", "value", "value", "value", "too-little-data"]);
    // All took the same time: where the limits of a median lie cannot be told from that.
    says(&report, "| Half of the faults released by (median) | 4 h (4.0 h) | too little data | more than 4 h |");
    // Five of five: the exact lower limit is 0.025^(1/5) = 47.8 %.
    assert_eq!(
        shown(figure(&report, "released-within-target")),
        (Some(5), Some(5), Some("100.0"), Some("47.8"), Some("100.0"), "value")
    );
    // 4 h times 0.025^(1/5), and 4 h with 716 h more for the share of 1 - 0.025^(1/5): the sixth could take a month.
    says(&report, "| Time withheld, mean over the first 30 days | 4 h (4.0 h) | 1 h 54 min | 15 d 18 h |");
}

#[test]
fn an_open_fault_counts_for_as_long_as_it_was_followed() {
    let report = six_and_one_open().november();
    // Still withheld after each release: 6, 5, 4, 3, 2 and 1 of 7. Half is passed at the fourth, a tenth never.
    assert_eq!(
        shown(figure(&report, "time-to-return-to-service-median")),
        (Some(6), Some(7), Some("8.0"), Some("2.0"), Some("48.0"), "value")
    );
    assert_eq!(
        shown(figure(&report, "time-to-return-to-service-90-percent")),
        (Some(6), Some(7), Some("144.0"), Some("8.0"), None, "more-than")
    );
    // Five of seven within a day.
    let within = figure(&report, "released-within-target");
    assert_eq!((within.k, within.n, within.value.as_deref()), (Some(5), Some(7), Some("71.4")));
    says(&report, "The hospital's own target is 24 h: 5 faults met it, 2 did not.");
    says(&report, "| Time withheld, mean over the first 30 days | too little data | – | – |");
    says(
        &report,
        "For the mean over the first 30 days a fault would have to be followed so long; the longest was followed for 6 d. \
         For the response 5 faults are needed on which work has begun; there are 0.",
    );
    says(&report, "Estimated median time to return to service: 8 h, 95 % interval 2 h to 2 d.");
    says(&report, "estimated median since 2026-11-01, 95 % interval 2 h to 2 d, from 6 released and 1 open");
    does_not_say(&report, "No fault was open");
}

#[test]
fn the_picture_says_what_the_table_behind_it_says() {
    let report = six_and_one_open().november();
    let picture = picture(&report).unwrap();
    assert_eq!(
        picture.reads,
        "Of 7 faults, a quarter is estimated to be released after 4 h, half after 8 h, three quarters after 2 d. \
         1 is not released: the tick on the curve, at the time for which it was followed."
    );
    let cells: Vec<[&str; 4]> = picture
        .table
        .rows
        .iter()
        .map(|row| [row[0].as_str(), row[1].as_str(), row[2].as_str(), row[3].as_str()])
        .collect();
    assert_eq!(
        cells,
        [
            ["2 h", "7", "1", "14.3 %"],
            ["4 h", "6", "1", "28.6 %"],
            ["6 h", "5", "1", "42.9 %"],
            ["8 h", "4", "1", "57.1 %"],
            ["24 h", "3", "1", "71.4 %"],
            ["2 d", "2", "1", "85.7 %"],
        ]
    );
}

#[test]
fn the_restricted_mean_of_times_that_all_ended_is_their_mean() {
    let (mut logbook, proof) = logbook();
    for days in 1..=5 {
        released(&mut logbook, &proof, &format!("11-{:02}T10:00", 2 + days), 24 * days);
    }
    // 3 d. The limits are quantiles of means with flat Dirichlet weights, 29.907 and 410.568 h (four million drawn: 29.90
    // and 410.54).
    assert_eq!(
        shown(figure(&logbook.november(), "time-withheld-restricted-mean")),
        (Some(5), Some(5), Some("72.0"), Some("29.9"), Some("410.6"), "value")
    );
}

#[test]
fn a_target_does_not_judge_a_fault_that_can_still_make_it() {
    let (mut logbook, proof) = logbook();
    released(&mut logbook, &proof, "11-10T10:00", 24);
    released(&mut logbook, &proof, "11-12T10:00", 25);
    logbook.fault("11-30T10:00", "suction is weak", "withheld");
    says(
        &logbook.november(),
        "The hospital's own target is 24 h: 1 fault met it, 1 did not; 1 not released and younger than that, so not judged.",
    );
    logbook.put("site.yaml", &logbook.files["site.yaml"].replace("return-to-service-target: 1 d\n", ""));
    let report = logbook.november();
    does_not_say(&report, "target");
    assert_eq!(figure(&report, "released-within-target").state, "not-recorded");
}

#[test]
fn the_parts_of_a_released_fault_make_up_its_time() {
    let (mut logbook, proof) = logbook();
    let fault = released(&mut logbook, &proof, "11-05T10:00", 30);
    // Found at 10; 2 h later 3 h of work with 1 h of waiting inside; 20 h later 2 h more, which had waited 15 h; 3 h of proof.
    repair(&mut logbook, &fault, "11-05T12:00", "11-05T15:00", "waited: [{for: parts, time: 1 h}]");
    repair(&mut logbook, &fault, "11-06T11:00", "11-06T13:00", "waited: [{for: parts, time: 15 h}]");
    let report = logbook.november();
    let rows = &table(&report, "Where the time went, 1 released fault together").rows;
    let cells: Vec<[&str; 2]> = rows.iter().map(|row| [row[1].as_str(), row[2].as_str()]).collect();
    assert_eq!(
        cells,
        [
            ["2.0", "6.7 %"],
            ["16.0", "53.3 %"],
            ["5.0", "16.7 %"],
            ["4.0", "13.3 %"],
            ["3.0", "10.0 %"],
            ["30.0", "100.0 %"]
        ]
    );
    says(
        &report,
        "Response 2 h; work 4 h; waiting during the work 1 h; waiting before or between the work 15 h; time to return to service 30 h.",
    );
    says(&report, "All faults of this time are in these sums.");
    let mut with_one_open = Logbook { files: logbook.files.clone(), also: Vec::new() };
    with_one_open.fault("11-29T10:00", "suction is weak", "withheld");
    says(&with_one_open.november(), "Only released faults are in these sums, and they are the shorter ones");
    // A fault that was released without any work has no parts, and is not lost.
    released(&mut logbook, &proof, "11-08T10:00", 10);
    let rows = &table(&logbook.november(), "Where the time went, 2 released faults together").rows.clone();
    assert_eq!(rows[5], ["No work on record: found to released", "10.0", "25.0 %"]);
    assert_eq!(rows[6][1], "40.0");
}

#[test]
fn response_counts_faults_on_which_no_work_has_begun() {
    let (mut logbook, _) = logbook();
    for (day, hours) in [(10, 1), (11, 2), (12, 3), (13, 4), (14, 5)] {
        let fault = logbook.fault(&format!("11-{day}T10:00"), "flowmeter sticks", "withheld");
        let (from, until) = (format!("11-{day}T{}:00", 10 + hours), format!("11-{day}T{}:30", 10 + hours));
        repair(&mut logbook, &fault, &from, &until, "");
    }
    for day in 20..24 {
        logbook.fault(&format!("11-{day}T10:00"), "suction is weak", "withheld");
    }
    // Work begun on five of nine; half is passed at the fifth. None is released: only the response can be told.
    let report = logbook.november();
    let response = figure(&report, "response-median");
    assert_eq!((response.k, response.n, response.value.as_deref()), (Some(5), Some(9), Some("5.0")));
    assert_eq!(figure(&report, "time-to-return-to-service-median").state, "too-little-data");
}

#[test]
fn a_fault_released_after_the_period_is_open_at_its_end() {
    let (mut logbook, proof) = logbook();
    released(&mut logbook, &proof, "11-20T10:00", 24 * 20);
    let november = logbook.november();
    says(&november, "1 fault withheld a machine: 0 released, 1 still open, the longest for 10 d 14 h.");
    count(&november, "faults-open", 1);
    let december = logbook.report("2026-12", "2027-01-20T12:00:00+01:00", LATER);
    says(&december, "1 fault withheld a machine: 1 released, none still open.");
}

#[test]
fn a_machine_taken_out_of_use_with_a_fault_is_told_apart() {
    let (mut logbook, _) = logbook();
    logbook.fault("11-20T00:00", "flowmeter sticks", "withheld");
    let machine = logbook.files["machines/theatre-2.yaml"].replace("2026-01-01}", "2026-01-01, until: 2026-11-24}");
    logbook.put("machines/theatre-2.yaml", &machine);
    says(
        &logbook.november(),
        "1 fault withheld a machine: 0 released, 1 not released before the machine was taken out of use, none still open.",
    );
}

#[test]
fn a_restricted_machine_was_never_out_of_service() {
    let (mut logbook, proof) = logbook();
    for day in 10..16 {
        let usage = "{restricted: on mains only, until: 2026-12-20, owner: r-castellanos}";
        let fault = logbook.fault(&format!("11-{day}T10:00"), "battery is weak", usage);
        logbook.release(&format!("11-{day}T12:00"), &[&fault], &proof);
    }
    let report = logbook.november();
    assert_eq!(states(&report), ["not-recorded"; 5]);
    says(&report, "restriction lifted after 2 h");
}
