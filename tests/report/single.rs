//! What single records tell, and the day with which counting begins.

use crate::small_logbook::{ALL_PASSED, Logbook, count, does_not_say, figure, moment, says};

const LEFT: &str = "
  suction: pass
  low-pressure-leak: {not-done: haemorrhage}
  circuit-leak: {not-done: haemorrhage}
  absorbent: {not-done: haemorrhage}
  vaporizers-filled: {not-done: haemorrhage}";

fn start(logbook: &mut Logbook, when: &str) {
    let finished = moment(when);
    let begun = moment(&when.replace(":30", ":25"));
    let fields = format!(
        "procedure: daily\nrevision: 1\nstarted: \"{begun}\"\nfinished: \"{finished}\"\nemergency-start: true\n\
         results:{LEFT}"
    );
    logbook.record("check", when, &fields);
}

#[test]
fn emergency_starts_are_told_with_what_followed() {
    let mut logbook = Logbook::new();
    start(&mut logbook, "11-03T23:30");
    logbook.check("daily", "11-04T00:20", ALL_PASSED);
    start(&mut logbook, "11-05T02:30");
    logbook.check("each-patient", "11-05T08:00", "\n  suction: pass");
    logbook.check("daily", "11-06T07:00", ALL_PASSED);
    start(&mut logbook, "11-29T02:30");
    let report = logbook.november();
    count(&report, "emergency-starts", 3);
    let told = "Theatre 2, check of 2026-11-03 23:30 by Rosa Castellanos: haemorrhage; 4 steps left; the complete check \
                followed at 2026-11-04 00:20.";
    says(&report, told);
    says(&report, "followed only at 2026-11-06 07:00, after 1 more use.");
    says(&report, "no complete check followed at the end of the period.");
}

#[test]
fn other_people_and_numbers_hard_to_believe_are_told() {
    let mut logbook = Logbook::new();
    let path = logbook.check("daily", "11-02T07:00", &ALL_PASSED.replace("to: 30 cmH2O", "to: 39 cmH2O"));
    let text = logbook.files[&path].replace("by: [r-castellanos]", "by: [d-ivanchova]");
    logbook.put(&path, &text);
    let report = logbook.november();
    for name in ["checks-by-others", "people-not-here", "numbers-not-believed"] {
        count(&report, name, 1);
    }
    says(
        &report,
        "4 steps need a provider or a technician or a biomed, 1 a provider or a biomed; named: d-ivanchova, who was not here",
    );
    says(&report, "names Desislava Ivanchova, whose last day was 2026-10-31");
    says(&report, "39 cmH2O; higher than the 30 cmH2O at the start");
    says(&report, "None in the records of this period: emergency starts.");
}

#[test]
fn nothing_is_counted_before_the_first_record() {
    let mut logbook = Logbook::new();
    // Mondays are 2, 9, 16, 23 and 30; the logbook began on a Monday in mid-month.
    logbook.check("daily", "11-16T07:00", ALL_PASSED);
    logbook.fault("11-30T00:00", "flowmeter sticks", "withheld");
    let report = logbook.november();
    count(&report, "checks-expected", 2);
    count(&report, "checks-done", 1);
    count(&report, "checks-missing", 1);
    says(&report, "Ask why Theatre 2 had no check on 23 Nov");
    does_not_say(&report, "9 Nov");
    // 15 days, on one of which it was withheld: the same on every page.
    assert_eq!(figure(&report, "available").value.as_deref(), Some("93.33"));
    says(&report, "| Not withheld, of the time | 93.33 % |");
}
