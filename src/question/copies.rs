//! Checks whose every number equals that of the check before it, of the same machine and procedure.
//!
//! Two things are odd: many copies, and several in a row. How likely that is by chance is learned from the same machine:
//! for each value, how often it stayed the same from one check to the next in the twelve months before. The chance of a
//! copy is the product over the values; where the history holds more copies than that explains, because values go
//! together, the share of copies in it counts instead.

use super::Span;
use super::numbers::{FEWEST_PAIRS, Pair, Series, series};
use crate::statistics::repeats::{at_least, in_a_row};
use crate::timeline::{Life, Lives};

/// The copies of one machine by one procedure.
#[derive(Clone, Debug, PartialEq)]
pub struct Copies {
    pub machine: String,
    pub procedure: String,
    /// Checks that could be set beside the one before, with at least two values that vary.
    pub looked_at: usize,
    /// How many copies chance makes in as many checks, at most.
    pub by_chance: f64,
    pub copies: Vec<Copy>,
    /// The most copies in a row.
    pub in_a_row: usize,
}

/// A check that equals the one before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Copy {
    pub path: String,
    /// How many of its values vary from check to check.
    pub varying: usize,
}

/// The fewest values that vary: a single one repeats too easily.
const FEWEST_VALUES: usize = 2;

/// Returns each machine and procedure with the chance of copies as odd as these.
pub fn looked_at(lives: &Lives, span: &Span) -> Vec<(Copies, f64)> {
    let mut all = Vec::new();
    for life in lives.values() {
        for series in series(life, span) {
            if let Some((copies, p)) = counted(life, &series) {
                all.push((copies, p));
            }
        }
    }
    all
}

/// Counts the copies of a series; nothing when no check of it can be looked at.
fn counted(life: &Life, series: &Series<'_>) -> Option<(Copies, f64)> {
    let before = share_before(series);
    let mut looked_at = 0;
    // A check that cannot be looked at cannot be a copy, and ends a row of them.
    let mut chances = Vec::new();
    let mut copies = Vec::new();
    let (mut row, mut longest) = (0, 0);
    for pair in &series.own {
        let chance = chance(series, pair);
        looked_at += usize::from(chance.is_some());
        chances.push(chance.map_or(0.0, |(_, chance)| chance.max(before)));
        match chance.filter(|_| pair.is_copy()) {
            Some((varying, _)) => {
                copies.push(Copy { path: pair.check.path().to_owned(), varying });
                row += 1;
                longest = longest.max(row);
            }
            None => row = 0,
        }
    }
    if looked_at == 0 {
        return None;
    }
    // Two looks at the same checks: the smaller chance counts twice (Bonferroni).
    let p = at_least(&chances, copies.len()).min(in_a_row(&chances, longest));
    let copies = Copies {
        machine: life.machine.clone(),
        procedure: series.procedure.to_owned(),
        looked_at,
        by_chance: chances.iter().sum(),
        copies,
        in_a_row: longest,
    };
    Some((copies, (2.0 * p).min(1.0)))
}

/// Returns the share of copies in the twelve months before; none when there were too few checks.
fn share_before(series: &Series<'_>) -> f64 {
    if series.earlier.len() < FEWEST_PAIRS {
        return 0.0;
    }
    series.earlier.iter().filter(|pair| pair.is_copy()).count() as f64 / series.earlier.len() as f64
}

/// Returns how many values of a check vary, and the chance that all of them stay as they were; nothing when the two
/// checks have not the same values, when too few vary, and when the machine's history is too short to tell.
fn chance(series: &Series<'_>, pair: &Pair<'_>) -> Option<(usize, f64)> {
    if !pair.values.keys().eq(pair.before.keys()) {
        return None;
    }
    let mut varying = 0;
    let mut chance = 1.0;
    for place in pair.values.keys() {
        let stayed = series.stayed(place, pair);
        if stayed.varies() {
            varying += 1;
            chance *= stayed.chance()?;
        }
    }
    (varying >= FEWEST_VALUES).then_some((varying, chance))
}
