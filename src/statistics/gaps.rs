//! Faults in time: whether the last ones came faster than the ones before them, and whether the
//! quiet since the last one is longer than chance explains.
//!
//! Takes counts with the time or the number of checks they were seen in, gives probabilities under
//! an unchanged rate. How uncertain the rate itself is, is in every answer: with few faults before,
//! hardly anything can be said. Leaves out single gaps that are too short: at one fault in 75 checks
//! even two failed checks running are no signal, so the last three or so are looked at together.

use super::binomial::upper_tail;
use super::outcomes::{FAR, Outcomes};
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
/// span, so that two faults on one day are not taken for simultaneous; or ask
/// [`last_span_of_checks`]. None when a count is 0, a time is not above 0 and finite, or there are a
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

/// Returns the probability that the `last` gaps together take no more than `span` checks, if checks
/// still fail as often as the `before` ones did in the checks before.
///
/// The twin of [`last_span`] for checks instead of time. `span` counts the checks after the failed one
/// where the gaps begin, up to and with the last failed one; `checks_before` those from the start of
/// the record up to and with the failed one where they begin. If every order of good and failed
/// checks is equally likely, the failed ones but the last lie like a random draw among the checks
/// before the last failed one, so at least `last` of them lie in the `span` places before it with a
/// hypergeometric probability. With a long record before it becomes the negative binomial
/// probability at the known share.
///
/// None when a count is 0, more failed than were done, or there are a thousand million checks.
///
/// ```
/// use pinindex::statistics::gaps::last_span_of_checks;
///
/// // One failed check, then two more that end right away: of the 3 ways to place the first two in
/// // the first 3 of 4 checks, one is that close.
/// assert!((last_span_of_checks(2, 2, 1, 2).unwrap() - 1.0 / 3.0).abs() < 1e-15);
/// ```
pub fn last_span_of_checks(last: u64, span: u64, before: u64, checks_before: u64) -> Option<f64> {
    let total = span.checked_add(checks_before).filter(|&total| total < LARGEST_SHAPE_SUM)?;
    if last == 0 || before == 0 || last > span || before > checks_before {
        return None;
    }
    Some(Outcomes::hypergeometric(total - 1, last + before - 1, span, FAR).at_least(last))
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

/// Returns the probability of at least as many good checks running as there now are, if checks still
/// fail as often as the `failed` of `checks` before.
///
/// The twin of [`unfinished_gap`]: `gap` is the number of checks since the last failed one, `checks`
/// those up to and with it. C(checks, failed) / C(checks + gap, failed), the probability that none
/// of the last `gap` checks is among the failed.
///
/// None when `failed` is 0 or above `checks`, or there are a thousand million checks.
///
/// ```
/// use pinindex::statistics::gaps::unfinished_gap_of_checks;
///
/// assert!((unfinished_gap_of_checks(2, 1, 2).unwrap() - 0.5).abs() < 1e-15);
/// ```
pub fn unfinished_gap_of_checks(gap: u64, failed: u64, checks: u64) -> Option<f64> {
    let total = gap.checked_add(checks).filter(|&total| total < LARGEST_SHAPE_SUM)?;
    if failed == 0 || failed > checks {
        return None;
    }
    Some(Outcomes::hypergeometric(total, failed, gap, FAR).at_most(0))
}

#[cfg(test)]
mod tests;
