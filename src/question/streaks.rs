//! Streaks: the same reading many checks in a row, on a gauge that otherwise moves.
//!
//! The chance is learned twice, and the larger one counts. From the machine's own twelve months before: how often the
//! reading stayed the same from one check to the next, which suits a cylinder that empties slowly. From the order of the
//! span's own readings: how often a shuffle of them has such a streak. A gauge that hardly moves has few different
//! readings, and neither way finds anything in it.

use super::Span;
use super::numbers::{Pair, Value, series};
use crate::statistics::pattern::longest_run_p;
use crate::statistics::repeats::in_a_row;
use crate::timeline::Lives;
use std::collections::{BTreeMap, BTreeSet};

/// The longest streak of one place of one machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Streak {
    pub machine: String,
    pub procedure: String,
    pub place: String,
    /// How many checks of the span have a number there.
    pub looked_at: usize,
    pub longest: usize,
    /// The records of the first and the last check of the longest streak.
    pub from: String,
    pub until: String,
}

/// The fewest readings in which a streak is looked for.
const FEWEST: usize = 10;

/// Returns each series of readings with the chance of a streak at least as long.
pub fn looked_at(lives: &Lives, span: &Span) -> Vec<(Streak, f64)> {
    let mut all = Vec::new();
    for life in lives.values() {
        for series in series(life, span) {
            let places: BTreeSet<&String> = series.own.iter().flat_map(|pair| pair.values.keys()).collect();
            for place in places {
                let readings: Vec<(&Value, &Pair<'_>)> =
                    series.own.iter().filter_map(|pair| Some((pair.values.get(place)?, pair))).collect();
                // Enough of a history, or nothing is known of how the gauge moves.
                let Some(repeat) = series.stayed_before(place).chance() else { continue };
                let mut counts: BTreeMap<&Value, u64> = BTreeMap::new();
                for (value, _) in &readings {
                    *counts.entry(value).or_default() += 1;
                }
                if readings.len() < FEWEST || counts.len() < 2 {
                    continue;
                }
                let (longest, first) = longest(&readings.iter().map(|(value, _)| *value).collect::<Vec<_>>());
                let counts: Vec<u64> = counts.into_values().collect();
                let by_order = longest_run_p(&counts, longest as u64).unwrap_or(1.0);
                let by_history = in_a_row(&vec![repeat; readings.len() - 1], longest - 1);
                let path =
                    |at: usize| readings.get(at).map(|(_, pair)| pair.check.path().to_owned()).unwrap_or_default();
                let streak = Streak {
                    machine: life.machine.clone(),
                    procedure: series.procedure.to_owned(),
                    place: place.clone(),
                    looked_at: readings.len(),
                    longest,
                    from: path(first),
                    until: path(first + longest - 1),
                };
                all.push((streak, by_history.max(by_order)));
            }
        }
    }
    all
}

/// Returns the length of the longest streak and where it begins.
fn longest(values: &[&Value]) -> (usize, usize) {
    let (mut best, mut first, mut begins) = (0, 0, 0);
    for at in 0..values.len() {
        if at > 0 && values.get(at) != values.get(at - 1) {
            begins = at;
        }
        if at + 1 - begins > best {
            (best, first) = (at + 1 - begins, begins);
        }
    }
    (best, first)
}
