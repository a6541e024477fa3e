//! How long all figures of a year and the questions about it take, and how much memory: 40 machines and 100,000 checks,
//! from typed records in memory.
//!
//! The records are those of the demo, with every check that no fault names written again some minutes later until there
//! are enough. Prints times and what they are to each other; asserts nothing, because a busy machine is no fault. Where the
//! system tells how long the program was on a processor, that is the time; elsewhere it is that of the clock.
//! `cargo bench --bench figures`, or `cargo bench --bench figures -- 20000` for another number of checks.

#![expect(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a bench reads the clock, prints, and stops at what it did not expect"
)]

use pinindex::contents::{self, Contents, Filed};
use pinindex::demo::{Settings, plan};
use pinindex::logbook::{FileContent, Snapshot, Source, belongs, record_path};
use pinindex::question::{self, Span};
use pinindex::record::moment::start_of_day;
use pinindex::record::{Body, Date, Moment, Record};
use pinindex::report::{self, Basis, Period};
use pinindex::timeline::{Lives, lives};
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::{Duration, Instant};

const MACHINES: usize = 40;
const CHECKS: usize = 100_000;
const RUNS: usize = 7;

fn main() {
    // Cargo hands `--bench` on, and whatever else was asked for.
    let checks = std::env::args().skip(1).find_map(|argument| argument.parse().ok()).unwrap_or(CHECKS);
    let whole = records(checks);
    println!("{} checks of {MACHINES} machines in a year", count(&whole));
    memory("records in memory");
    let Times { lives, report, questions } = figures(&whole, true);
    println!("{:>16} {:>10} {:>10}", "", "minimum", "median");
    let both: Vec<Duration> = lives.iter().zip(&report).map(|(a, b)| *a + *b).collect();
    let stages = [("lives", &lives), ("report", &report), ("lives and report", &both), ("questions", &questions)];
    for (stage, times) in stages {
        println!("{stage:>16} {:>10.1?} {:>10.1?}", minimum(times), median(times));
    }
    println!("report to lives: {:.2}", ratio(&report, &lives));
    drop(whole);
    let half = figures(&records(checks / 2), false);
    println!(
        "all to half of the checks (2 is linear): lives {:.2}, report {:.2}, questions {:.2}",
        ratio(&lives, &half.lives),
        ratio(&report, &half.report),
        ratio(&questions, &half.questions)
    );
}

/// How long each stage took, run by run.
#[derive(Default)]
struct Times {
    lives: Vec<Duration>,
    report: Vec<Duration>,
    questions: Vec<Duration>,
}

/// Makes lives, report and questions again and again, and returns how long each took.
fn figures(contents: &Contents, tell: bool) -> Times {
    let mut times = Times::default();
    for run in 0..RUNS {
        let watch = Watch::start();
        let lives = lives(contents);
        times.lives.push(watch.elapsed());
        let watch = Watch::start();
        let report = year(contents, &lives);
        times.report.push(watch.elapsed());
        let watch = Watch::start();
        let asked = questions(contents, &lives);
        times.questions.push(watch.elapsed());
        if run == 0 && tell {
            memory("with lives and report");
            println!("{} figures in {} sections", report.figures.len(), report.sections.len());
            println!("{} machines and procedures looked at for copies", asked.copies.len());
        }
    }
    times
}

fn questions(contents: &Contents, lives: &Lives) -> question::Questions {
    let zone = contents.site.as_ref().unwrap().time_zone;
    let (first, after) = (date("2026-01-01"), date("2027-01-01"));
    question::ask(contents, lives, &Span { first, after, last_moment: start_of_day(after.0, zone), zone })
}

fn year(contents: &Contents, lives: &Lives) -> report::Report {
    let site = contents.site.as_ref().unwrap();
    let period = Period { first: date("2026-01-01"), after: date("2027-01-01") };
    let as_of = start_of_day(period.after.0, site.time_zone);
    report::build(&Basis {
        site,
        contents,
        lives,
        period,
        as_of,
        built_from: None,
        left_out: &[],
        seals: &[],
        also: &[],
    })
}

/// Returns the demo of a year with as many checks as are wanted, or a few less.
fn records(checks: usize) -> Contents {
    // Any number will do for the random numbers to start from; the seed is in no figure.
    let settings = Settings { machines: MACHINES, months: 12, seed: 1, last_day: date("2026-12-31") }; // random numbers
    let plan = plan(&settings);
    let files = plan.files.into_iter().filter(|(path, _)| belongs(path));
    let files = files.map(|(path, text)| (path, FileContent::Bytes(text.into_bytes().into()))).collect();
    let source = Source::WorkingFiles { head: None, uncommitted: false };
    let (mut contents, _) = contents::read(&Snapshot { files, source }, &mut |_| {});

    let mut taken: BTreeSet<String> = plan.records.iter().map(|planned| planned.path.clone()).collect();
    let named: BTreeSet<String> =
        plan.records.iter().flat_map(|p| p.record.references()).map(|(_, path, _)| path.to_owned()).collect();
    let is_check = |record: &Record| matches!(record.body, Body::Check(_));
    let repeated: Vec<&Record> = plan
        .records
        .iter()
        .filter(|p| is_check(&p.record) && !named.contains(&p.path) && p.record.common.corrects.is_none())
        .map(|p| &p.record)
        .collect();
    let mut missing = checks.saturating_sub(plan.records.iter().filter(|p| is_check(&p.record)).count());
    let mut more = Vec::new();
    for round in 1.. {
        if missing == 0 || repeated.is_empty() {
            break;
        }
        for record in repeated.iter().take(missing) {
            let record = later(record, chrono::Duration::minutes(23 * round));
            let path = record_path(record.when().0, &record.common.machine, "check");
            if taken.insert(path.clone()) {
                more.push(Filed { path, record });
            }
        }
        missing = missing.saturating_sub(repeated.len());
    }
    contents.add(plan.records.into_iter().map(|p| Filed { path: p.path, record: p.record }).chain(more));
    contents
}

/// Returns the same record of a later time.
fn later(record: &Record, by: chrono::Duration) -> Record {
    let mut record = record.clone();
    record.common.recorded = Moment(record.common.recorded.0 + by);
    if let Body::Check(check) = &mut record.body {
        let check = Arc::make_mut(check);
        check.started = Moment(check.started.0 + by);
        check.finished = Moment(check.finished.0 + by);
    }
    record
}

fn count(contents: &Contents) -> usize {
    contents.records.iter().filter(|filed| matches!(filed.record.body, Body::Check(_))).count()
}

/// Prints how much memory the program has and had at most, where the system tells.
fn memory(when: &str) {
    let Ok(status) = std::fs::read_to_string("/proc/self/status") else { return };
    let of = |name: &str| status.lines().find_map(|line| line.strip_prefix(name)).map_or("unknown", str::trim);
    println!("memory, {when}: {}, at most {}", of("VmRSS:"), of("VmHWM:"));
}

/// A stopwatch that stands still while another program has the processor.
struct Watch {
    began: Instant,
    used: Option<Duration>,
}

impl Watch {
    fn start() -> Watch {
        Watch { began: Instant::now(), used: on_processor() }
    }

    fn elapsed(&self) -> Duration {
        match (on_processor(), self.used) {
            (Some(now), Some(then)) => now.saturating_sub(then),
            _ => self.began.elapsed(),
        }
    }
}

/// Returns how long the program was on a processor so far, where the system tells.
fn on_processor() -> Option<Duration> {
    let text = std::fs::read_to_string("/proc/self/schedstat").ok()?;
    text.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}

fn minimum(times: &[Duration]) -> Duration {
    times.iter().copied().min().unwrap_or_default()
}

fn median(times: &[Duration]) -> Duration {
    let mut times = times.to_vec();
    times.sort();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

fn ratio(a: &[Duration], b: &[Duration]) -> f64 {
    minimum(a).as_secs_f64() / minimum(b).as_secs_f64()
}

fn date(text: &str) -> Date {
    text.parse().unwrap()
}
