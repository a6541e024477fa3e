//! The demo's logbook is a sound one, the same for a seed, and what was planted in it is there.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use pinindex::contents::{self, Contents};
use pinindex::demo::{Plan, Planned, Settings, plan, planted};
use pinindex::diagnostic::{Diagnostic, Severity};
use pinindex::logbook::{FileContent, Snapshot, Source, belongs, parse_record_path};
use pinindex::procedure::{Outcome, When};
use pinindex::record::{Answer, Body, Date, Moment, Use, write};
use pinindex::register::Role;
use pinindex::rule::{self, Facts};
use pinindex::timeline::{DayState, Life, Lives, expected_days, lives, status};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

fn settings(machines: usize, months: u32, seed: u64) -> Settings {
    Settings { machines, months, seed, last_day: date("2026-11-25") }
}

fn usual() -> Settings {
    settings(6, 14, 1)
}

fn date(text: &str) -> Date {
    text.parse().unwrap()
}

/// A demo with what it reads back as.
struct Demo {
    settings: Settings,
    plan: Plan,
    contents: Contents,
    faults: Vec<Diagnostic>,
    lives: Lives,
}

impl Demo {
    fn new(settings: Settings) -> Demo {
        let plan = plan(&settings);
        let (contents, faults) = read(&plan);
        let lives = lives(&contents);
        Demo { settings, plan, contents, faults, lives }
    }
}

/// The usual size with several seeds.
static USUAL: LazyLock<Vec<Demo>> = LazyLock::new(|| (1..4).map(|seed| Demo::new(settings(6, 14, seed))).collect());

/// Sizes that reach every corner: one machine, no spare, many; one month, many; odd last days.
static ODD: LazyLock<Vec<Demo>> = LazyLock::new(|| {
    let mut all = vec![settings(1, 1, 3), settings(2, 5, 4), settings(3, 6, 5), settings(13, 1, 6), settings(40, 1, 8)];
    all.push(Settings { last_day: date("2028-02-29"), ..settings(4, 9, 7) });
    all.push(Settings { last_day: date("2027-01-01"), ..settings(1, 20, u64::MAX) });
    all.into_iter().map(Demo::new).collect()
});

fn several() -> impl Iterator<Item = &'static Demo> {
    USUAL.iter().chain(ODD.iter())
}

fn read(plan: &Plan) -> (Contents, Vec<Diagnostic>) {
    let files = plan.files.iter().filter(|(path, _)| belongs(path)).cloned();
    let records = plan.records.iter().map(|p| (p.path.clone(), write::text(&p.record).unwrap()));
    let bytes = |text: String| FileContent::Bytes(text.into_bytes().into());
    let files = files.chain(records).map(|(path, text)| (path, bytes(text))).collect();
    let source = Source::WorkingFiles { head: None, uncommitted: false };
    contents::read(&Snapshot { files, source }, &mut |_| {})
}

fn first() -> (&'static Contents, &'static Lives) {
    (&USUAL[0].contents, &USUAL[0].lives)
}

fn noon(settings: &Settings, contents: &Contents) -> Moment {
    let zone = contents.site.as_ref().unwrap().time_zone;
    let start = pinindex::record::moment::start_of_day(settings.last_day.0, zone);
    Moment(start.0 + chrono::Duration::hours(12))
}

/// The days in a month on which a check of a machine failed, in order.
fn failures(life: &Life, from: Date, until: Date) -> Vec<Date> {
    let failed = life.checks.iter().filter(|c| c.judgement.failures().next().is_some());
    let days = failed.map(|c| Date(c.check.finished.0.date_naive()));
    days.filter(|day| from <= *day && *day < until).collect()
}

#[test]
fn the_same_settings_give_the_same_plan() {
    assert_eq!(plan(&usual()), USUAL[0].plan);
    assert_ne!(USUAL[0].plan.records, USUAL[1].plan.records);
}

#[test]
fn every_file_and_record_reads_back_without_a_fault() {
    for Demo { settings, plan, contents, faults, .. } in several() {
        assert!(faults.is_empty(), "{settings:?}: {:?}", faults.first());
        // The contents were read from the records' texts, so that this compares each record with what its text says.
        assert_eq!(contents.records.len(), plan.records.len());
        for Planned { path, record } in &plan.records {
            assert_eq!(contents.record(path).map(|filed| &filed.record), Some(record), "{settings:?} {path}");
        }
        assert_eq!(contents.machines.len(), settings.machines);
        assert_eq!(contents.procedures.len(), 4);
    }
}

#[test]
fn records_come_in_order_under_paths_of_their_own() {
    for Demo { settings, plan, contents, .. } in several() {
        let mut seen = BTreeSet::new();
        let mut before = None;
        for Planned { path, record } in &plan.records {
            let name = parse_record_path(path).unwrap_or_else(|| panic!("{path} is no record's path"));
            let when = record.when();
            assert_eq!((name.machine.as_str(), name.kind.as_str()), (record.common.machine.as_str(), record.kind()));
            assert_eq!((name.date, name.time), (when.0.date_naive(), when.0.time()), "{path}");
            assert!(record.common.recorded >= when, "{path} is recorded before it happened");
            assert!(record.started().is_none_or(|started| started < when), "{path} is finished before it began");
            assert!(before <= Some(record.common.recorded), "{path} is out of order");
            for (_, named, _) in record.references() {
                assert!(seen.contains(named), "{path} names {named}, which is not there yet");
            }
            assert!(seen.insert(path.clone()), "{path} is taken twice");
            before = Some(record.common.recorded);
        }
        assert!(before <= Some(noon(settings, contents)), "{settings:?} goes on after noon of the last day");
    }
}

#[test]
fn the_usual_demo_has_every_kind_and_every_form_of_answer() {
    let plan = &USUAL[0].plan;
    assert!((3000..=4000).contains(&plan.records.len()), "{} records", plan.records.len());
    let kinds: BTreeSet<&str> = plan.records.iter().map(|p| p.record.kind()).collect();
    assert_eq!(kinds.len(), 6, "{kinds:?}");
    let mut forms: BTreeMap<&str, usize> = BTreeMap::new();
    let mut count = |form| *forms.entry(form).or_default() += 1;
    for Planned { record, .. } in &plan.records {
        record.common.corrects.iter().for_each(|_| count("corrects"));
        record.common.remarks.iter().for_each(|_| count("remarks"));
        record.common.recorded_by.iter().for_each(|_| count("recorded-by"));
        match &record.body {
            Body::Check(check) => {
                (0..usize::from(check.emergency_start)).for_each(|_| count("emergency"));
                for (_, _, result, _) in check.results.single() {
                    result.earlier.iter().for_each(|_| count("earlier"));
                    match &result.answer {
                        Answer::Pass => count("pass"),
                        Answer::Fail => count("fail"),
                        Answer::Reading(_) => count("reading"),
                        Answer::Held(_) => count("held"),
                        Answer::PressureHeld { .. } => count("pressure held"),
                        Answer::Choice(_) => count("choice"),
                        Answer::NotDone(_) => count("not done"),
                        Answer::NotFitted => panic!("the demo leaves out what is not fitted"),
                    }
                }
            }
            Body::Repair(repair) => {
                repair.parts.iter().for_each(|_| count("parts"));
                repair.waited.iter().for_each(|_| count("waited"));
            }
            Body::Fault(fault) => count(if fault.found_during.way.is_some() { "found elsewhere" } else { "found" }),
            _ => {}
        }
    }
    for form in [
        "corrects",
        "remarks",
        "recorded-by",
        "emergency",
        "earlier",
        "pass",
        "fail",
        "reading",
        "held",
        "pressure held",
        "choice",
        "not done",
        "parts",
        "waited",
        "found elsewhere",
        "found",
    ] {
        assert!(forms.contains_key(form), "no `{form}` in {forms:?}");
    }
}

#[test]
fn people_are_of_every_role_and_there_when_they_work() {
    for Demo { plan, contents, .. } in several() {
        let roles: BTreeSet<&str> = contents.people.values().map(|p| p.role.word()).collect();
        assert_eq!(roles.len(), 4);
        for Planned { path, record } in &plan.records {
            let day = Date(record.when().0.date_naive());
            let mut people = record.common.by.iter().chain(&record.common.recorded_by);
            let known = people.all(|id| {
                let person = contents.people.get(id);
                person.is_some_and(|p| p.from.is_none_or(|f| f <= day) && p.until.is_none_or(|u| day <= u))
            });
            assert!(known || record.common.recorded_by.is_some(), "{path}: {:?}", record.common.by);
        }
        assert!(contents.people.values().all(|p| p.email.ends_with(".example")));
    }
    assert!((10..=12).contains(&USUAL[0].contents.people.len()));
}

#[test]
fn no_check_is_shorter_than_its_timed_parts() {
    for Planned { path, record } in &USUAL[0].plan.records {
        let Body::Check(check) = &record.body else { continue };
        let timed = |answer: &Answer| match answer {
            Answer::Held(t) | Answer::Reading(t) | Answer::PressureHeld { time: t, .. } => t.seconds().unwrap_or(0),
            _ => 0,
        };
        let least: i64 = check.results.single().map(|(_, _, result, _)| timed(&result.answer)).sum();
        let lasted = check.finished.seconds_since(check.started);
        assert!(lasted > least, "{path} lasted {lasted} s, its timed parts {least} s");
        if check.procedure == "daily" && !check.emergency_start {
            assert!((360..=840).contains(&lasted), "{path} lasted {lasted} s");
        }
    }
}

#[test]
fn every_failed_check_has_a_fault_and_every_release_a_complete_passing_check() {
    for Demo { settings, lives, .. } in several() {
        for life in lives.values() {
            for check in &life.checks {
                let has_case = life.cases.iter().any(|case| case.found_during.check.as_deref() == Some(check.path()));
                let failed: Vec<String> = check.judgement.failures().map(|f| f.place()).collect();
                assert_eq!(has_case, !failed.is_empty(), "{settings:?} {} failed {failed:?}", check.path());
                let unfit = check.judgement.items().find(|item| {
                    use pinindex::procedure::Verdict::{NotFitted, Unanswered, Unfit};
                    matches!(item.verdict, Unfit | Unanswered | NotFitted)
                });
                assert!(unfit.is_none(), "{} {unfit:?}", check.path());
                let when = (check.when == When::EachPatient).then_some(check.check.finished);
                let withheld = when.is_some_and(|t| life.cases.iter().any(|case| case.withholds_at(t)));
                assert!(!withheld, "{} was done while the machine was withheld", check.path());
            }
            for case in &life.cases {
                let Some(released) = &case.released else { continue };
                let proof = life.check(&released.proved_by).unwrap();
                assert_eq!(
                    (proof.when, proof.judgement.outcome),
                    (When::AfterService, Outcome::Passed),
                    "{}",
                    proof.path()
                );
                let last_work = case.works.iter().map(|w| w.repair.finished).max().unwrap();
                assert!(case.found < last_work && last_work <= proof.check.started, "{}", case.path);
                for work in &case.works {
                    assert!(case.found <= work.repair.started, "{}", work.path);
                }
            }
        }
    }
}

#[test]
fn gauges_have_the_resolution_of_gauges() {
    // A mistaken record may say anything; its correction counts.
    for filed in USUAL[0].contents.counting() {
        let Body::Check(check) = &filed.record.body else { continue };
        for (item, _, result, _) in check.results.single() {
            let Answer::Reading(q) = &result.answer else { continue };
            let decimals = q.number().split_once('.').map_or(0, |(_, decimals)| decimals.len());
            match item {
                "spare-oxygen-cylinder" => {
                    assert_eq!(q.number().parse::<u32>().unwrap() % 50, 0, "{}: {q}", filed.path)
                }
                "pipeline-pressure" | "oxygen-monitor-flush" => assert_eq!(decimals, 0, "{}: {q}", filed.path),
                "oxygen-monitor-air" => assert_eq!(decimals, 1, "{}: {q}", filed.path),
                "circuit-leak-flow" => assert!(q.number().ends_with('0'), "{}: {q}", filed.path),
                _ => {}
            }
        }
    }
}

#[test]
fn missed_and_late_checks_are_few_and_one_machine_misses_more() {
    let (contents, lives) = first();
    let planted = planted(&usual());
    let mut missing = BTreeMap::new();
    let (mut expected, mut late) = (0, 0);
    for (machine, life) in lives {
        let until = usual().last_day;
        for day in expected_days(contents, life, planted.first_day, until, noon(&usual(), contents)) {
            expected += usize::from(day.expected);
            *missing.entry(machine.clone()).or_insert(0) += usize::from(day.state == DayState::Missing);
            late += usize::from(matches!(day.state, DayState::Done { late: true, .. }));
        }
    }
    let all: usize = missing.values().sum();
    assert!((10..45).contains(&all), "{missing:?} of {expected}");
    assert!((10..50).contains(&late), "{late} late of {expected}");
    assert_eq!(missing.iter().max_by_key(|(_, n)| **n).unwrap().0, &planted.often_missed, "{missing:?}");
}

#[test]
fn the_drift_is_there_and_nowhere_else() {
    for Demo { settings, lives, .. } in USUAL.iter() {
        let seed = settings.seed;
        let (drifting, item, since) = planted(settings).drift;
        for (machine, life) in lives {
            let readings: Vec<f64> = life
                .checks
                .iter()
                .filter(|c| Date(c.check.finished.0.date_naive()) > since && c.when == When::FirstCase)
                .flat_map(|c| {
                    c.check.results.single().filter(|r| r.0 == item).map(|r| r.2.answer.clone()).collect::<Vec<_>>()
                })
                .filter_map(|answer| match answer {
                    Answer::Reading(q) => Some(q.number().parse().unwrap()),
                    _ => None,
                })
                .collect();
            let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
            let fall = mean(&readings[..20]) - mean(&readings[readings.len() - 20..]);
            assert_eq!(fall > 1.2, *machine == drifting, "seed {seed}, {machine} falls by {fall:.2} %");
            assert!(readings.iter().all(|r| *machine != drifting || *r >= 19.0));
        }
    }
}

#[test]
fn the_worst_machine_and_the_worsening_month_stand_out() {
    for Demo { settings, lives, .. } in USUAL.iter() {
        let (seed, planted) = (settings.seed, planted(settings));
        let next = date("2026-11-01");
        let month: usize = lives.values().map(|life| failures(life, planted.worsening_month, next).len()).sum();
        assert!((3..=5).contains(&month), "seed {seed}: {month} failures in the worsening month");
        let before: usize =
            lives.values().map(|life| failures(life, planted.first_day, planted.worsening_month).len()).sum();
        assert!(month as f64 > 1.4 * before as f64 / 13.0, "seed {seed}: {before} failures in the 13 months before");
        let all = |machine: &str| failures(&lives[machine], planted.first_day, settings.last_day).len();
        let worst = all(&planted.worst_machine);
        for machine in lives.keys().filter(|id| **id != planted.worst_machine) {
            assert!(all(machine) < worst, "seed {seed}: {machine} fails as often as the worst machine");
        }
    }
}

#[test]
fn one_week_is_copied() {
    let planted = planted(&usual());
    let (contents, lives) = first();
    let copied = planted.copied.unwrap();
    let week: Vec<_> = lives[&copied.machine]
        .checks
        .iter()
        .filter(|c| c.when == When::FirstCase)
        .filter(|c| (copied.from..=copied.until).contains(&Date(c.check.finished.0.date_naive())))
        .collect();
    assert_eq!(week.len(), 5);
    assert!(week.iter().all(|c| c.check.results == week[0].check.results && c.by()[0] == copied.person));
    assert_eq!(contents.people[&copied.person].role, Role::Technician);
}

#[test]
fn what_is_open_overdue_or_expired_is_there() {
    let planted = planted(&usual());
    let (contents, lives) = first();
    let now = noon(&usual(), contents);
    let at_the_end = |machine: &str| status(contents, &lives[machine], now).unwrap();
    let (fault, restriction) = (planted.open_fault.unwrap(), planted.open_restriction.unwrap());
    assert_eq!(at_the_end(&fault).withheld_by.len(), 1);
    let open = at_the_end(&restriction).restricted_by;
    assert_eq!(open.iter().map(|r| (r.until, r.expired)).collect::<Vec<_>>(), [(date("2026-11-27"), false)]);
    let overdue = planted.service_overdue.unwrap();
    assert!(at_the_end(&overdue).service_overdue);

    let (machine, until) = planted.expired_restriction.unwrap();
    let expired = lives[&machine].cases.iter().find(|case| match &case.usage {
        Use::Restricted { until: day, .. } => *day == until,
        Use::Withheld => false,
    });
    let released = expired.and_then(|case| case.released.as_ref()).unwrap().released;
    assert!(Date(released.0.date_naive()) > until);

    let instruments = lives.values().flat_map(|life| &life.services).flat_map(|(_, _, s)| {
        s.instruments.iter().filter(|i| i.calibration_due < Date(s.finished.0.date_naive())).map(|i| i.id.clone())
    });
    assert_eq!(instruments.collect::<Vec<_>>(), [planted.instrument_overdue]);
}

#[test]
fn a_fault_that_was_not_found_comes_back() {
    let planted = planted(&usual());
    let (_, lives) = first();
    let (machine, item, from) = planted.repeat.unwrap();
    let cases: Vec<_> = lives[&machine]
        .cases
        .iter()
        .filter(|case| case.found_during.items.contains(&item) && Date(case.found.0.date_naive()) >= from)
        .collect();
    assert_eq!(cases[0].works.last().unwrap().repair.cause, "no-fault-found");
    let apart = cases[1].found.seconds_since(cases[0].released.as_ref().unwrap().released);
    assert!((0..30 * 86_400).contains(&apart), "{} days apart", apart / 86_400);
}

#[test]
fn checks_follow_the_revision_of_their_day_but_for_one() {
    let planted = planted(&usual());
    let (contents, lives) = first();
    let others: Vec<Date> = lives
        .values()
        .flat_map(|life| &life.checks)
        .filter_map(|check| {
            let day = Date(check.check.finished.0.date_naive());
            let in_force = contents.in_force(&check.check.procedure, day)?;
            (in_force.revision != check.check.revision).then_some(day)
        })
        .collect();
    assert_eq!(others, [planted.new_revision]);
}

#[test]
fn settings_out_of_bounds_are_taken_as_the_nearest() {
    assert_eq!(plan(&settings(0, 0, 1)), plan(&settings(1, 1, 1)));
}

#[test]
fn the_rules_find_no_fault_and_much_of_life() {
    for Demo { settings, contents, lives, .. } in several() {
        let said = rule::judge(&Facts { contents, lives, now: noon(settings, contents), came: None });
        let fault = said.iter().find(|d| d.severity == Severity::Problem);
        assert!(fault.is_none(), "{settings:?}: {fault:?}");
        let findings: BTreeSet<&str> = said.iter().map(|d| d.rule).collect();
        assert!(!findings.contains("failed-check-without-fault"), "{settings:?}");
        assert!(!findings.contains("check-while-withheld"), "{settings:?}");
        if settings == &usual() {
            let wanted = [
                "instrument-out-of-calibration",
                "item-failed",
                "item-not-done",
                "passed-after-failed-try",
                "person-may-not-do-item",
                "recorded-late",
                "revision-not-in-force",
                "service-overdue",
            ];
            assert_eq!(wanted.into_iter().find(|name| !findings.contains(name)), None, "{findings:?}");
        }
    }
}
