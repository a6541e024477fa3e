//! Questions about the records: each kind on a small logbook made by hand.
//!
//! It has two machines and no calendar; its readings come from a small generator with fixed numbers, so that they are the
//! same on every day. What whole demos give is tested in `questions_demo.rs`.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a test reads its files, and stops at what it did not expect"
)]

use chrono::Duration;
use pinindex::contents::{self, Contents};
use pinindex::logbook::{FileContent, Snapshot, Source, record_path};
use pinindex::question::{self, Questions, Span};
use pinindex::record::Moment;
use pinindex::record::moment::start_of_day;
use pinindex::report::{self, Basis, Period};
use pinindex::timeline::lives;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;

struct Logbook {
    files: BTreeMap<String, String>,
}

/// The files of the smallest logbook with two machines whose gauges are known.
fn logbook(finest_step: &str) -> Logbook {
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base");
    let text = |path: &str| std::fs::read_to_string(base.join(path)).unwrap();
    let mut files: BTreeMap<String, String> = ["site.yaml", "people.yaml", "procedures/daily/1.yaml"]
        .map(|path| (path.to_owned(), text(path).replace("2026-01-01", "2025-01-01")))
        .into();
    for n in [1, 2] {
        let machine = format!(
            "name: Theatre {n}\nasset: \"{n}\"\nserial: \"{n}\"\nlocation: here\nin-use: {{from: 2025-01-01}}\n\
             gases: [oxygen, air]\nvaporizers: []\nscavenging: none\n{finest_step}"
        );
        files.insert(format!("machines/theatre-{n}.yaml"), machine);
    }
    Logbook { files }
}

impl Logbook {
    /// Files a record of some kind that lasted until a moment, and returns its path.
    fn record(&mut self, kind: &str, machine: u32, (from, to): (Moment, Moment), by: &str, fields: &str) -> String {
        let path = record_path(to.0, &format!("theatre-{machine}"), kind);
        let text = format!(
            "record: {kind}\nmachine: theatre-{machine}\nby: [{by}]\nstarted: \"{from}\"\nfinished: \"{to}\"\n\
             recorded: \"{to}\"\n{fields}\n"
        );
        assert_eq!(self.files.insert(path.clone(), text), None, "{path} is taken");
        path
    }

    fn check(&mut self, machine: u32, times: (Moment, Moment), by: &str, results: &str) -> String {
        let fields = format!("procedure: daily\nrevision: 1\nresults: {{{results}}}");
        self.record("check", machine, times, by, &fields)
    }

    /// Files a check of ten minutes on the morning of a day, of one machine after the other.
    fn daily(&mut self, machine: u32, day: i64, results: &str) -> String {
        let from = at(day, if machine == 1 { "07:00:05" } else { "07:20:05" });
        self.check(machine, (from, later(from, 600)), "j-lindqvist", results)
    }

    fn contents(&self) -> Contents {
        let bytes = |(path, text): (&String, &String)| (path.clone(), FileContent::Bytes(text.as_bytes().into()));
        let (contents, faults) = contents::read(&snapshot(self.files.iter().map(bytes).collect()), &mut |_| {});
        assert_eq!(faults, []);
        contents
    }

    /// Asks about November 2026.
    fn asked(&self) -> Questions {
        ask(&self.contents(), Period::named("2026-11").unwrap())
    }

    fn sheet(&self) -> String {
        sheet(&self.contents(), Period::named("2026-11").unwrap())
    }
}

fn snapshot(files: BTreeMap<String, FileContent>) -> Snapshot {
    Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } }
}

fn ask(contents: &Contents, period: Period) -> Questions {
    let zone = contents.site.as_ref().unwrap().time_zone;
    let last_moment = Moment(start_of_day(period.after.0, zone).0 - Duration::seconds(1));
    question::ask(contents, &lives(contents), &Span { first: period.first, after: period.after, last_moment, zone })
}

fn sheet(contents: &Contents, period: Period) -> String {
    let site = contents.site.as_ref().unwrap();
    let end = start_of_day(period.after.0, site.time_zone);
    let lives = lives(contents);
    let basis = Basis {
        site,
        contents,
        lives: &lives,
        period,
        as_of: end,
        built_from: None,
        left_out: &[],
        seals: &[],
        also: &[],
    };
    report::markdown::render(&report::questions::build(&basis))
}

/// Returns a moment by the day of November 2026 (0 and less: days before it) and the time.
fn at(day: i64, time: &str) -> Moment {
    let first: Moment = format!("2026-11-01T{time}+01:00").parse().unwrap();
    later(first, (day - 1) * 86_400)
}

fn later(moment: Moment, seconds: i64) -> Moment {
    Moment(moment.0 + Duration::seconds(seconds))
}

/// Numbers without order: the high bits of a linear congruence (Knuth's constants for 64 bits).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

const HOLDS: &str = "low-pressure-leak: {held: 10 s, earlier: [{held: 4 s}]}, \
                     circuit-leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}, spare-oxygen-cylinder: {reading: 1500 psi}";

#[test]
fn a_check_is_not_shorter_than_the_times_held_in_it() {
    let mut logbook = logbook("");
    let start = |day| at(day, "07:00:05");
    let short = logbook.check(1, (start(2), later(start(2), 23)), "j-lindqvist", HOLDS);
    logbook.check(1, (start(3), later(start(3), 24)), "j-lindqvist", HOLDS);
    // Two people hold two things at once.
    logbook.check(1, (start(4), later(start(4), 12)), "j-lindqvist, m-okafor", HOLDS);
    let both = logbook.check(1, (start(5), later(start(5), 11)), "j-lindqvist, m-okafor", HOLDS);
    // Written to the minute, it may have lasted a minute longer.
    logbook.check(1, (at(6, "07:00:00"), at(6, "07:00:01")), "j-lindqvist", HOLDS);
    // Nothing held, so that there is nothing to look at.
    logbook.check(1, (start(7), later(start(7), 1)), "j-lindqvist", "suction: pass");
    // Before the month.
    logbook.check(1, (start(0), later(start(0), 1)), "j-lindqvist", HOLDS);
    let asked = logbook.asked().short;
    assert_eq!(asked.looked_at, 5);
    let found: Vec<_> = asked.questions.iter().map(|q| (q.path.clone(), q.lasted, q.held, q.people)).collect();
    assert_eq!(found, [(short, 23, 24, 1), (both, 11, 24, 2)]);
    let sheet = logbook.sheet();
    assert!(sheet.contains("Theatre 1: a check lasted 23 s, and the times held in it come to 24 s."), "{sheet}");
    assert!(sheet.contains("2 questions about the records of November 2026 are worth asking."), "{sheet}");
}

#[test]
fn nobody_checks_two_machines_at_once_alone() {
    let mut logbook = logbook("");
    let times = |day, from: &str, to: &str| (at(day, from), at(day, to));
    let mut check = |day, machine, from, to, by| logbook.check(machine, times(day, from, to), by, "suction: pass");
    let one = check(2, 1, "07:00:00", "07:10:00", "j-lindqvist");
    let other = check(2, 2, "07:08:30", "07:20:00", "j-lindqvist");
    // Ends that touch, and less than a minute.
    check(3, 1, "07:00:00", "07:10:00", "j-lindqvist");
    check(3, 2, "07:10:00", "07:20:00", "j-lindqvist");
    check(4, 1, "07:00:00", "07:10:00", "j-lindqvist");
    check(4, 2, "07:09:01", "07:20:00", "j-lindqvist");
    // Somebody else on one of them, nobody in common, and twice the same machine.
    check(5, 1, "07:00:00", "07:10:00", "j-lindqvist");
    check(5, 2, "07:05:00", "07:15:00", "j-lindqvist, m-okafor");
    check(6, 1, "07:00:00", "07:10:00", "j-lindqvist");
    check(6, 2, "07:05:00", "07:15:00", "m-okafor");
    check(7, 1, "07:00:00", "07:10:00", "j-lindqvist");
    check(7, 1, "07:05:00", "07:15:00", "j-lindqvist");
    // A service may be left for a while; a repair that waits is left.
    let service = "work: yearly\nnext-due: 2027-11-01";
    let served = logbook.record("service", 1, times(8, "13:00:00", "15:00:00"), "r-castellanos", service);
    let checked = logbook.check(2, times(8, "14:00:00", "14:10:00"), "r-castellanos", "suction: pass");
    let repair = "fault: records/2026/11/08/120000-theatre-1.fault.yaml\ncause: wear-or-age\nwork: changed\n\
                  waited: [{for: parts, time: 1 h}]";
    logbook.record("repair", 1, times(9, "13:00:00", "15:00:00"), "r-castellanos", repair);
    logbook.check(2, times(9, "14:00:00", "14:10:00"), "r-castellanos", "suction: pass");

    let places = logbook.asked().places;
    assert_eq!((places.asked.looked_at, places.with_others), (15, 1));
    let found: Vec<_> = places.asked.questions.iter().map(|q| (q.paths.clone(), q.overlap, q.certain)).collect();
    assert_eq!(found, [([one, other], 90, true), ([served, checked], 600, false)]);
    let sheet = logbook.sheet();
    let said = "Theatre 1 and Theatre 2: one person in two places for 1 min 30 s, Jonas Lindqvist.";
    assert!(sheet.contains(said), "{sheet}");
    assert!(sheet.contains("perhaps one person in two places for 10 min, Rosa Castellanos."), "{sheet}");
    assert!(sheet.contains("1 further overlap of two records"), "{sheet}");
}

#[test]
fn a_reading_is_not_finer_than_its_gauge() {
    let steps = "finest-step: {spare-oxygen-cylinder: 50 psi, circuit-leak: 1 cmH2O, pipeline-pressure: 1 psi, \
                 pipeline-pressure/air: 5 psi, oxygen: 0.1 %, battery: 0 min}\n\
                 before: [{until: 2026-11-09, finest-step: {spare-oxygen-cylinder: 1 psi}}]\n";
    let mut logbook = logbook(steps);
    // By a finer gauge, which was changed after this day.
    logbook.daily(1, 9, "spare-oxygen-cylinder: {reading: 1237 psi}");
    let path = logbook.daily(
        1,
        10,
        "spare-oxygen-cylinder: {reading: 1250 psi, earlier: [{reading: 1237 psi}]}, \
         circuit-leak: {from: 30 cmH2O, to: 29.5 cmH2O, in: 10.5 s}, \
         pipeline-pressure: {oxygen: {reading: 54 psi}, air: {reading: 54 psi}}, \
         oxygen: {reading: 20.90 %}, battery: {reading: 7 min}",
    );
    // Another unit was converted by somebody; a fault of the gauge does not show there.
    logbook.daily(1, 11, "spare-oxygen-cylinder: {reading: 8618 kPa}, suction: pass");
    let finer = logbook.asked().finer;
    let found: Vec<_> = finer
        .questions
        .iter()
        .map(|q| {
            (q.place.as_str(), q.readings.iter().map(|r| (r.0.to_string(), r.1.clone())).collect::<Vec<_>>(), q.of)
        })
        .collect();
    assert_eq!(
        found,
        [
            ("circuit-leak", vec![("29.5 cmH2O".to_owned(), path.clone())], 2),
            ("pipeline-pressure/air", vec![("54 psi".to_owned(), path.clone())], 1),
            ("spare-oxygen-cylinder", vec![("1237 psi".to_owned(), path)], 2),
        ]
    );
    assert_eq!(finer.looked_at, 8);
    let sheet = logbook.sheet();
    assert!(sheet.contains("Spare oxygen cylinder: 1 of 2 readings is no whole number of steps of 50 psi."), "{sheet}");
}

/// Files a year of daily checks of both machines, the last of it in November, with readings that come and go.
fn year(logbook: &mut Logbook, copied: impl Fn(i64) -> bool) -> Vec<String> {
    let mut numbers = Numbers(7);
    let mut paths = Vec::new();
    for machine in [1, 2] {
        let mut results = String::new();
        for day in -300..=28 {
            let fresh = format!(
                "spare-oxygen-cylinder: {{reading: {} psi}}, low-pressure-leak: {{held: {} s}}, \
                 circuit-leak: {{from: {} cmH2O, to: 29 cmH2O, in: 10 s}}, absorbent: {{choice: fresh}}",
                1500 + 50 * numbers.below(4),
                10 + numbers.below(4),
                30 + numbers.below(3),
            );
            let copies = machine == 1 && copied(day);
            if !copies {
                results = fresh;
            }
            let path = logbook.daily(machine, day, &results);
            if copies {
                paths.push(path);
            }
        }
    }
    paths
}

#[test]
fn a_week_of_copies_is_asked_about_and_an_honest_year_is_not() {
    let mut honest = logbook("");
    year(&mut honest, |_| false);
    let questions = honest.asked();
    assert_eq!(questions.count(), 0, "{questions:?}");
    let looked_at: Vec<_> = questions.copies.iter().map(|c| (c.what.machine.as_str(), c.what.looked_at)).collect();
    assert_eq!(looked_at, [("theatre-1", 28), ("theatre-2", 28)]);
    // Three independent values: 28 / (4 * 4 * 3) = 0.58 copies by chance, or a little more when the year had more.
    let expected = questions.copies[0].what.by_chance;
    assert!((0.5..1.2).contains(&expected), "{expected}");

    let mut logbook = logbook("");
    let paths = year(&mut logbook, |day| (10..=14).contains(&day));
    let questions = logbook.asked();
    let asked: Vec<_> = questions.copies.iter().filter(|c| c.asked()).collect();
    assert_eq!(asked.len(), 1, "{:?}", questions.copies);
    assert_eq!((asked[0].what.machine.as_str(), asked[0].what.in_a_row), ("theatre-1", 5));
    assert!(paths.iter().all(|path| asked[0].what.copies.iter().any(|copy| copy.path == *path && copy.varying == 3)));
    let sheet = logbook.sheet();
    assert!(sheet.contains("56 checks looked at"), "{sheet}");
    assert!(sheet.contains(&paths[0]) && !sheet.contains("Lindqvist"), "{sheet}");
}

#[test]
fn a_machine_that_always_repeats_itself_is_not_asked_about() {
    let mut logbook = logbook("");
    for day in -300..=28 {
        // A coarse gauge that moves once in a long while.
        let psi = 1500 + 50 * ((day + 400) / 60 % 3);
        let held = 10 + (day + 400) / 50 % 2;
        logbook.daily(
            1,
            day,
            &format!("spare-oxygen-cylinder: {{reading: {psi} psi}}, low-pressure-leak: {{held: {held} s}}"),
        );
    }
    let questions = logbook.asked();
    assert_eq!(questions.count(), 0, "{questions:?}");
    assert!(questions.copies[0].what.copies.len() >= 25, "{:?}", questions.copies);
    assert!(questions.copies[0].p > 0.3, "{:?}", questions.copies);
}

#[test]
fn without_a_history_no_repeat_is_weighed() {
    let mut logbook = logbook("");
    for day in 1..=15 {
        logbook.daily(1, day, "spare-oxygen-cylinder: {reading: 1500 psi}, low-pressure-leak: {held: 10 s}");
    }
    let questions = logbook.asked();
    assert_eq!((questions.copies.len(), questions.streaks.len(), questions.marks.len()), (0, 0, 0));
    let sheet = logbook.sheet();
    assert!(sheet.contains("Of what could be looked at in November 2026, nothing is worth asking about."), "{sheet}");
    // Nothing found among nothing looked at is no nought.
    assert!(sheet.contains("| Copies | too little data |"), "{sheet}");
    assert!(
        sheet.contains("No check could be looked at") && sheet.contains("No reading could be looked at"),
        "{sheet}"
    );
}

#[test]
fn a_gauge_that_sticks_is_asked_about_and_a_cylinder_that_empties_is_not() {
    let mut logbook = logbook("");
    let mut numbers = Numbers(11);
    for day in -300..=28 {
        let stuck = (6..=18).contains(&day);
        let held = if stuck { 12 } else { 10 + numbers.below(5) };
        // A full cylinder loses a little a day, and shows it in steps of 50 psi: eight days in a row or so the same.
        let psi = 1900 - (day + 308) % 100 * 7 / 50 * 50;
        logbook.daily(
            1,
            day,
            &format!("spare-oxygen-cylinder: {{reading: {psi} psi}}, low-pressure-leak: {{held: {held} s}}"),
        );
    }
    let streaks = logbook.asked().streaks;
    let told: Vec<_> = streaks.iter().map(|s| (s.what.place.as_str(), s.what.longest >= 7, s.asked())).collect();
    assert_eq!(told, [("low-pressure-leak", true, true), ("spare-oxygen-cylinder", true, false)], "{streaks:?}");
    let sheet = logbook.sheet();
    assert!(
        sheet.contains("Theatre 1, Leak before the outlet (Check before the first case): the same reading 1"),
        "{sheet}"
    );
}

#[test]
fn fifth_marks_are_compared_with_the_same_gauge_elsewhere() {
    let mut logbook = logbook("finest-step: {spare-oxygen-cylinder: 10 psi}\n");
    let mut numbers = Numbers(5);
    let mut reading = |rounds: bool| {
        let steps = 100 + numbers.below(60);
        format!("spare-oxygen-cylinder: {{reading: {} psi}}", 10 * if rounds { steps / 5 * 5 } else { steps })
    };
    for day in -100..=28 {
        // One machine's readings are rounded on two days of three.
        let (one, other) = (reading(day % 3 != 0), reading(false));
        logbook.daily(1, day, &one);
        logbook.daily(2, day, &other);
    }
    let marks = logbook.asked().marks;
    let told: Vec<_> = marks.iter().map(|m| (m.what.machine.as_str(), m.asked(), m.what.of > 100)).collect();
    assert_eq!(told, [("theatre-1", true, true), ("theatre-2", false, true)], "{marks:?}");
    assert!(
        logbook.sheet().contains("readings on a fifth step of 10 psi, on the other machines"),
        "{}",
        logbook.sheet()
    );

    // The same habit on all machines is the gauge's, not the machine's.
    let mut both = self::logbook("finest-step: {spare-oxygen-cylinder: 10 psi}\n");
    for day in -100..=28 {
        let (one, other) = (reading(day % 3 != 0), reading(day % 3 != 0));
        both.daily(1, day, &one);
        both.daily(2, day, &other);
    }
    assert!(both.asked().marks.iter().all(|m| !m.asked()));

    // One whose readings spread over a few marks only says nothing about its last digit.
    let mut narrow = self::logbook("finest-step: {spare-oxygen-cylinder: 10 psi}\n");
    for day in -100..=28 {
        narrow.daily(1, day, &format!("spare-oxygen-cylinder: {{reading: {} psi}}", 1500 + 50 * (day & 1)));
        narrow.daily(2, day, &format!("spare-oxygen-cylinder: {{reading: {} psi}}", 1510 + 10 * (day & 1)));
    }
    assert!(narrow.asked().marks.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(16) })]

    /// Whatever the numbers, there is a sheet and every chance is one.
    #[test]
    fn no_record_stops_the_sheet(
        checks in prop::collection::vec(
            (1u32..3, -60i64..29, prop::sample::select(vec![0i64, 1, 59, 600, 40_000_000]), 0usize..8, 0usize..8),
            0..60,
        ),
        step in 0usize..8,
    ) {
        const NUMBERS: [&str; 8] = [
            "0 psi", "-0 psi", "50 psi", "-50.5 psi", "999999999999999 psi", "0.0000000000001 psi", "20 kPa", "7 psi absolute",
        ];
        const TIMES: [&str; 8] = ["0 s", "10 s", "999999999999999 d", "0.1 s", "1 min", "10000 d", "2 h", "3 s"];
        let mut logbook = logbook(&format!("finest-step: {{spare-oxygen-cylinder: {}}}\n", NUMBERS[step]));
        for (machine, day, lasted, number, time) in checks {
            let to = at(day, "07:10:00");
            let path = record_path(to.0, &format!("theatre-{machine}"), "check");
            logbook.files.remove(&path);
            let results = format!("spare-oxygen-cylinder: {{reading: {}}}, low-pressure-leak: {{held: {}}}", NUMBERS[number], TIMES[time]);
            logbook.check(machine, (later(to, -lasted), to), "j-lindqvist", &results);
        }
        let questions = logbook.asked();
        let p = questions.copies.iter().map(|c| (c.p, c.adjusted)).chain(questions.streaks.iter().map(|s| (s.p, s.adjusted)));
        for (p, adjusted) in p.chain(questions.marks.iter().map(|m| (m.p, m.adjusted))) {
            prop_assert!((0.0..=1.0).contains(&p) && p <= adjusted && adjusted <= 1.0);
        }
        let sheet = logbook.sheet();
        prop_assert!(!sheet.contains("NaN") && !sheet.contains("inf "));
    }
}
