//! The report at its edges: the end of a month, the first patient of a day, days withheld, faults released later.

use crate::small_logbook::{ALL_PASSED, LATER, Logbook, count, does_not_say, figure, moment, says};

#[test]
fn a_month_that_is_over_is_counted_to_its_end_however_early_the_records_end() {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    let report = logbook.report("2026-11", LATER, "2026-11-10T12:00:00+01:00");
    count(&report, "checks-expected", 5);
    count(&report, "checks-missing", 4);
    does_not_say(&report, "is not over");
    assert_eq!(report.about.as_of, "2026-12-01T00:00:00+01:00");
}

#[test]
fn a_month_that_is_not_over_is_counted_to_the_end_of_the_records_and_not_to_the_clock() {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    for now in ["2026-11-12T12:00:00+01:00", "2026-11-30T23:59:59+01:00"] {
        let report = logbook.report("2026-11", now, "2026-11-10T12:00:00+01:00");
        count(&report, "checks-expected", 2);
        count(&report, "checks-missing", 1);
        says(&report, "The records end at 2026-11-10 12:00; November 2026 is not over.");
    }
}

#[test]
fn a_check_is_done_only_when_it_was_complete_before_the_first_patient() {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    logbook.check("each-patient", "11-02T07:30", "\n  suction: pass");
    // An emergency: one item before the patient, the others after.
    logbook.check("daily", "11-09T07:00", "\n  suction: pass");
    logbook.check("each-patient", "11-09T07:30", "\n  suction: pass");
    let after = logbook.check("daily", "11-09T11:00", ALL_PASSED);
    // Begun before the check was finished.
    logbook.check("each-patient", "11-16T07:05", "\n  suction: pass");
    logbook.check("daily", "11-16T07:00", ALL_PASSED);
    let report = logbook.november();
    count(&report, "checks-expected", 5);
    count(&report, "checks-done", 1);
    count(&report, "checks-incomplete", 2);
    says(&report, "| Mon 2026-11-09 | incomplete: completed only after a patient's check, see ");
    says(&report, &after);
    says(&report, "Ask why Theatre 2 had an incomplete check on 9 Nov, 16 Nov");
}

#[test]
fn a_day_is_late_when_any_of_its_checks_was() {
    let mut logbook = Logbook::new();
    let (started, finished) = (moment("11-02T06:30"), moment("11-02T06:40"));
    logbook.record(
        "check",
        "11-02T06:40",
        &format!(
            "procedure: daily\nrevision: 1\nstarted: \"{started}\"\nfinished: \"{finished}\"\n\
             recorded: \"2026-11-04T06:40:00+01:00\"\nresults:\n  suction: pass"
        ),
    );
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    let report = logbook.november();
    count(&report, "checks-done", 1);
    count(&report, "checks-done-late", 1);
}

#[test]
fn a_day_withheld_throughout_is_neither_expected_nor_unexpected_even_with_a_check() {
    let mut logbook = Logbook::new();
    let fault = logbook.fault("11-05T10:00", "flowmeter sticks", "withheld");
    // A Monday and a Tuesday inside, then the Monday of the release.
    logbook.check("daily", "11-09T07:00", ALL_PASSED);
    logbook.check("daily", "11-10T07:00", ALL_PASSED);
    let proof = logbook.check("complete", "11-16T09:00", ALL_PASSED);
    logbook.release("11-16T09:30", &[&fault], &proof);
    // Withheld from nine o'clock on, and nothing was done before.
    logbook.fault("11-23T09:00", "suction is weak", "withheld");
    let report = logbook.november();
    count(&report, "machine-days-withheld", 2);
    count(&report, "checks-unexpected", 0);
    count(&report, "checks-done", 1);
    count(&report, "checks-missing", 1);
    says(&report, "Ask why Theatre 2 had no check on 23 Nov");
}

#[test]
fn times_are_those_of_a_fault_and_a_lifted_restriction_is_no_return() {
    let mut logbook = Logbook::new();
    let withheld = logbook.fault("11-05T10:00", "flowmeter sticks", "withheld");
    let restricted = logbook.fault(
        "11-05T10:10",
        "battery is weak",
        "{restricted: on mains only, until: 2026-11-20, owner: r-castellanos}",
    );
    let proof = logbook.check("complete", "11-06T09:00", ALL_PASSED);
    logbook.release("11-06T10:00", &[&withheld], &proof);
    logbook.release("11-08T10:10", &[&restricted], &proof);
    // A complete check that follows is not one before use.
    logbook.check("complete", "11-07T09:00", ALL_PASSED);
    logbook.check("daily", "11-09T07:00", &ALL_PASSED.replace("suction: pass", "suction: fail"));
    let report = logbook.november();
    says(&report, "| Released after |");
    says(&report, "Faults released in November 2026");
    says(&report, "| restriction lifted after 3 d |");
    says(&report, "| 24 h |");
    says(&report, "| 2026-11-09 07:00 | First check before use after the release failed: Patient suction |");
    does_not_say(&report, "| 2026-11-07 09:00 | First check");
}

#[test]
fn what_happens_at_midnight_belongs_to_the_next_month() {
    let mut logbook = Logbook::new();
    let fault = logbook.fault("11-20T10:00", "flowmeter sticks", "withheld");
    let proof = logbook.check("complete", "11-30T23:50", ALL_PASSED);
    logbook.release("12-01T00:00", &[&fault], &proof);
    logbook.fault("12-01T00:00", "suction is weak", "withheld");
    let november = logbook.november();
    count(&november, "faults-found", 1);
    count(&november, "faults-open", 1);
    does_not_say(&november, "suction is weak");
    says(
        &november,
        "Nothing more to do: Theatre 2 was withheld at the end of the period, and was released on 2026-12-01 (flowmeter sticks)",
    );
    let december = logbook.report("2026-12", "2027-01-20T12:00:00+01:00", LATER);
    count(&december, "faults-found", 1);
    says(&december, "Get Theatre 2 back into service: withheld, suction is weak");
    does_not_say(&december, "was withheld at the end of the period");
}

#[test]
fn only_work_that_had_begun_counts_and_only_waiting_that_fits_is_taken_from_it() {
    let mut logbook = Logbook::new();
    let fault = logbook.fault("11-05T10:00", "flowmeter sticks", "withheld");
    let mut repair = |from: &str, until: &str, waited: &str| {
        let (started, finished) = (moment(from), moment(until));
        let fields = format!(
            "fault: {fault}\nstarted: \"{started}\"\nfinished: \"{finished}\"\ncause: wear-or-age\nwork: looked at\n{waited}"
        );
        logbook.record("repair", until, &fields);
    };
    repair("11-05T12:00", "11-05T15:00", "waited: [{for: parts, time: 1 h}]");
    repair("11-06T12:00", "11-06T13:00", "waited: [{for: parts, time: 20 h}]");
    repair("12-02T12:00", "12-02T13:00", "");
    says(
        &logbook.november(),
        "Response 2 h; work 3 h; waiting during the work 1 h; waiting before or between the work 20 h; open for 25 d 14 h at the end of the period.",
    );
    assert!(
        pinindex::report::markdown::render(&logbook.november())
            .contains("Every fault that withheld a machine in this time")
    );
}

#[test]
fn without_a_word_in_the_calendar_nothing_is_expected_or_missing() {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    logbook.put("calendar/2026.yaml", "year: 2026\nweekly: {}\n");
    let report = logbook.november();
    says(&report, "Put Theatre 2 into the calendar: how many checks were expected is unknown");
    says(&report, "| Theatre 2 | – | 1 | 0 | 0 | – | – | – |");
    logbook.files.remove("calendar/2026.yaml");
    let report = logbook.november();
    does_not_say(&report, "is not in the calendar");
    for name in ["checks-expected", "checks-missing", "checks-unexpected"] {
        let figure = figure(&report, name);
        assert_eq!((figure.k, figure.value.as_deref(), figure.state.as_str()), (None, None, "not-recorded"), "{name}");
    }
    count(&report, "checks-done", 1);
}

#[test]
fn a_correction_of_an_earlier_month_is_told_in_the_month_it_was_written_down() {
    let mut logbook = Logbook::new();
    let check = logbook.check("daily", "11-02T07:00", ALL_PASSED);
    logbook.record("void", "12-03T09:00", &format!("of: {check}\nbecause: it was the other machine"));
    let december = logbook.report("2026-12", "2027-01-20T12:00:00+01:00", LATER);
    says(&december, "Written down in December 2026 about earlier months");
    says(&december, "it was the other machine");
    does_not_say(&logbook.november(), "about earlier months");
    assert_eq!(december.about.records_counted, 1);
}

#[test]
fn page_one_says_what_is_known_of_a_machine() {
    let mut logbook = Logbook::new();
    says(&logbook.november(), "| Theatre 2 | 00418 | no check on record |");
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    says(&logbook.november(), "| Theatre 2 | 00418 | in service |");
    logbook.fault(
        "11-05T10:10",
        "battery is weak",
        "{restricted: on mains only, until: 2026-11-20, owner: r-castellanos}",
    );
    says(&logbook.november(), "| Theatre 2 | 00418 | restriction ended 2026-11-20 |");
    let machine = logbook.files["machines/theatre-2.yaml"].replace("2026-01-01}", "2026-01-01, until: 2026-11-21}");
    logbook.put("machines/theatre-2.yaml", &machine);
    says(&logbook.november(), "| Theatre 2 | 00418 | not in use since 2026-11-22 |");
}

#[test]
fn a_failure_that_an_open_fault_names_needs_no_fault_of_its_own() {
    let mut logbook = Logbook::new();
    let failing = ALL_PASSED.replace("choice: fresh", "choice: exhausted");
    let check = logbook.check("daily", "11-02T07:00", &failing);
    logbook.check("daily", "11-09T07:00", &failing);
    says(
        &logbook.november(),
        "Record a fault of Theatre 2: its check of 2026-11-02 07:00 failed and none was recorded",
    );
    let found = moment("11-02T07:05");
    logbook.record(
        "fault",
        "11-02T07:05",
        &format!(
            "found: \"{found}\"\nfound-during: {{check: {check}, items: [absorbent]}}\nwhat: absorbent is used up\n\
             use: {{restricted: with low flow only, until: 2026-12-20, owner: r-castellanos}}"
        ),
    );
    does_not_say(&logbook.november(), "no fault was recorded for it");
    logbook.check("daily", "11-16T07:00", &failing.replace("suction: pass", "suction: fail"));
    says(
        &logbook.november(),
        "Record a fault of Theatre 2: its check of 2026-11-16 07:00 failed and none was recorded",
    );
}

#[test]
fn a_service_is_told_thirty_days_before_it_is_due() {
    let mut logbook = Logbook::new();
    let service = |due: &str| {
        let (started, finished) = (moment("11-10T09:00"), moment("11-10T11:00"));
        format!("started: \"{started}\"\nfinished: \"{finished}\"\nwork: yearly service\nnext-due: {due}")
    };
    for (due, told) in [
        ("2026-11-30", "Have Theatre 2 serviced: that was due on 2026-11-30"),
        ("2026-12-01", "Book the service of Theatre 2: due on 2026-12-01"),
        ("2026-12-31", "Book the service of Theatre 2: due on 2026-12-31"),
    ] {
        logbook.record("service", "11-10T11:00", &service(due));
        says(&logbook.november(), told);
    }
    logbook.record("service", "11-10T11:00", &service("2027-01-01"));
    does_not_say(&logbook.november(), "Book the service of");
}

#[test]
fn a_median_that_is_not_reached_is_a_plain_number_with_its_own_state() {
    let mut logbook = Logbook::new();
    let proof = logbook.check("complete", "11-02T09:00", ALL_PASSED);
    for minute in 10..15 {
        let fault = logbook.fault(&format!("11-03T10:{minute}"), "flowmeter sticks", "withheld");
        logbook.release(&format!("11-04T10:{minute}"), &[&fault], &proof);
    }
    says(
        &logbook.november(),
        "estimated median since 2026-11-02, its limits could not be told, from 5 released and 0 open",
    );
    for minute in 20..26 {
        logbook.fault(&format!("11-21T00:{minute}"), "suction is weak", "withheld");
    }
    let report = logbook.november();
    let median = figure(&report, "time-to-return-to-service-median");
    assert_eq!((median.value.as_deref(), median.state.as_str()), (Some("239.6"), "more-than"));
    says(
        &report,
        "Estimated median time to return to service: more than 9 d 23 h, 95 % interval 24 h to more than 9 d 23 h.",
    );
}
