//! The span of the last three faults, and the time since: did they come faster than those before?
//!
//! Time is counted in machine-days, over the twelve months to the end of the period. Takes the tally and gives numbers and
//! sentences.

use super::basis::Basis;
use super::period::Period;
use super::signals::{FEWEST_FAULTS, LEVEL, chance, times_in_hundred};
use super::tally::Tally;
use crate::diagnostic::counted;
use crate::record::Date;
use crate::statistics::gaps;

/// The faults whose span is looked at.
const LAST: u64 = 3;

/// The span of the last faults, and the time since.
#[derive(Clone, Debug, PartialEq)]
pub struct LastFaults {
    /// The day of the fault before the last three, or the first day looked at when there is none, and that of the last.
    pub from: Date,
    pub to: Date,
    pub machine_days: u64,
    /// The chance of so short a span at the rate before; nothing when there were too few faults before.
    pub p: Option<f64>,
    /// Machine-days since the last fault.
    pub since: u64,
    /// The chance of so long a time without a fault at the rate before.
    pub quiet_p: Option<f64>,
}

/// Returns the span of the last three faults of the twelve months to the end of the period.
///
/// Time is counted in machine-days. Both the day before the span and its last day are in it, so that faults that share a
/// day do not make it shorter than it was.
pub fn last_faults(basis: &Basis<'_>, tally: &Tally<'_>) -> Option<LastFaults> {
    let span = tally.covered(basis.period.twelve_months())?;
    let by_day = tally.machine_days_by_day(span);
    if by_day.is_empty() {
        return None;
    }
    let elapsed = |until: Date| by_day.range(..=until).map(|(_, days)| *days).sum::<u64>();
    let known = |case: &&crate::timeline::Case| tally.is_known(&case.machine, span);
    let days: Vec<Date> = tally.faults_of(span, None).filter(known).map(|case| basis.day(case.found)).collect();
    let n = days.len();
    let last = *days.last()?;
    n.checked_sub(LAST as usize)?;
    // The first gap of the three begins with the fault before them.
    let before = n.checked_sub(LAST as usize + 1).and_then(|at| days.get(at)).copied();
    let all = elapsed(span.last());
    let until_last = elapsed(last);
    let until_before = before.map_or(0, elapsed);
    let machine_days =
        until_last - before.map_or(0, |day| elapsed(day).saturating_sub(by_day.get(&day).copied().unwrap_or(0)));
    let faults_before = n as u64 - LAST;
    let enough = faults_before >= FEWEST_FAULTS && until_before > 0;
    let p = enough.then(|| gaps::last_span(LAST, machine_days as f64, faults_before, until_before as f64)).flatten();
    let quiet_p = (n as u64 >= FEWEST_FAULTS && until_last > 0)
        .then(|| gaps::unfinished_gap((all - until_last) as f64, n as u64, until_last as f64))
        .flatten();
    Some(LastFaults { from: before.unwrap_or(span.first), to: last, machine_days, p, since: all - until_last, quiet_p })
}

impl LastFaults {
    /// Returns it in sentences.
    pub fn sentences(&self) -> String {
        let span = match self.p {
            Some(p) if p < LEVEL => format!(
                "The last three faults, however found, came within {} (from the fault before them, {}, to {}), faster than the rate before explains ({}).",
                counted(self.machine_days as usize, "machine-day"),
                self.from,
                self.to,
                chance(p)
            ),
            Some(p) => format!(
                "The last three faults, however found, came within {} (from the fault before them, {}, to {}); at the rate before, a span as short is seen {}.",
                counted(self.machine_days as usize, "machine-day"),
                self.from,
                self.to,
                times_in_hundred(p)
            ),
            None => format!(
                "Too few faults came before the last three ({} to {}) to say whether those came fast: {FEWEST_FAULTS} are needed.",
                self.from, self.to
            ),
        };
        let since = match self.quiet_p {
            Some(p) => format!(
                " Since the last fault {} have passed; as long a time without one is seen {} when nothing has changed.",
                counted(self.since as usize, "machine-day"),
                times_in_hundred(p)
            ),
            None => format!(" Since the last fault {} have passed.", counted(self.since as usize, "machine-day")),
        };
        format!("{span}{since}")
    }

    /// Returns whether it calls for a look: the faults came fast, and the last of them in the period.
    pub fn signals(&self, period: Period) -> bool {
        self.p.is_some_and(|p| p < LEVEL) && period.contains(self.to)
    }
}
