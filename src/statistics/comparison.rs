//! Whether one unit fails more often than the others, and what is left of such findings when many
//! units are asked about at once.
//!
//! Takes counts with the time each was exposed, or a list of p-values; gives exact limits for the
//! ratio of two rates and adjusted p-values. Leaves out which units are compared; with few of them,
//! compare one with the others without it, else it is compared with itself in part.

use super::binomial::{lower_tail, upper_tail};
use super::outcomes::{NEAR, Outcomes, signal};
use super::special::{LARGEST_SHAPE_SUM, Share, beta_quantile};

/// How the rate of one unit stands to that of the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateComparison {
    /// The ratio of the two observed rates; None when the others have no event, for then it has no
    /// upper end.
    pub ratio: Option<f64>,
    /// The lower limit of the true ratio, 0 when the unit has no event.
    pub lower: f64,
    /// The upper limit of the true ratio; None when there is no limit, since the others have no
    /// event.
    pub upper: Option<f64>,
    /// The two-sided p: twice the smaller one-sided one, at most 1.
    pub p: f64,
}

/// Compares `k1` events in the time `t1` with `k2` events in the time `t2`: the exact conditional
/// test of two Poisson rates, with its limits for their ratio.
///
/// J. Przyborowski and H. Wilenski 1940, "Homogeneity of results in testing samples from Poisson
/// series", Biometrika 31:313-323. Given k1 + k2 events in all, those of the first have the
/// binomial distribution with the share r t1 / (r t1 + t2), where r is the ratio of the true rates.
/// So the limits are those of Clopper and Pearson for that share s, as s / (1-s) * t2 / t1, and p
/// is the doubled smaller tail at r = 1. By this doubling p is below 1 - `confidence` exactly when
/// the limits leave out 1. R gives the same limits but another two-sided p, the sum of all counts no
/// likelier, which can contradict them.
///
/// Any unit of time will do, the same for both. None when a time is not above 0 and finite, or so
/// much larger than the other that their ratio is no number; when the confidence is not strictly
/// between 0 and 1; or with a thousand million events or more. Without any event nothing is known:
/// p is 1, the limits are 0 and none.
///
/// ```
/// use pinindex::statistics::comparison::rates;
///
/// // The example of `poisson.test` in the manual of R.
/// let found = rates(11, 800.0, 21, 3011.0, 0.95).unwrap();
/// assert!((found.ratio.unwrap() - 1.971488).abs() < 5e-7);
/// assert!((found.lower - 0.8584264).abs() < 5e-8);
/// assert!((found.upper.unwrap() - 4.2772659).abs() < 5e-8);
/// ```
pub fn rates(k1: u64, t1: f64, k2: u64, t2: f64, confidence: f64) -> Option<RateComparison> {
    let total = k1.checked_add(k2).filter(|&total| total < LARGEST_SHAPE_SUM - 1)?;
    let share = Share::of_parts(t1, t2)?;
    if !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let tail = (1.0 - confidence) / 2.0;
    let times = t2 / t1;
    let lower = match k1 {
        0 => 0.0,
        _ => beta_quantile(tail, k1, k2 + 1).map(|share| share.value / share.rest * times)?,
    };
    // The quantile at 1 - a/2 is the complement of the one at a/2 with the shapes exchanged.
    let upper = match k2 {
        0 => None,
        _ => Some(beta_quantile(tail, k2, k1 + 1).map(|share| share.rest / share.value * times)?),
    };
    let ratio = (k2 > 0).then(|| k1 as f64 / k2 as f64 * times);
    let smaller = upper_tail(k1, total, share)?.min(lower_tail(k1, total, share)?);
    Some(RateComparison { ratio, lower, upper, p: (2.0 * smaller).min(1.0) })
}

/// Returns the probability that the test of [`rates`] finds p below `level` when one unit, exposed
/// for `t1`, has `ratio` times the `rate` of the others, which are exposed for `t2`.
///
/// The sum over all totals that are likely at all, each with its exact critical counts: the total
/// is Poisson with the mean rate (ratio t1 + t2), the unit's part of it binomial with the share
/// ratio t1 / (ratio t1 + t2). `rate` is per unit of the times. Events that add nothing to sixteen
/// digits are left out. With a ratio of 1 it is the true size of the test.
///
/// None when a time or `rate` is not above 0 and finite, `ratio` is below 0 or not finite, `level` is
/// not strictly between 0 and 1, or more than 100,000 events are expected.
///
/// ```
/// use pinindex::statistics::comparison::power_of_ratio;
///
/// // One of six units watched for a year at 10 per 1000 days, six units asked about: one that is
/// // twice as bad as the others is missed 90 times in 100.
/// let found = power_of_ratio(0.010, 365.0, 5.0 * 365.0, 2.0, 0.05 / 6.0).unwrap();
/// assert!((found - 0.103).abs() < 0.0005);
/// ```
pub fn power_of_ratio(rate: f64, t1: f64, t2: f64, ratio: f64, level: f64) -> Option<f64> {
    let null = Share::of_parts(t1, t2)?;
    let sensible = rate > 0.0 && rate.is_finite() && ratio >= 0.0 && ratio.is_finite() && level > 0.0 && level < 1.0;
    let (mean1, mean2) = (rate * ratio * t1, rate * t2);
    if !sensible || mean1 + mean2 > MOST_EVENTS {
        return None;
    }
    let first = Outcomes::poisson(mean1, NEAR);
    let second = Outcomes::poisson(mean2, NEAR);
    let quiet = |total| Outcomes::binomial(total, null.value, level * NEAR).quiet_by_doubling(level);
    Some(signal(&first, &second, quiet))
}

/// Returns p-values adjusted so that, of all that are at or below a level, the chance that any is
/// false stays at that level.
///
/// S. Holm 1979, "A simple sequentially rejective multiple test procedure", Scandinavian Journal of
/// Statistics 6:65-70: of m values in order, the i-th is multiplied by m - i + 1, and none may be
/// below the one before it. It holds whatever the tests have to do with each other. The answers
/// stand in the order of the values; equal values get equal answers. What is not from 0 to 1 is
/// taken as 1, for it is no evidence of anything.
///
/// ```
/// use pinindex::statistics::comparison::holm;
///
/// assert_eq!(holm(&[0.5, 0.0078125, 0.015625]), [0.5, 0.0234375, 0.03125]);
/// ```
pub fn holm(p: &[f64]) -> Vec<f64> {
    let (values, order) = in_order(p);
    let mut adjusted = vec![1.0; p.len()];
    let mut largest: f64 = 0.0;
    for (rank, &index) in order.iter().enumerate() {
        largest = largest.max((values[index] * (p.len() - rank) as f64).min(1.0));
        adjusted[index] = largest;
    }
    adjusted
}

/// Returns p-values adjusted so that, of all that are at or below a level, the expected share of
/// false ones stays at that level.
///
/// Y. Benjamini and Y. Hochberg 1995, "Controlling the false discovery rate", Journal of the Royal
/// Statistical Society B 57:289-300: of m values in order, the i-th is multiplied by m / i, and none
/// may be above the one after it. It holds for tests that are independent or positively dependent.
/// Order, equal values and what is no p-value are treated as in [`holm`].
///
/// ```
/// use pinindex::statistics::comparison::benjamini_hochberg;
///
/// assert_eq!(benjamini_hochberg(&[0.5, 0.0078125, 0.03125, 1.0]), [0.6666666666666666, 0.03125, 0.0625, 1.0]);
/// ```
pub fn benjamini_hochberg(p: &[f64]) -> Vec<f64> {
    let (values, order) = in_order(p);
    let mut adjusted = vec![1.0; p.len()];
    let mut smallest: f64 = 1.0;
    for (rank, &index) in order.iter().enumerate().rev() {
        // The quotient first: it is at least 1, so that rounding puts no answer below its value.
        smallest = smallest.min(values[index] * (p.len() as f64 / (rank + 1) as f64));
        adjusted[index] = smallest;
    }
    adjusted
}

/// Returns the values with what is no p-value as 1, and their places from the smallest on.
fn in_order(p: &[f64]) -> (Vec<f64>, Vec<usize>) {
    let values: Vec<f64> = p.iter().map(|&p| if (0.0..=1.0).contains(&p) { p } else { 1.0 }).collect();
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&one, &other| values[one].total_cmp(&values[other]));
    (values, order)
}

/// The most events for which the power is computed, so that it takes a second at the worst.
const MOST_EVENTS: f64 = 1e5;

#[cfg(test)]
mod tests;
