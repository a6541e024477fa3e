//! Corrections in the report: who, when, why, and both values of everything, in every rendering.

use crate::small_logbook::{ALL_PASSED, LATER, Logbook, count, does_not_say, says};
use pinindex::report::{Report, figures, html};

const OLD: &str = "records/2026/11/02/070000-theatre-2.check.yaml";
const NEW: &str = "records/2026/11/02/070000-theatre-2.2.check.yaml";

/// A check that passed, corrected a month later: a time held, one who did it, and a remark.
fn corrected() -> Logbook {
    let mut logbook = Logbook::new();
    assert_eq!(logbook.check("daily", "11-02T07:00", ALL_PASSED), OLD);
    let new = logbook.files[OLD]
        .replace("{held: 12 s}", "{held: 2 s}")
        .replace("by: [r-castellanos]", "by: [r-castellanos, m-okafor]\nrecorded-by: m-okafor")
        .replace("recorded: \"2026-11-02T07:01:00+01:00\"", "recorded: \"2026-12-03T09:30:00+01:00\"");
    let because = format!("remarks: second look\ncorrects: {{record: {OLD}, because: the sheet of paper says 2 s}}\n");
    logbook.put(NEW, &(new + &because));
    logbook
}

const BOTH: [&str; 3] = ["held 12 s (passes)", "held 2 s (fails)", "the sheet of paper says 2 s"];

#[test]
fn both_values_stand_in_the_month_of_the_record_and_in_that_of_the_correction() {
    let logbook = corrected();
    for month in ["2026-11", "2026-12"] {
        let report = logbook.report(month, LATER, LATER);
        count(&report, "corrections", 1);
        says(&report, "| It said | It is | Who, when, why |");
        says(&report, "Maryam Okafor, 2026-12-03 09:30: the sheet of paper says 2 s");
        says(&report, "| by | Rosa Castellanos | Rosa Castellanos, Maryam Okafor |");
        says(&report, "| remarks | nothing | second look |");
        BOTH.iter().for_each(|words| says(&report, words));
    }
    let report = logbook.report("2026-10", LATER, LATER);
    count(&report, "corrections", 0);
    does_not_say(&report, "What was corrected");
}

#[test]
fn each_correction_is_a_figure_that_holds_its_values() {
    let report: Report = corrected().november();
    let figure = report.figures.iter().find(|one| one.figure == "values-corrected").unwrap();
    assert_eq!((figure.of.as_str(), figure.k), (NEW, Some(3)));
    let (csv, json) = (figures::csv(&report), figures::json(&report));
    assert!(figure.note.contains(BOTH[0]) && csv.contains(BOTH[1]), "{csv}");
    let page = html::render(&report);
    for words in BOTH {
        assert!(json.contains(words) && page.contains(words), "`{words}` is missing");
    }
}

#[test]
fn a_correction_is_not_late_for_being_one() {
    let report = corrected().november();
    count(&report, "records-late", 0);
    count(&report, "checks-done-late", 0);
    does_not_say(&report, "Checks written down more than");
    // The check that was written down late stays so when it is corrected.
    let mut logbook = corrected();
    let late = logbook.files[OLD].replace("2026-11-02T07:01:00", "2026-11-05T07:01:00");
    logbook.put(OLD, &late);
    let report = logbook.november();
    count(&report, "records-late", 1);
    says(&report, "2026-11-05 07:01");
}
