//! Readings finer than their gauge: 1237 psi from a gauge that shows steps of 50 psi.
//!
//! Only where the machine's file states the smallest step that can be read off, and only in the unit in which the step
//! is stated: a reading that was converted is no reading of that scale. Failed attempts are looked at too.

use super::numbers::number;
use super::{Asked, Span};
use crate::contents::Contents;
use crate::record::{Answer, Quantity, place};
use crate::timeline::Lives;
use std::collections::BTreeMap;

/// The readings of one gauge of one machine that are no whole number of steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Finer {
    pub machine: String,
    pub place: String,
    pub step: Quantity,
    /// Reading and record of each.
    pub readings: Vec<(Quantity, String)>,
    /// How many readings of that gauge were looked at.
    pub of: usize,
}

/// Returns the readings of a span that are finer than their gauge; looked at are those whose gauge is known.
pub fn asked(contents: &Contents, lives: &Lives, span: &Span) -> Asked<Finer> {
    // A gauge that was changed is another one.
    let mut found: BTreeMap<(&str, String, String), Finer> = BTreeMap::new();
    for life in lives.values() {
        for done in span.checks(life) {
            let Some(machine) = contents.machine_of(&life.machine, &done.check) else { continue };
            for (item, each, result, _) in done.check.results.single() {
                let Some(step) = machine.finest_step(item, each) else { continue };
                for reading in result.earlier.iter().chain([&result.answer]).flat_map(readings) {
                    let Some(whole) = is_whole(reading, step) else { continue };
                    let place = place(item, each);
                    let finer = found.entry((&life.machine, place.clone(), step.to_string())).or_insert_with(|| {
                        Finer { machine: life.machine.clone(), place, step: step.clone(), readings: Vec::new(), of: 0 }
                    });
                    finer.of += 1;
                    if !whole {
                        finer.readings.push((reading.clone(), done.path().to_owned()));
                    }
                }
            }
        }
    }
    let looked_at = found.values().map(|finer| finer.of).sum();
    Asked { looked_at, questions: found.into_values().filter(|finer| !finer.readings.is_empty()).collect() }
}

/// Returns what was read off a gauge for an answer.
fn readings(answer: &Answer) -> Vec<&Quantity> {
    match answer {
        Answer::Reading(q) => vec![q],
        Answer::PressureHeld { from, to, .. } => vec![from, to],
        Answer::Held(_) | Answer::Pass | Answer::Fail | Answer::NotFitted | Answer::Choice(_) | Answer::NotDone(_) => {
            Vec::new()
        }
    }
}

/// Returns whether a reading is a whole number of steps; nothing when it cannot be told.
fn is_whole(reading: &Quantity, step: &Quantity) -> Option<bool> {
    let steps = in_steps(reading, step)?;
    Some((steps - steps.round()).abs() <= 1e-6 * steps.abs().max(1.0))
}

/// Returns a reading in steps of its gauge; nothing in another unit, and nothing for a step that is none.
pub(super) fn in_steps(reading: &Quantity, step: &Quantity) -> Option<f64> {
    let (value, size) = (number(reading)?, number(step)?);
    (reading.symbol() == step.symbol() && size > 0.0).then(|| value / size).filter(|steps| steps.abs() < 1e9)
}
