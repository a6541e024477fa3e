//! The calendar of a period: one cell for each day of each machine, and the days that were not plainly done behind it.

use super::small_logbook::{ALL_PASSED, Logbook, does_not_say, says};
use pinindex::report::document::{Picture, Table};
use pinindex::report::picture::drawing::{Mark, Role};
use pinindex::report::{Block, Report};

fn blocks(report: &Report) -> &[Block] {
    &report.sections.iter().find(|section| section.id == "expected").unwrap().blocks
}

fn picture(report: &Report) -> Option<&Picture> {
    blocks(report).iter().find_map(|block| if let Block::Picture(picture) = block { Some(picture) } else { None })
}

fn by_month(report: &Report) -> Option<&Table> {
    let mut tables =
        blocks(report).iter().filter_map(|block| if let Block::Table(table) = block { Some(table) } else { None });
    tables.find(|table| table.caption.ends_with("by month"))
}

/// Mondays of November: 2 done, 9 late, 16 missing, 23 incomplete, 30 done; a Tuesday on which none was expected.
fn logbook() -> Logbook {
    let mut logbook = Logbook::new();
    logbook.check("daily", "11-02T07:00", ALL_PASSED);
    let late = "procedure: daily\nrevision: 1\nstarted: \"2026-11-09T06:50:00+01:00\"\nfinished: \"2026-11-09T07:00:00+01:00\"\nrecorded: \"2026-11-11T07:00:00+01:00\"\nresults:";
    logbook.record("check", "11-09T07:00", &format!("{late}{ALL_PASSED}"));
    logbook.check("daily", "11-23T07:00", "\n  suction: pass");
    logbook.check("daily", "11-24T07:00", ALL_PASSED);
    logbook.check("daily", "11-30T07:00", ALL_PASSED);
    logbook
}

#[test]
fn a_month_is_drawn_and_read_out() {
    let report = logbook().november();
    let picture = picture(&report).unwrap();
    assert_eq!(
        picture.reads,
        "No check: Theatre 2 on 16 Nov. Incomplete: Theatre 2 on 23 Nov. All other checks that were expected were done. 1 check written down late."
    );
    let rows: Vec<(&str, &str)> = picture.table.rows.iter().map(|row| (row[1].as_str(), row[2].as_str())).collect();
    assert_eq!(
        rows,
        [
            ("Mon 2026-11-09", "done, written down late"),
            ("Mon 2026-11-16", "no check"),
            ("Mon 2026-11-23", "incomplete: left items undone, see records/2026/11/23/070000-theatre-2.check.yaml"),
            ("Tue 2026-11-24", "done, though none was expected"),
        ]
    );
    // The table tells them; a list beside it would tell them twice.
    does_not_say(&report, "### Missing checks");
}

#[test]
fn days_alike_in_a_row_are_one_line() {
    let mut logbook = Logbook::new();
    let fault = logbook.fault("11-01T08:00", "broken", "withheld");
    let proof = logbook.check("complete", "11-24T08:00", ALL_PASSED);
    logbook.release("11-24T09:00", &[&fault], &proof);
    let report = logbook.november();
    let rows: Vec<&str> = picture(&report).unwrap().table.rows.iter().map(|row| row[1].as_str()).collect();
    assert_eq!(rows[0], "Mon 2026-11-02 to Mon 2026-11-23 (4 expected days)");
}

#[test]
fn an_outage_is_drawn_over_every_day_from_its_first_to_its_last() {
    let mut logbook = Logbook::new();
    let fault = logbook.fault("11-01T08:00", "broken", "withheld");
    let proof = logbook.check("complete", "11-24T08:00", ALL_PASSED);
    logbook.release("11-24T09:00", &[&fault], &proof);
    let bars = |report: &Report| {
        let marks = &picture(report).unwrap().drawing.marks;
        marks.iter().filter(|mark| matches!(mark, Mark::Rectangle { fill: Role::Edge, .. })).count()
    };
    // The 2nd to the 23rd, of which four are Mondays, and one that explains the others.
    assert_eq!(bars(&logbook.november()), 22 + 1);
    assert_eq!(bars(&self::logbook().november()), 0);
}

#[test]
fn days_on_which_none_was_expected_are_one_line_only_when_they_follow_each_other() {
    let mut logbook = Logbook::new();
    for day in ["03", "04", "06"] {
        logbook.check("daily", &format!("11-{day}T07:00"), ALL_PASSED);
    }
    let report = logbook.november();
    let rows: Vec<&str> = picture(&report).unwrap().table.rows.iter().map(|row| row[1].as_str()).collect();
    assert_eq!(rows[..2], ["Tue 2026-11-03 to Wed 2026-11-04 (2 days)", "Fri 2026-11-06"]);
}

#[test]
fn a_quarter_is_drawn_and_a_longer_period_counted_by_month() {
    let logbook = logbook();
    let quarter = logbook.report("2026-Q4", "2027-02-01T12:00:00+01:00", "2027-02-01T12:00:00+01:00");
    assert!(picture(&quarter).is_some() && by_month(&quarter).is_none());

    let year = logbook.report("2026", "2027-02-01T12:00:00+01:00", "2027-02-01T12:00:00+01:00");
    assert!(picture(&year).is_none());
    let table = by_month(&year).unwrap();
    assert_eq!(table.rows.len(), 13);
    let november: Vec<&str> = table.rows[10].iter().map(String::as_str).collect();
    assert_eq!(november, ["November 2026", "5", "3", "1", "1", "1", "0"]);
    // Every month's numbers add up to the whole, in every column.
    for column in 1..7 {
        let number = |row: &Vec<String>| row[column].parse::<usize>().unwrap();
        let sum: usize = table.rows[..12].iter().map(number).sum();
        assert_eq!(sum, number(&table.rows[12]), "column {column}");
    }
    says(&year, "### Missing checks");
}

#[test]
fn without_a_calendar_there_is_nothing_to_draw() {
    let mut logbook = logbook();
    logbook.files.remove("calendar/2026.yaml");
    let report = logbook.november();
    assert!(picture(&report).is_none() && by_month(&report).is_none());
    says(&report, "### Incomplete checks");

    // A calendar that names another machine says nothing of this one.
    let mut other = self::logbook();
    other.put("calendar/2026.yaml", "year: 2026\nweekly:\n  theatre-1: [mon]\n");
    let report = other.november();
    assert!(picture(&report).is_none());
}

#[test]
fn a_month_that_is_not_over_names_no_day_to_come() {
    let early = "2026-11-16T12:00:00+01:00";
    let report = logbook().report("2026-11", early, early);
    let rows = &picture(&report).unwrap().table.rows;
    assert_eq!(rows.last().unwrap()[1..], ["Mon 2026-11-16", "not over yet"]);
}
