//! What is counted: new faults and failed checks, machine-days, spans of days, repeats, services, time withheld.

use crate::small_logbook::{ALL_PASSED, LATER, Logbook, count, does_not_say, figure, moment, says};
use pinindex::report::Report;
use pinindex::report::document::Figure;

const SUCTION_FAILED: &str = "
  suction: fail
  low-pressure-leak: {held: 12 s}
  circuit-leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}
  absorbent: {choice: fresh}
  vaporizers-filled: {sevoflurane: pass}";

fn figure_of<'a>(report: &'a Report, name: &str, of: &str) -> &'a Figure {
    let found = report.figures.iter().find(|figure| figure.figure == name && figure.of == of);
    found.unwrap_or_else(|| panic!("no figure `{name}` of `{of}`"))
}

fn counts(figure: &Figure) -> (Option<u64>, Option<u64>) {
    (figure.k, figure.n)
}

/// Files a fault that a check showed.
fn fault_of(logbook: &mut Logbook, when: &str, check: &str, item: &str, usage: &str) -> String {
    let found = moment(when);
    let fields = format!(
        "found: \"{found}\"\nfound-during:\n  check: {check}\n  items: [{item}]\nwhat: it failed\nuse: {usage}"
    );
    logbook.record("fault", when, &fields)
}

#[test]
fn a_defect_that_fails_every_check_until_it_is_repaired_is_one_new_fault() {
    let mut logbook = Logbook::new();
    let first = logbook.check("daily", "11-02T07:00", SUCTION_FAILED);
    let restricted = "{restricted: only with a second suction unit, until: \"2026-11-30\", owner: r-castellanos}";
    let fault = fault_of(&mut logbook, "11-02T07:01", &first, "suction", restricted);
    // The same item again: nothing new. Then another item beside it: something new.
    logbook.check("daily", "11-09T07:00", SUCTION_FAILED);
    logbook.check("daily", "11-16T07:00", &SUCTION_FAILED.replace("held: 12 s", "held: 3 s"));
    // After the release the same item is new again.
    let proof = logbook.check("complete", "11-17T09:00", ALL_PASSED);
    logbook.release("11-17T09:30", &[&fault], &proof);
    logbook.check("daily", "11-23T07:00", SUCTION_FAILED);
    logbook.check("daily", "11-30T07:00", ALL_PASSED);
    let report = logbook.november();
    assert_eq!(counts(figure(&report, "failed-checks")), (Some(4), Some(5)));
    assert_eq!(counts(figure(&report, "new-faults")), (Some(3), Some(5)));
    assert_eq!(counts(figure_of(&report, "new-faults-by-month", "2026-11")), (Some(3), Some(5)));
    count(&report, "faults-found", 1);
}

#[test]
fn a_failed_check_without_a_fault_record_is_a_new_fault_all_the_same() {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", SUCTION_FAILED);
    let report = logbook.november();
    assert_eq!(counts(figure(&report, "new-faults")), (Some(1), Some(1)));
    count(&report, "faults-found", 0);
    says(&report, "Record a fault of Theatre 2: its check of 2026-11-02 07:00 failed and none was recorded");
}

#[test]
fn a_quarter_and_a_year_hold_what_their_months_hold() {
    let mut logbook = Logbook::new();
    for day in ["10-05", "10-12", "11-02", "12-07"] {
        logbook.check("daily", &format!("{day}T07:00"), ALL_PASSED);
    }
    let failed = logbook.check("daily", "11-09T07:00", SUCTION_FAILED);
    fault_of(&mut logbook, "11-09T07:01", &failed, "suction", "withheld");
    let checks = |period: &str| {
        let report = logbook.report(period, "2027-02-01T00:00:00+01:00", "2026-12-31T12:00:00+01:00");
        counts(figure(&report, "failed-checks"))
    };
    assert_eq!(checks("2026-10"), (Some(0), Some(2)));
    assert_eq!(checks("2026-11"), (Some(1), Some(2)));
    assert_eq!(checks("2026-12"), (Some(0), Some(1)));
    assert_eq!(checks("2026-Q4"), (Some(1), Some(5)));
    assert_eq!(checks("2026"), (Some(1), Some(5)));
    assert_eq!(checks("2026-10-12..2026-11-09"), (Some(1), Some(3)));
    assert_eq!(checks("2026-10..2026-11"), (Some(1), Some(4)));
}

#[test]
fn machine_days_are_the_days_expected_and_not_withheld() {
    let mut logbook = Logbook::new();
    logbook.put("calendar/2026.yaml", "year: 2026\nweekly:\n  theatre-2: [mon, tue, wed, thu, fri, sat, sun]\n");
    logbook.check("daily", "11-01T07:00", ALL_PASSED);
    // Withheld from the evening of the 10th to the morning of the 13th: two whole days.
    let fault = logbook.fault("11-10T18:00", "flowmeter sticks", "withheld");
    let proof = logbook.check("complete", "11-13T06:00", ALL_PASSED);
    logbook.release("11-13T06:30", &[&fault], &proof);
    let report = logbook.november();
    let rate = figure_of(&report, "available", "all");
    // 60 hours and a half of 720.
    assert_eq!(rate.value.as_deref(), Some("91.59"));
    says(&report, "| Theatre 2 | 720.0 | 60.5 | 0.0 | 91.59 % |");
    // 28 machine-days are too few for a rate in one month; twelve months hold no more, since nothing was before.
    says(&report, "1 in 28 days");
    does_not_say(&report, "per 1000 machine-days (");
}

#[test]
fn two_faults_at_once_withhold_a_machine_once() {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    let one = logbook.fault("11-03T00:00", "flowmeter sticks", "withheld");
    let two = logbook.fault("11-03T12:00", "suction is weak", "withheld");
    let proof = logbook.check("complete", "11-04T11:00", ALL_PASSED);
    logbook.release("11-04T12:00", &[&one, &two], &proof);
    let withheld = figure(&logbook.november(), "withheld").value.clone();
    assert_eq!(withheld.as_deref(), Some("36.0"));
}

#[test]
fn only_faults_that_were_watched_for_thirty_days_can_have_come_back() {
    let mut logbook = Logbook::new();
    let mut once = |found: &str, released: &str| {
        let failed = logbook.check("daily", found, SUCTION_FAILED);
        let fault = fault_of(&mut logbook, &format!("{}:01", &found[..8]), &failed, "suction", "withheld");
        let proof = logbook.check("complete", &released.replace(":30", ":00"), ALL_PASSED);
        logbook.release(released, &[&fault], &proof);
    };
    once("09-01T07:00", "09-01T12:30");
    once("09-20T07:00", "09-20T12:30");
    // Released on 20 November: on 30 November nobody knows yet.
    once("11-20T07:00", "11-20T12:30");
    let report = logbook.november();
    assert_eq!(counts(figure(&report, "repeats")), (Some(1), Some(2)));
    says(&report, "1 of 2 released faults that were watched for 30 days came back on the same item");
    // It came back in September, which the decisions of November leave out.
    does_not_say(&report, "within 30 days of its release");
    let september = logbook.report("2026-09", LATER, LATER);
    says(&september, "within 30 days of its release");
}

#[test]
fn a_fault_of_which_no_record_names_an_item_is_left_out_of_repeats() {
    let mut logbook = Logbook::new();
    for day in ["10-01", "10-10"] {
        let fault = logbook.fault(&format!("{day}T08:00"), "screen went dark", "withheld");
        let proof = logbook.check("complete", &format!("{day}T12:00"), ALL_PASSED);
        logbook.release(&format!("{day}T12:30"), &[&fault], &proof);
    }
    let report = logbook.november();
    assert_eq!(counts(figure(&report, "repeats")), (Some(0), Some(0)));
    says(&report, "Left out: 2 released faults of which no record names an item");
}

#[test]
fn services_are_counted_by_the_day_on_which_they_fell_due() {
    let mut logbook = Logbook::new();
    let mut service = |when: &str, due: &str| {
        let finished = moment(when);
        let fields =
            format!("started: \"{finished}\"\nfinished: \"{finished}\"\nwork: as the maker says\nnext-due: {due}");
        logbook.record("service", when, &fields)
    };
    // Due on 10 November and done on the 10th; due on the 20th, done on the 21st; due on the 29th and not done.
    service("09-01T10:00", "2026-11-10");
    // New castors in October leave the day as it was, and are not the service.
    service("10-05T10:00", "2026-11-10");
    service("11-10T10:00", "2026-11-20");
    service("11-21T10:00", "2026-11-29");
    let report = logbook.november();
    assert_eq!(counts(figure(&report, "services-in-time")), (Some(1), Some(3)));
    says(&report, "| Theatre 2 | 2026-11-20 | late: done 2026-11-21 |");
    says(&report, "| Theatre 2 | 2026-11-29 | not done by 2026-11-30 |");
    let october = logbook.report("2026-10", LATER, LATER);
    assert_eq!(figure(&october, "services-in-time").value, None);
    says(&october, "No planned service fell due in October 2026.");
}

#[test]
fn few_faults_are_told_as_few_and_no_difference_is_never_claimed() {
    let mut logbook = Logbook::new();
    for day in ["11-02", "11-09", "11-16"] {
        logbook.check("daily", &format!("{day}T07:00"), ALL_PASSED);
    }
    let report = logbook.november();
    says(
        &report,
        "There are no earlier checks, or too few, to compare November 2026 with (0 of 3 checks found a new fault).",
    );
    says(&report, "No test was run for this report: there is too little data for any.");
    does_not_say(&report, "no difference");
}
