//! Faults in time: whether the last ones came faster than the ones before them, and whether the
//! quiet since the last one is longer than chance explains.
//!
//! Takes counts with the time they were seen in, gives probabilities under an unchanged rate. How uncertain the rate itself is, is in every answer: with few faults before,
//! hardly anything can be said. Leaves out single gaps that are too short: at one fault in 75 checks
//! even two failed checks running are no signal, so the last three or so are looked at together.

use super::binomial::upper_tail;
use super::special::{LARGEST_SHAPE_SUM, Share};

/// Returns the probability that the `last` gaps together last no longer than `span`, if the rate is
/// still that of the `before` faults in the time before.
///
/// `span` is the time from the fault where those gaps begin to the last fault, `exposure_before` the
/// time from the start of the record to the fault where they begin, which is the last of the
/// `before`. If faults come at random at a steady rate, the share span / (span + exposure) has the
/// beta distribution with shapes `last` and `before`, whatever the rate: the answer is I_share(last,
/// before). This is exact when it is asked at the time of the last fault (two independent gamma
/// times, D. R. Cox and P. A. W. Lewis 1966, "The Statistical Analysis of Series of Events"), and
/// also at any later time set beforehand, since the faults then lie like uniform order statistics.
/// With a long time before it becomes the Erlang probability at the known rate, which takes the rate
/// for certain and so signals too readily.
///
/// Any unit of time, the same for both. Times that are known to the day only: add one day to the
/// span, so that two faults on one day are not taken for simultaneous. None when a count is 0, a time is not above 0 and finite, or there are a
/// thousand million faults.
///
/// ```
/// use pinindex::statistics::gaps::last_span;
///
/// // Two gaps within 10 days after one fault in the first 90 days: 1 - (1 - 0.1^2) = 0.01.
/// assert!((last_span(2, 10.0, 1, 90.0).unwrap() - 0.01).abs() < 1e-15);
/// assert_eq!(last_span(2, 10.0, 0, 90.0), None);
/// ```
pub fn last_span(last: u64, span: f64, before: u64, exposure_before: f64) -> Option<f64> {
    let share = Share::of_parts(span, exposure_before)?;
    if last == 0 || before == 0 {
        return None;
    }
    let trials = last.checked_add(before).filter(|&sum| sum < LARGEST_SHAPE_SUM)? - 1;
    upper_tail(last, trials, share)
}

/// Returns the probability of at least as long a time without a fault as the one that is still
/// running, if the rate is still that of the `faults` before.
///
/// `gap` is the time since the last fault, `exposure` the time from the start of the record to that
/// fault, in which there were `faults` with it. (exposure / (exposure + gap))^faults, the upper tail
/// of a Pareto distribution: the gap is exponential, and the rate has been learnt from that many
/// faults. It is exact at any time set beforehand, as in [`last_span`]. With many faults it becomes
/// exp(-gap / mean gap). An unfinished gap can only turn out longer, so this side is all it can
/// show.
///
/// None as in [`last_span`], but a gap of 0 gives 1.
///
/// ```
/// use pinindex::statistics::gaps::unfinished_gap;
///
/// // Three faults in 60 days, then 60 days without: (1/2)^3.
/// assert!((unfinished_gap(60.0, 3, 60.0).unwrap() - 0.125).abs() < 1e-15);
/// ```
pub fn unfinished_gap(gap: f64, faults: u64, exposure: f64) -> Option<f64> {
    let sensible = gap >= 0.0 && exposure > 0.0 && (gap + exposure).is_finite();
    let ratio = gap / exposure;
    (sensible && ratio.is_finite() && faults > 0 && faults < LARGEST_SHAPE_SUM)
        .then(|| libm::exp(-(faults as f64) * libm::log1p(ratio)))
}

#[cfg(test)]
mod tests;
