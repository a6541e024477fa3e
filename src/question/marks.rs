//! Readings on every fifth mark of a gauge: 50, 55, 60 where the gauge shows 50, 51, 52.
//!
//! Rounding is a habit of the eye and no fault, and a dial with bold marks invites it. So a machine is compared with the
//! same item on the other machines whose gauge has the same step, never with an even spread. Only where the readings
//! spread over several marks; a reading counts once until it changes, because one that stays says nothing new.

use super::Span;
use super::finer::in_steps;
use crate::contents::Contents;
use crate::record::{Answer, place};
use crate::statistics::fisher::fisher;
use crate::timeline::{Life, Lives};
use std::collections::BTreeMap;

/// The readings of one place of one machine beside those of the other machines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marks {
    pub machine: String,
    pub place: String,
    /// The step of the gauges.
    pub step: String,
    /// Readings on a fifth mark, and all.
    pub on_mark: u64,
    pub of: u64,
    pub others_on_mark: u64,
    pub others: u64,
}

/// The fewest readings of a machine, and of the others together.
const FEWEST: u64 = 50;

/// The smallest spread of the readings, as a standard deviation in steps; below it the last digit is not free.
const SPREAD: f64 = 5.0;

/// Returns each machine and place with the chance of at least such a share on the fifth marks, over the span and the
/// twelve months before it.
pub fn looked_at(contents: &Contents, lives: &Lives, span: &Span) -> Vec<(Marks, f64)> {
    // By place and step: for each machine its readings in steps, in order.
    let mut gauges: BTreeMap<(String, String), BTreeMap<&str, Vec<i64>>> = BTreeMap::new();
    for life in lives.values() {
        for (key, readings) in readings(contents, life, span) {
            gauges.entry(key).or_default().insert(&life.machine, readings);
        }
    }
    let mut all = Vec::new();
    for ((place, step), machines) in &gauges {
        let total =
            machines.values().map(|readings| on_marks(readings)).fold((0, 0), |sum, m| (sum.0 + m.0, sum.1 + m.1));
        for (machine, readings) in machines {
            let (on_mark, of) = on_marks(readings);
            let (others_on_mark, others) = (total.0 - on_mark, total.1 - of);
            if of < FEWEST || others < FEWEST || spread(readings) < SPREAD {
                continue;
            }
            let Some(test) = fisher(on_mark, of, others_on_mark, others) else { continue };
            let marks = Marks {
                machine: (*machine).to_owned(),
                place: place.clone(),
                step: step.clone(),
                on_mark,
                of,
                others_on_mark,
                others,
            };
            all.push((marks, test.greater));
        }
    }
    all
}

/// Returns the readings of a machine in steps, by place and step.
fn readings(contents: &Contents, life: &Life, span: &Span) -> BTreeMap<(String, String), Vec<i64>> {
    let mut all: BTreeMap<(String, String), Vec<i64>> = BTreeMap::new();
    let counts = |c: &&crate::timeline::CheckDone| span.holds(c.check.finished) || span.precedes(c.check.finished);
    for done in life.checks.iter().filter(counts) {
        let Some(machine) = contents.machine_of(&life.machine, &done.check) else { continue };
        for (item, each, result, _) in done.check.results.single() {
            let (Answer::Reading(q), Some(step)) = (&result.answer, machine.finest_step(item, each)) else { continue };
            let Some(steps) = in_steps(q, step) else { continue };
            let readings = all.entry((place(item, each), step.to_string())).or_default();
            // Readings are far below what a float holds in whole numbers.
            let steps = steps.round() as i64;
            if readings.last() != Some(&steps) {
                readings.push(steps);
            }
        }
    }
    all
}

fn on_marks(readings: &[i64]) -> (u64, u64) {
    (readings.iter().filter(|steps| *steps % 5 == 0).count() as u64, readings.len() as u64)
}

fn spread(readings: &[i64]) -> f64 {
    let n = readings.len() as f64;
    if n < 2.0 {
        return 0.0;
    }
    let mean = readings.iter().map(|r| *r as f64).sum::<f64>() / n;
    let squared = |reading: &i64| {
        let off = *reading as f64 - mean;
        off * off
    };
    (readings.iter().map(squared).sum::<f64>() / (n - 1.0)).sqrt()
}
