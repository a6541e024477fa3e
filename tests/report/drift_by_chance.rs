//! Drifts by chance, and the one that was planted: how often a row without a trend gets a date, and what the demo holds.

use super::small_logbook::{LATER, Logbook};
use pinindex::contents::{self, Contents, Filed};
use pinindex::demo::{Settings, plan, planted};
use pinindex::logbook::{FileContent, Snapshot, Source, belongs};
use pinindex::record::moment::start_of_day;
use pinindex::record::{Date, Moment, Use};
use pinindex::report::calendar;
use pinindex::report::drift::{Finding, Question, Reading, Series, counted_drifts};
use pinindex::report::picture::Day;
use pinindex::report::tally::Tally;
use pinindex::report::{Basis, Period};
use pinindex::timeline::{Case, DayState, Lives, expected_days, lives};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Returns about normal numbers: the sum of twelve even ones has the variance 1.
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let even = |random: &mut ChaCha8Rng| f64::from(random.next_u32()) / f64::from(u32::MAX);
    (0..12).map(|_| even(random)).sum::<f64>() - 6.0
}

/// Returns how many of so many rows of readings without a trend get a date, when each must be as unlikely as `p`.
///
/// The readings are of the working days of 13 weeks, around 22 % with a limit of 20 %, to the tenth, and scatter by
/// `scatter`; `kept` is the correlation of one day with the next.
fn dated_by_chance(rows: usize, p: f64, scatter: f64, kept: f64) -> usize {
    let mut random = ChaCha8Rng::seed_from_u64(1968);
    let mut logbook = Logbook::new();
    let procedure = "procedure: daily\nrevision: 1\ntitle: Readings\nwhen: first-case\nin-force-from: 2026-01-01\nsources: [house rule]\nitems:\n  - {id: oxygen, title: Oxygen, do: Read it., answer: reading, measures: share, limits: [{at-least: 20 %, source: house rule, standing: local}], by: {any-of: [biomed]}, fails: withhold}\n";
    logbook.put("procedures/daily/1.yaml", procedure);
    logbook.check("daily", "11-27T07:00", "\n  oxygen: {reading: 22 %}");
    logbook.with_basis("2026-11", LATER, LATER, |basis| {
        let drifts = counted_drifts(basis);
        let (series, questions) = &drifts.series[0];
        let last = series.readings[0];
        let row = |random: &mut ChaCha8Rng| {
            let mut deviation = normal(random);
            let mut readings = Vec::new();
            for back in (0..91_i64).rev().filter(|back| !matches!(back % 7, 5 | 6)) {
                deviation = kept * deviation + (1.0 - kept * kept).sqrt() * normal(random);
                let value = ((22.0 + scatter * deviation) * 10.0).round() / 10.0;
                let before = chrono::Duration::days(back);
                readings.push(Reading { day: Date(last.day.0 - before), at: Moment(last.at.0 - before), value });
            }
            Series { readings, ..series.clone() }
        };
        let dated = |random: &mut ChaCha8Rng| {
            let row = row(random);
            let mut question = Question::new(&row, questions[0].bound.clone(), basis.last_moment(), &[]);
            question.conclude(&row, p);
            matches!(question.finding, Finding::Dated(_))
        };
        (0..rows).filter(|_| dated(&mut random)).count()
    })
}

/// With p < 0.01 at most 10 of 1000 rows would lead either way, 5 of them toward the limit; 14 or more of 5 would come
/// once in 1400 times. Days that resemble the one before must not make it more: without the allowance for that it is 80.
#[test]
fn rows_without_a_trend_get_hardly_more_dates_than_allowed() {
    for (scatter, kept) in [(0.7, 0.0), (5.0, 0.0), (0.7, 0.5)] {
        let dated = dated_by_chance(1000, 0.01, scatter, kept);
        assert!(dated <= 13, "{dated} of 1000 rows that scatter by {scatter}, each day {kept} like the one before");
    }
}

struct Demo {
    settings: Settings,
    contents: Contents,
    lives: Lives,
}

fn demo(number: u64) -> Demo {
    let settings = Settings { machines: 6, months: 14, seed: number, last_day: "2026-11-25".parse().unwrap() };
    let plan = plan(&settings);
    let files = plan.files.iter().filter(|(path, _)| belongs(path)).cloned();
    let files = files.map(|(path, text)| (path, FileContent::Bytes(text.into_bytes().into()))).collect();
    let source = Source::WorkingFiles { head: None, uncommitted: false };
    let (mut contents, faults) = contents::read(&Snapshot { files, source }, &mut |_| {});
    assert_eq!(faults, []);
    // That the records read back from their texts as what they are is tested elsewhere, and takes long.
    contents.records =
        plan.records.into_iter().map(|p| std::sync::Arc::new(Filed { path: p.path, record: p.record })).collect();
    contents.records.sort_by(|a, b| a.path.cmp(&b.path));
    let contents = contents.without(&BTreeSet::new());
    let lives = lives(&contents);
    Demo { settings, contents, lives }
}

static DEMOS: LazyLock<Vec<Demo>> = LazyLock::new(|| (1..4).map(demo).collect());

impl Demo {
    fn with_basis<T>(&self, period: &str, then: impl FnOnce(&Basis<'_>) -> T) -> T {
        let site = self.contents.site.as_ref().unwrap();
        let period = Period::named(period).unwrap();
        let now: Moment = "2026-11-25T12:00:00+01:00".parse().unwrap();
        let (contents, lives) = (&self.contents, &self.lives);
        let as_of = Basis::as_of(site, period, now, now);
        then(&Basis { site, contents, lives, period, as_of, built_from: None, left_out: &[], seals: &[], also: &[] })
    }
}

/// The planted cell reads 21 % when new and loses 1.6 % in a year, so that it reaches 19 % fifteen months later.
#[test]
fn the_planted_drift_is_found() {
    for demo in DEMOS.iter() {
        let (machine, item, new) = planted(&demo.settings).drift;
        demo.with_basis("2026-10", |basis| {
            let dated = counted_drifts(basis).dated();
            let found = dated.iter().find(|d| d.machine == machine && d.place == item);
            let found = found.unwrap_or_else(|| panic!("{}: {dated:?}", demo.settings.seed));
            let truly = new.0 + chrono::Duration::days(2 * 365 * 100 / 160);
            let missed = (found.estimate.0 - truly).num_days();
            assert!(missed.abs() <= 45, "{}: {} is {missed} days from {truly}", demo.settings.seed, found.estimate);
            assert!(found.earliest.0 <= truly + chrono::Duration::days(20), "{}", found.earliest);
        });
    }
}

/// Spare cylinders empty truly, and their dates are right. Everything else that gets a date is chance: at most 0.05 in
/// each of the twelve reports, so that two or more come once in about eight times, and three once in forty.
#[test]
fn nothing_else_of_the_demo_gets_a_date() {
    let mut by_chance = Vec::new();
    for demo in DEMOS.iter() {
        let (machine, item, _) = planted(&demo.settings).drift;
        for period in ["2026-03", "2026-06", "2026-08", "2026-10"] {
            let dated = demo.with_basis(period, |basis| counted_drifts(basis).dated());
            let wrong = |d: &pinindex::report::drift::DatedDrift| {
                d.place != "spare-oxygen-cylinder" && (&d.machine, &d.place) != (&machine, &item)
            };
            by_chance.extend(dated.into_iter().filter(wrong));
        }
    }
    assert!(by_chance.len() <= 1, "{by_chance:#?}");
}

#[test]
fn the_calendar_has_one_cell_a_day_of_each_machine() {
    let demo = &DEMOS[0];
    for (period, months) in [("2026-10", 1), ("2026-Q3", 3), ("2026-09-15..2026-11-10", 3), ("2026-11", 1)] {
        demo.with_basis(period, |basis| {
            let machines: Vec<&str> = basis.machines().map(|(id, ..)| id).collect();
            let tally = Tally::of(basis);
            let drawn = calendar::drawn(basis, &tally, &machines);
            assert_eq!(drawn.months.len(), months);
            for (row, id) in machines.iter().enumerate() {
                let days: Vec<Day> = drawn.months.iter().flat_map(|month| &month.rows[row].days).copied().collect();
                assert_eq!(days.len() as i64, basis.period.days(), "{period} {id}");
                let count = |wanted: &[Day]| days.iter().filter(|day| wanted.contains(day)).count();
                let states = expected_days(
                    basis.contents,
                    &basis.lives[*id],
                    basis.period.first,
                    basis.period.after,
                    basis.as_of,
                );
                let came = |of: fn(&DayState) -> bool| states.iter().filter(|day| of(&day.state)).count();
                assert_eq!(count(&[Day::Done, Day::DoneLate]), came(|s| matches!(s, DayState::Done { .. })));
                assert_eq!(count(&[Day::Missing]), came(|s| *s == DayState::Missing));
                assert_eq!(count(&[Day::Incomplete]), came(|s| matches!(s, DayState::Incomplete { .. })));
                // A bar stands on every day of an outage, whether or not a check was expected on it.
                let start = |date: chrono::NaiveDate| start_of_day(date, basis.site.time_zone);
                let outage = |date: &chrono::NaiveDate| {
                    let (begins, ends) = (start(*date), start(date.succ_opt().unwrap()));
                    let over = |case: &Case| case.released.as_ref().is_none_or(|r| r.released >= ends);
                    let cases = &basis.lives[*id].cases;
                    begins <= basis.as_of
                        && cases.iter().any(|c| c.usage == Use::Withheld && c.found <= begins && over(c))
                };
                let outages = basis.period.first.0.iter_days().take(days.len()).filter(outage).count();
                assert_eq!(count(&[Day::Withheld]), outages, "{period} {id}");
                assert!(outages >= came(|s| *s == DayState::Withheld), "{period} {id}");
            }
            let kinds: BTreeSet<Day> =
                drawn.months.iter().flat_map(|m| m.rows.iter().flat_map(|row| &row.days)).copied().collect();
            assert_eq!(kinds.contains(&Day::NotOver), period == "2026-11", "{kinds:?}");
        });
    }
}
