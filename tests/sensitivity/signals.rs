//! The signals of the report: how often they are wrong when nothing has changed, and how often they tell a change.
//!
//! A hospital is so many machines and checks a day, and the share of checks that bring a new fault to light. What one test
//! does is added up exactly; what a whole report does is played, with the report's own tests and levels.

use super::block::{Block, in_hundred, percent};
use super::chance::Chance;
use pinindex::report::machines;
use pinindex::report::signals::{FEWEST_FAULTS, LEVEL};
use pinindex::statistics::comparison::{holm, power_of_ratio, rates};
use pinindex::statistics::fisher::{fisher, power, quiet_counts};
use pinindex::statistics::gaps::last_span;

/// Working days of a month.
const DAYS: u64 = 22;

/// A hospital in which every check finds a new fault with the same probability.
#[derive(Clone, Copy)]
pub struct Hospital {
    pub machines: u64,
    pub checks_a_day: u64,
    pub share: f64,
}

/// A small hospital and a large one, with few, some and many faults.
pub fn hospitals() -> Vec<Hospital> {
    let sizes = [(6, 10), (40, 364)];
    let of = |(machines, checks_a_day)| [0.005, 0.01, 0.02].map(|share| Hospital { machines, checks_a_day, share });
    sizes.into_iter().flat_map(of).collect()
}

impl Hospital {
    fn checks(self, months: u64) -> u64 {
        months * DAYS * self.checks_a_day
    }

    /// Returns the exact chance of a signal when the last months, of thirteen, have `times` the faults.
    pub fn told(self, months: u64, times: f64) -> f64 {
        power(self.checks(months), self.checks(13 - months), self.share, times, LEVEL).unwrap()
    }

    /// Returns the exact chance that a machine with `times` the faults of the others is told, all being asked about.
    pub fn machine_told(self, times: f64) -> f64 {
        let days = (12 * DAYS) as f64;
        let rate = self.share * self.checks_a_day as f64 / self.machines as f64;
        let others = self.machines as f64 - 1.0;
        power_of_ratio(rate, days, days * others, times, machines::LEVEL / self.machines as f64).unwrap()
    }

    fn words(self) -> String {
        let Hospital { machines, share, .. } = self;
        format!("{machines} machines, {} checks a month, {:.1} % find a fault", self.checks(1), share * 100.0)
    }
}

/// Returns the table of single tests.
pub fn tests_block(hospitals: &[Hospital]) -> Block {
    let row = |one: &Hospital| {
        let mut cells = vec![one.words(), percent(one.told(1, 1.0)), percent(one.told(3, 1.0))];
        cells.extend([2.0, 3.0, 5.0].map(|times| in_hundred(one.told(1, times))));
        cells.extend([2.0, 3.0].map(|times| in_hundred(one.told(3, times))));
        cells.extend([2.0, 3.0, 5.0].map(|times| in_hundred(one.machine_told(times))));
        cells
    };
    Block {
        title: "What a comparison tells, and how often it is wrong",
        meaning: "In a small hospital a month with twice the faults is told 3 to 18 times in 100, one with five times the faults 47 to 99 times: what is not told is not absent. In a large one a month with twice the faults is told 99 times in 100. False alarms stay below the 0.5 % they are allowed. Added up exactly: a month against the twelve before it, three months against the ten before, a machine over twelve months against all others.".to_owned(),
        columns: vec![
            "hospital",
            "false: month",
            "false: 3 months",
            "month 2×",
            "3×",
            "5×",
            "3 months 2×",
            "3×",
            "machine 2×",
            "3×",
            "5×",
        ],
        rows: hospitals.iter().map(row).collect(),
    }
}

/// What a report signals.
#[derive(Clone, Copy, Default)]
struct Signalled {
    month: bool,
    three_months: bool,
    last_three: bool,
    machines: bool,
    /// The false alarms the report says are to be expected at most.
    expected: f64,
}

/// What came of many reports, as shares of them.
#[derive(Clone, Copy, Default)]
pub struct Reports {
    pub month: f64,
    pub three_months: f64,
    pub last_three: f64,
    pub machines: f64,
    pub any: f64,
    /// Signals a report.
    pub signals: f64,
    /// False alarms a report says are to be expected at most.
    pub expected: f64,
}

/// Plays so many reports of a hospital whose last month has `times` the faults of the twelve before it.
pub fn play(hospital: Hospital, times: f64, reports: u32) -> Reports {
    let mut sum = Reports::default();
    for game in 0..u64::from(reports) {
        let one = report(hospital, times, &mut Chance::of(game));
        let told = [one.month, one.three_months, one.last_three, one.machines].map(|told| f64::from(u8::from(told)));
        sum.month += told[0];
        sum.three_months += told[1];
        sum.last_three += told[2];
        sum.machines += told[3];
        sum.any += told.iter().fold(0.0, |any, told| told.max(any));
        sum.signals += told.iter().sum::<f64>();
        sum.expected += one.expected;
    }
    let all = f64::from(reports);
    Reports {
        month: sum.month / all,
        three_months: sum.three_months / all,
        last_three: sum.last_three / all,
        machines: sum.machines / all,
        any: sum.any / all,
        signals: sum.signals / all,
        expected: sum.expected / all,
    }
}

/// Plays thirteen months and asks what the report of the last one asks.
fn report(hospital: Hospital, times: f64, chance: &mut Chance) -> Signalled {
    let (before, last) = (hospital.checks(12), hospital.checks(1));
    let mut found = chance.successes(before, hospital.share);
    found.extend(chance.successes(last, hospital.share * times).into_iter().map(|check| check + before));
    // Each fault as the working day it was found on, and its machine.
    let faults: Vec<(u64, usize)> =
        found.iter().map(|check| (check / hospital.checks_a_day, chance.below(hospital.machines as usize))).collect();
    let mut signalled = Signalled::default();
    let mut compare = |months: u64| {
        let now = faults.iter().filter(|(day, _)| *day >= (13 - months) * DAYS).count() as u64;
        let (all, checks) = (faults.len() as u64, [hospital.checks(months), hospital.checks(13 - months)]);
        if all < FEWEST_FAULTS {
            return false;
        }
        signalled.expected += quiet_counts(all, checks[0] + checks[1], checks[0], LEVEL).unwrap().false_alarm;
        fisher(now, checks[0], all - now, checks[1]).unwrap().two_sided < LEVEL
    };
    (signalled.month, signalled.three_months) = (compare(1), compare(3));
    let year: Vec<(u64, usize)> =
        faults.iter().filter(|(day, _)| *day >= DAYS).map(|(day, machine)| (day - DAYS, *machine)).collect();
    if let Some(p) = last_three(&year, hospital.machines) {
        signalled.expected += LEVEL;
        signalled.last_three = p < LEVEL && year.last().is_some_and(|(day, _)| *day >= 11 * DAYS);
    }
    signalled.expected += machines::LEVEL;
    signalled.machines = any_machine(&year, hospital.machines);
    signalled
}

/// Returns the chance of so short a span of the last three faults of a year, both its end days in it.
fn last_three(year: &[(u64, usize)], machines: u64) -> Option<f64> {
    let faults_before = (year.len() as u64).checked_sub(3).filter(|before| *before >= FEWEST_FAULTS)?;
    let (last, before) = (year.last()?.0, year[faults_before as usize - 1].0);
    let span = machines * (last - before + 1);
    last_span(3, span as f64, faults_before, (machines * (before + 1)) as f64)
}

/// Returns whether any machine of a year differs from the others, all being asked about.
fn any_machine(year: &[(u64, usize)], machines: u64) -> bool {
    let days = (12 * DAYS) as f64;
    let p = |machine: usize| {
        let own = year.iter().filter(|(_, of)| *of == machine).count() as u64;
        rates(own, days, year.len() as u64 - own, days * (machines as f64 - 1.0), 0.95).unwrap().p
    };
    let p: Vec<f64> = (0..machines as usize).map(p).collect();
    holm(&p).iter().any(|p| *p < machines::LEVEL)
}

/// Returns the table of whole reports: nothing changed, and the last month with three times the faults, all signals
/// together.
pub fn reports_block(rows: &[(Hospital, Reports, Reports)], reports: u32) -> Block {
    let row = |(hospital, quiet, tripled): &(Hospital, Reports, Reports)| {
        vec![
            hospital.words(),
            percent(quiet.month),
            percent(quiet.three_months),
            percent(quiet.last_three),
            percent(quiet.machines),
            percent(quiet.any),
            format!("{:.3}", quiet.signals),
            format!("{:.3}", quiet.expected),
            in_hundred(tripled.any),
        ]
    };
    Block {
        title: "What a whole report signals when nothing has changed",
        meaning: format!(
            "Where nothing has changed, at most 5 of 100 reports have any signal, most of them from comparing the machines, and there are fewer signals than page one says are to be expected at most. The last three faults never signal in a large hospital, where three faults in a day are usual. {reports} reports a row, so that a share below 1 % may be off by 0.4, any other by 2."
        ),
        columns: vec![
            "hospital",
            "month",
            "3 months",
            "last 3 faults",
            "machines",
            "any",
            "signals a report",
            "it says at most",
            "any, last month 3×",
        ],
        rows: rows.iter().map(row).collect(),
    }
}
