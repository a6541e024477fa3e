//! Readings that drift toward a limit: rows whose slopes and dates can be worked out by hand.
//!
//! All reports are of November 2026; the readings of 26 weeks before its end count, from 2 June on.

use super::small_logbook::{LATER, Logbook, MACHINE, does_not_say, figure, moment, says};
use pinindex::report::Block;
use pinindex::report::drift::{Dates, Drifts, Finding, Question, Series, Why, counted_drifts};

const PROCEDURE: &str = r#"procedure: daily
revision: 1
title: Readings
when: first-case
in-force-from: 2026-01-01
sources: [house rule]
items:
  - id: oxygen
    title: Oxygen monitor
    do: Read it.
    answer: reading
    measures: share
    limits: [{at-least: 20 %, source: house rule, standing: local}]
    by: {any-of: [biomed]}
    fails: withhold
  - id: cylinder
    title: Spare cylinder
    do: Read it.
    answer: reading
    measures: gauge-pressure
    limits: [{at-least: 1000 psi, source: house rule, standing: local}]
    by: {any-of: [biomed]}
    fails: withhold
  - id: pipeline
    title: Pipeline
    do: Read it.
    answer: reading
    measures: gauge-pressure
    each: gas
    limits: [{at-least: 45 psi, at-most: 55 psi, source: house rule, standing: local}]
    by: {any-of: [biomed]}
    fails: withhold
  - id: leak
    title: Leak
    do: Watch it.
    answer: pressure-held
    limits: [{of: fall, at-most: 5 cmH2O, source: house rule, standing: local}]
    by: {any-of: [biomed]}
    fails: withhold
  - id: warmer
    title: Warmer
    do: Read it.
    answer: reading
    measures: temperature
    limits: [{below: 45 °C, source: house rule, standing: local}]
    by: {any-of: [biomed]}
    fails: withhold
  - id: room
    title: Room
    do: Read it.
    answer: reading
    measures: temperature
    by: {any-of: [biomed]}
    fails: withhold
"#;

/// Twelve weekly readings of an oxygen cell, the last on 23 November.
const CELL: [f64; 12] = [21.0, 20.9, 21.0, 20.9, 20.8, 20.9, 20.7, 20.8, 20.6, 20.7, 20.5, 20.6];

fn logbook() -> Logbook {
    let mut logbook = Logbook::new();
    logbook.put("procedures/daily/1.yaml", PROCEDURE);
    logbook
}

/// Returns a day of 2026 at an hour, some days after another.
fn later(first: &str, days: usize, hour: &str) -> String {
    let day = moment(&format!("{first}T{hour}")).0 + chrono::Duration::days(days as i64);
    day.format("%m-%dT%H:%M").to_string()
}

/// Adds answers of an item, one every so many days.
fn answers(logbook: &mut Logbook, item: &str, first: &str, every: usize, hour: &str, answers: &[String]) {
    for (n, answer) in answers.iter().enumerate() {
        logbook.check("daily", &later(first, n * every, hour), &format!("\n  {item}: {answer}"));
    }
}

fn readings(values: &[f64], unit: &str) -> Vec<String> {
    values.iter().map(|value| format!("{{reading: {value} {unit}}}")).collect()
}

/// Adds the weekly readings of the oxygen cell, the first on 7 September.
fn cell(logbook: &mut Logbook, values: &[f64]) {
    answers(logbook, "oxygen", "09-07", 7, "07:00", &readings(values, "%"));
}

fn asked<T>(logbook: &Logbook, then: impl FnOnce(&Drifts<'_>) -> T) -> T {
    logbook.with_basis("2026-11", LATER, LATER, |basis| then(&counted_drifts(basis)))
}

/// Returns what came of each question, with how many readings answered it and how many cuts there are.
fn findings(logbook: &Logbook) -> Vec<(Finding, usize, usize)> {
    let row = |(series, question): (&Series<'_>, &Question)| {
        (question.finding, question.counted(series).len(), question.cuts.len())
    };
    asked(logbook, |drifts| drifts.questions().map(row).collect())
}

#[track_caller]
fn one(logbook: &Logbook) -> (Finding, usize, usize) {
    let found = findings(logbook);
    assert_eq!(found.len(), 1, "{found:?}");
    found[0]
}

#[track_caller]
fn dates(finding: Finding) -> Dates {
    match finding {
        Finding::Dated(dates) => dates,
        other => panic!("{other:?}"),
    }
}

/// Returns dates as days after another day of 2026.
#[track_caller]
fn days_after(finding: Finding, first: &str) -> (i64, i64, Option<i64>) {
    let dates = dates(finding);
    let first = moment(&format!("{first}T00:00")).0.date_naive();
    let days = |date: pinindex::record::Date| (date.0 - first).num_days();
    (days(dates.earliest), days(dates.estimate), dates.latest.map(days))
}

/// Slope −0.0063492063 a day (−0.0071428571 to −0.0040816327), S = −49 of 66 pairs, p = 0.0008 (scipy.stats.theilslopes
/// and kendalltau). From day 38.5 and 20.7722 % (theilslopes with `joint`) the line falls the 0.7722 % to 20 % in 121.6 days
/// (108.1 to 189.2): day 160.1, not before day 146.6, at the latest on day 227.7, within 2 × 77 days of the last reading.
#[test]
fn a_fall_is_dated_from_its_middle() {
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    let (finding, n, cuts) = one(&logbook);
    assert_eq!((n, cuts), (12, 0));
    assert_eq!(days_after(finding, "09-07"), (146, 160, Some(228)));
    asked(&logbook, |drifts| {
        let (_, question) = drifts.questions().next().unwrap();
        let slope = question.slope.unwrap();
        for (value, wanted) in [
            (slope.slope, -0.0063492063),
            (slope.lower, -0.0071428571),
            (slope.upper, -0.0040816327),
            (slope.kendall_p, 0.00080095),
        ] {
            assert!((value - wanted).abs() < 1e-8, "{value} {wanted}");
        }
        assert!(slope.at.0 == 38.5 && (slope.at.1 - 20.7722222).abs() < 1e-7, "{:?}", slope.at);
    });
    let report = logbook.november();
    says(&report, "Oxygen monitor read 20.6 % on 2026-11-23 and drifts toward its limit, at least 20 %");
    says(&report, "not before 2027-01-31, about 2027-02-14 if it goes on in a straight line");
    says(&report, "changes by −0.19 % (−0.22 to −0.12) in 30 days");
    assert_eq!(figure(&report, "drifts-dated").k, Some(1));
    let of = format!("{MACHINE} oxygen");
    let reaches = report.figures.iter().find(|f| f.figure == "drift-reaches-limit" && f.of == of).unwrap();
    assert_eq!((reaches.value.as_deref(), reaches.lower.as_deref()), (Some("2027-02-14"), Some("2027-01-31")));
    assert_eq!((reaches.upper.as_deref(), reaches.n), (Some("2027-04-23"), Some(12)));
}

/// Exactly one tenth a week: 0.2 % are left on day 56 at 20.2 %, and reach 20 % two weeks later.
#[test]
fn an_exact_line_has_one_date_above_a_limit_and_below_one() {
    let mut falling = logbook();
    let cell: Vec<f64> = (0..9).map(|n| 21.0 - 0.1 * f64::from(n)).map(|y| (y * 10.0).round() / 10.0).collect();
    answers(&mut falling, "oxygen", "09-07", 7, "07:00", &readings(&cell, "%"));
    assert_eq!(days_after(one(&falling).0, "09-07"), (70, 70, Some(70)));

    // A fall in pressure that grows by half a centimetre of water a week reaches 5 cmH2O from 4 in two weeks.
    let mut rising = logbook();
    let leak = (0..9).map(|n| format!("{{from: 30 cmH2O, to: {} cmH2O, in: 10 s}}", 30.0 - 0.5 * f64::from(n)));
    answers(&mut rising, "leak", "09-07", 7, "07:00", &leak.collect::<Vec<_>>());
    assert_eq!(days_after(one(&rising).0, "09-07"), (70, 70, Some(70)));
    says(&rising.november(), "toward its limit, at most 5 cmH2O");

    // Degrees do not begin at the zero of kelvins.
    let mut warming = logbook();
    let degrees: Vec<f64> = (0..9).map(|n| 36.0 + f64::from(n)).collect();
    answers(&mut warming, "warmer", "09-07", 7, "07:00", &readings(&degrees, "°C"));
    assert_eq!(days_after(one(&warming).0, "09-07"), (63, 63, Some(63)));
}

#[test]
fn each_bound_is_a_question_of_its_own() {
    let mut logbook = logbook();
    let pressures: Vec<f64> = (0..9).map(|n| 49.0 + 0.5 * f64::from(n)).collect();
    let answer = |value: &f64| format!("{{air: {{reading: {value} psi}}, oxygen: {{reading: 50 psi}}}}");
    let both: Vec<String> = pressures.iter().map(answer).collect();
    answers(&mut logbook, "pipeline", "09-07", 7, "07:00", &both);
    let found = findings(&logbook);
    assert_eq!(found.len(), 4);
    let kinds: Vec<bool> = found.iter().map(|(finding, ..)| *finding == Finding::NoTrend).collect();
    assert_eq!(kinds, [true, false, true, true], "air at least, air at most, oxygen at least, oxygen at most");
    // From 53 psi the 2 psi to 55 are four weeks; four questions leave 0.05/4 for each.
    assert_eq!(days_after(found[1].0, "09-07"), (84, 84, Some(84)));
    asked(&logbook, |drifts| {
        assert_eq!((drifts.tested(), drifts.p_wanted()), (4, 0.0125));
        logbook.with_basis("2026-11", LATER, LATER, |_| {
            let dated = drifts.dated();
            assert_eq!((dated.len(), dated[0].machine.as_str(), dated[0].place.as_str()), (1, MACHINE, "pipeline/air"));
        });
    });
    says(
        &logbook.november(),
        "4 limits of readings were looked at over the last 26 weeks (a reading can have a limit on either side): 1 with a date, 3 without",
    );
}

#[test]
fn flat_and_noisy_rows_have_no_date() {
    let mut flat = logbook();
    cell(&mut flat, &[20.9; 12]);
    assert_eq!(one(&flat), (Finding::NoTrend, 12, 0));

    let mut noisy = logbook();
    cell(&mut noisy, &[20.6, 21.1, 20.8, 20.9, 20.5, 21.0, 20.7, 20.9, 20.6, 21.0, 20.8, 20.7]);
    assert_eq!(one(&noisy), (Finding::NoTrend, 12, 0));

    let mut rising = logbook();
    let away: Vec<f64> = CELL.iter().rev().copied().collect();
    cell(&mut rising, &away);
    assert_eq!(one(&rising), (Finding::NoTrend, 12, 0));
    let report = rising.november();
    assert_eq!(figure(&report, "drifts-dated").k, Some(0));
    does_not_say(&report, "drifts toward its limit");
}

#[test]
fn eight_readings_over_four_weeks_are_the_fewest() {
    let steep = |n: usize| (0..n).map(|n| 30.0 - n as f64).collect::<Vec<_>>();
    for (n, every, enough) in [(7, 7, false), (8, 3, false), (8, 4, true), (28, 1, false), (29, 1, true)] {
        let mut logbook = logbook();
        let values: Vec<f64> = steep(n).iter().map(|y| 22.0 + y / 100.0).collect();
        answers(&mut logbook, "oxygen", "09-07", every, "07:00", &readings(&values, "%"));
        assert_eq!(one(&logbook).0 != Finding::TooFew, enough, "{n} readings, one every {every} days");
    }
}

#[test]
fn a_limit_too_far_ahead_gets_no_date() {
    // 0.1 % a week from 21.2 %: the last 1.2 % take 12 weeks, the readings eight; from 23.2 % it would be 32.
    for (first, dated) in [(22.0, true), (24.0, false)] {
        let mut logbook = logbook();
        let values: Vec<f64> = (0..9).map(|n| first - 0.1 * f64::from(n)).map(|y| (y * 10.0).round() / 10.0).collect();
        cell(&mut logbook, &values);
        let (finding, ..) = one(&logbook);
        assert_eq!(finding == Finding::TooFar, !dated, "{finding:?}");
        assert_eq!(matches!(finding, Finding::Dated(_)), dated, "{finding:?}");
        assert_eq!(figure(&logbook.november(), "drifts-dated").k, Some(u64::from(dated)));
    }
}

#[test]
fn a_reading_beyond_the_limit_is_no_drift() {
    let mut logbook = logbook();
    let values: Vec<f64> = CELL.iter().map(|y| ((y - 0.7) * 10.0).round() / 10.0).collect();
    cell(&mut logbook, &values);
    assert_eq!(one(&logbook).0, Finding::Beyond);

    // One that stands at the limit is still within it, though the line says that it will not be for long.
    let mut at_limit = self::logbook();
    let values: Vec<f64> = CELL.iter().map(|y| ((y - 0.6) * 10.0).round() / 10.0).collect();
    cell(&mut at_limit, &values);
    assert!(matches!(one(&at_limit).0, Finding::Dated(_)), "{:?}", one(&at_limit));
}

#[test]
fn a_line_that_has_reached_the_limit_is_told_so() {
    let mut logbook = logbook();
    // The last reading is a lucky one: the line stands at 20.0 % four weeks before.
    let mut values: Vec<f64> = (0..11).map(|n| 20.7 - 0.1 * f64::from(n)).map(|y| (y * 10.0).round() / 10.0).collect();
    values.push(20.1);
    cell(&mut logbook, &values);
    let dates = dates(one(&logbook).0);
    assert!(dates.reached);
    assert_eq!((dates.earliest.to_string().as_str(), dates.estimate), ("2026-11-23", dates.earliest));
    says(&logbook.november(), "the line through its readings has reached the limit, at least 20 %");
}

const SERVICE: &str = "work: Half-yearly service.\nnext-due: 2027-04-01";

fn serviced(logbook: &mut Logbook, started: &str, finished: &str, more: &str) {
    let fields = format!("started: \"{}\"\nfinished: \"{}\"\n{SERVICE}{more}", moment(started), moment(finished));
    logbook.record("service", finished, &fields);
}

#[test]
fn a_series_begins_anew_after_a_service() {
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    serviced(&mut logbook, "10-07T13:00", "10-07T15:00", "");
    // 7 readings from 12 October on are left.
    assert_eq!(one(&logbook), (Finding::TooFew, 7, 1));
    asked(&logbook, |drifts| {
        let (_, question) = drifts.questions().next().unwrap();
        assert_eq!((question.cuts[0].why, question.cuts[0].before), (Why::Service, 5));
    });
    says(&logbook.november(), "that happened once");
}

#[test]
fn after_a_service_since_the_last_reading_nothing_can_be_said() {
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    serviced(&mut logbook, "11-25T13:00", "11-25T15:00", "");
    assert_eq!(one(&logbook), (Finding::TooFew, 0, 1));
    logbook.november();
    // A service after the end of the month was not known then.
    let mut later = self::logbook();
    cell(&mut later, &CELL);
    serviced(&mut later, "12-02T13:00", "12-02T15:00", "");
    assert!(matches!(one(&later), (Finding::Dated(_), 12, 0)));
}

#[test]
fn the_check_that_proves_a_service_belongs_to_the_time_after_it() {
    for (proved, counted) in [("", 7), ("\nproved-by: {}", 8)] {
        let mut logbook = logbook();
        cell(&mut logbook, &CELL);
        let proof = logbook.check("complete", "10-07T14:30", "\n  oxygen: {reading: 21.0 %}");
        logbook.put(
            "procedures/complete/1.yaml",
            &PROCEDURE.replace("daily", "complete").replace("first-case", "after-service"),
        );
        serviced(&mut logbook, "10-07T13:00", "10-07T15:00", &proved.replace("{}", &proof));
        assert_eq!(one(&logbook).1, counted, "{proved}");
    }
}

#[test]
fn a_series_begins_anew_after_a_repair_and_a_release_of_its_own_fault_only() {
    for (items, counted, cuts) in [("[oxygen]", 7, 1), ("[leak]", 12, 0), ("[pipeline/oxygen]", 12, 0)] {
        let mut logbook = logbook();
        cell(&mut logbook, &CELL);
        let found = moment("10-06T08:00");
        let check = logbook.check("daily", "10-06T07:50", "\n  leak: fail");
        let fault = format!(
            "found: \"{found}\"\nfound-during: {{check: {check}, items: {items}}}\nwhat: broken\nuse: withheld"
        );
        let fault = logbook.record("fault", "10-06T08:00", &fault);
        let proof = logbook.check("daily", "10-07T14:30", "\n  leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}");
        logbook.release("10-07T15:00", &[&fault], &proof);
        let (_, n, found) = findings(&logbook)[1];
        assert_eq!((n, found), (counted, cuts), "{items}");
        // The check that showed the fault failed in the leak, whatever the fault names.
        let (_, n, _) = findings(&logbook)[0];
        assert_eq!(n, 1, "{items}");
    }
    // Work on a fault that is not released yet may have changed the reading too.
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    let found = moment("10-06T08:00");
    let check = logbook.check("daily", "10-06T07:50", "\n  oxygen: fail");
    let fault = format!(
        "found: \"{found}\"\nfound-during: {{check: {check}, items: [oxygen]}}\nwhat: broken\nuse: {{restricted: room air only, until: 2026-12-31, owner: r-castellanos}}"
    );
    let fault = logbook.record("fault", "10-06T08:00", &fault);
    let fields = format!(
        "fault: {fault}\nstarted: \"{}\"\nfinished: \"{}\"\ncause: wear-or-age\nwork: cell replaced",
        moment("10-07T13:00"),
        moment("10-07T14:00")
    );
    logbook.record("repair", "10-07T14:00", &fields);
    assert_eq!(one(&logbook), (Finding::TooFew, 7, 1));
}

/// A cylinder loses 20 psi a day; after 12 days another one is put on, and nobody wrote that down.
#[test]
fn a_step_to_the_safe_side_begins_anew_without_a_record() {
    let mut logbook = logbook();
    let values: Vec<f64> =
        (0..12).map(|n| 1240.0 - 20.0 * f64::from(n)).chain((0..31).map(|n| 1900.0 - 20.0 * f64::from(n))).collect();
    answers(&mut logbook, "cylinder", "10-01", 1, "07:00", &readings(&values, "psi"));
    let (finding, n, cuts) = one(&logbook);
    assert_eq!((n, cuts), (31, 1));
    // From 13 October the 900 psi down to 1000 are 45 days.
    assert_eq!(days_after(finding, "10-13"), (45, 45, Some(45)));
    let report = logbook.november();
    says(&report, "13: step, no record");
    says(&report, "1: 1240, 2: 1220");

    // A step down is no change of cylinder: somebody left it open, and it goes on from there.
    let mut spilled = self::logbook();
    let values: Vec<f64> = (0..43).map(|n| 2000.0 - 10.0 * f64::from(n) - if n > 20 { 300.0 } else { 0.0 }).collect();
    answers(&mut spilled, "cylinder", "10-01", 1, "07:00", &readings(&values, "psi"));
    assert_eq!((one(&spilled).1, one(&spilled).2), (43, 0));
}

#[test]
fn readings_that_scatter_widely_do_not_begin_anew_at_each_jump() {
    let mut logbook = logbook();
    let leak = (0..40).map(|n| format!("{{from: 30 cmH2O, to: {} cmH2O, in: 10 s}}", 30 - (n * 7) % 5));
    answers(&mut logbook, "leak", "10-01", 1, "07:00", &leak.collect::<Vec<_>>());
    assert_eq!(one(&logbook), (Finding::NoTrend, 40, 0));
}

#[test]
fn the_last_reading_of_a_day_counts_in_whatever_check_and_unit() {
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    // Earlier on the same days a misread gauge; later on the last of them another number, before a patient.
    answers(&mut logbook, "oxygen", "09-07", 7, "06:00", &readings(&[25.0; 12], "%"));
    logbook.put(
        "procedures/each-patient/1.yaml",
        &PROCEDURE.replace("daily", "each-patient").replace("first-case", "each-patient"),
    );
    logbook.check("each-patient", "11-23T12:00", "\n  oxygen: {reading: 20.4 %}");
    asked(&logbook, |drifts| {
        let (series, _) = drifts.questions().next().unwrap();
        let values: Vec<f64> = series.readings.iter().map(|reading| reading.value).collect();
        assert_eq!(values[..11], CELL[..11]);
        assert_eq!(values[11..], [20.4]);
    });

    let mut units = self::logbook();
    let mixed: Vec<String> = (0..12)
        .map(|n| 1600.0 - 20.0 * f64::from(n))
        .enumerate()
        .map(|(n, psi)| {
            if n % 2 == 0 {
                format!("{{reading: {:.1} kPa}}", psi * 6.894757)
            } else {
                format!("{{reading: {psi} psi}}")
            }
        })
        .collect();
    answers(&mut units, "cylinder", "09-07", 7, "07:00", &mixed);
    let (finding, n, cuts) = one(&units);
    assert_eq!((n, cuts), (12, 0));
    // 20 psi a week from 1380: 19 weeks, 22 more days than the readings span; kilopascals are rounded to a tenth.
    let (earliest, estimate, _) = days_after(finding, "09-07");
    assert!((209..=210).contains(&earliest) && estimate == 210, "{earliest} {estimate}");
}

#[test]
fn a_trend_that_may_be_chance_among_many_gets_no_date() {
    // Kendall's p is 0.018: alone, that is below 0.05.
    let mut logbook = logbook();
    cell(&mut logbook, &[21.1, 21.1, 21.0, 21.2, 20.7, 20.9, 20.5, 20.1, 20.5, 20.9, 20.1, 20.7]);
    assert!(matches!(one(&logbook).0, Finding::Dated(_)), "{:?}", one(&logbook));
    // Beside five other questions it must be below 0.05/6.
    answers(
        &mut logbook,
        "leak",
        "09-07",
        7,
        "08:00",
        &vec!["{from: 30 cmH2O, to: 29 cmH2O, in: 10 s}".to_owned(); 12],
    );
    answers(
        &mut logbook,
        "pipeline",
        "09-07",
        7,
        "09:00",
        &vec!["{air: {reading: 50 psi}, oxygen: {reading: 51 psi}}".to_owned(); 12],
    );
    let found = findings(&logbook);
    assert_eq!(found.iter().filter(|(finding, ..)| *finding == Finding::MayBeChance).count(), 1, "{found:?}");
    says(&logbook.november(), "may be chance");
}

#[test]
fn readings_without_a_limit_and_older_than_26_weeks_are_not_looked_at() {
    let mut logbook = logbook();
    answers(&mut logbook, "room", "09-07", 7, "07:00", &readings(&[21.0; 12], "°C"));
    assert_eq!(findings(&logbook), []);
    says(&logbook.november(), "no drift could be looked for");
    // 1 June is 182 days before 30 November, 2 June 181.
    answers(&mut logbook, "oxygen", "05-30", 1, "07:00", &readings(&[21.0; 40], "%"));
    assert_eq!(one(&logbook).1, 37);
}

#[test]
fn a_dated_drift_has_a_picture_and_its_readings() {
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    let report = logbook.november();
    let section = report.sections.iter().find(|section| section.id == "drift").unwrap();
    let pictures: Vec<_> = section
        .blocks
        .iter()
        .filter_map(|block| if let Block::Picture(picture) = block { Some(picture) } else { None })
        .collect();
    assert_eq!(pictures.len(), 1);
    let rows = &pictures[0].table.rows;
    assert_eq!(rows.len(), 3);
    assert_eq!(rows[0], ["September 2026", "7: 21, 14: 20.9, 21: 21, 28: 20.9", ""]);
    assert_eq!(rows[2][0], "November 2026");
    assert!(pictures[0].reads.contains("not before 2027-01-31"), "{}", pictures[0].reads);
}

#[test]
fn an_unfinished_month_looks_back_from_where_the_records_end() {
    let mut logbook = logbook();
    cell(&mut logbook, &CELL);
    let now = "2026-11-10T12:00:00+01:00";
    let known = |drifts: &Drifts<'_>| drifts.questions().map(|(series, _)| series.readings.len()).sum::<usize>();
    let n = logbook.with_basis("2026-11", now, now, |basis| known(&counted_drifts(basis)));
    assert_eq!(n, 10);
}
