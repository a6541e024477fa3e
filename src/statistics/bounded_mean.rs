//! How sure a mean is when all that is known of the values is between which two numbers they lie.
//!
//! Takes a few values from 0 to a largest possible one, gives limits of the mean they were drawn from. Assumes no shape:
//! limits of "mean plus or minus two standard errors" hold a skewed mean far less often than they say when values are few.
//! A value may itself be known only to lie between two bounds. Leaves out the mean itself.

use super::proportion::Interval;

/// The most values that are answered; the time grows with the square of their number.
pub const MOST_VALUES: usize = 1000;

/// How often an interval is halved: after that its ends are neighbours among all numbers.
const HALVINGS: u32 = 64;

/// Returns the limits of the mean of values from 0 to `most`, of each of which the lowest and highest it can be is given.
///
/// N. Gaffke 2005, Mathematical Methods of Statistics 14:451-467 (title and pages from memory), as described by E.
/// Learned-Miller and P. S. Thomas, "A new confidence interval for the mean of a bounded random variable",
/// arXiv:1905.06208: the upper limit is the quantile of a mean of the values and `most` with weights from the flat
/// Dirichlet distribution, the lower one that of the values and 0. For values that are only 0 or `most` these are the
/// exact limits of Clopper and Pearson. That they hold the mean as often as they say for every distribution is conjectured,
/// not proved; no counterexample is known, and simulations here missed less often than allowed on both sides. For the
/// lower limit each value is taken as low as it can be, for the upper one as high.
///
/// None without values, with more than [`MOST_VALUES`], when `most` is not above 0 and finite, when bounds of a value do not
/// lie in order from 0 to `most`, or when the confidence is not strictly between 0 and 1.
///
/// ```
/// use pinindex::statistics::bounded_mean::mean_limits;
///
/// let limits = mean_limits(&[(0.0, 0.0), (10.0, 10.0)], 10.0, 0.95).unwrap();
/// // One of two: 0.0126 to 0.9874 by Clopper and Pearson.
/// assert!((limits.lower - 0.126).abs() < 1e-3 && (limits.upper - 9.874).abs() < 1e-3);
/// assert_eq!(mean_limits(&[], 10.0, 0.95), None);
/// ```
pub fn mean_limits(values: &[(f64, f64)], most: f64, confidence: f64) -> Option<Interval> {
    let ordered = |&(low, high): &(f64, f64)| 0.0 <= low && low <= high && high <= most;
    let answered = (1..=MOST_VALUES).contains(&values.len()) && confidence > 0.0 && confidence < 1.0;
    if !(answered && most > 0.0 && most.is_finite() && values.iter().all(ordered)) {
        return None;
    }
    let tail = (1.0 - confidence) / 2.0;
    let parts = |bound: fn(&(f64, f64)) -> f64, end: f64| {
        let mut parts: Vec<f64> = values.iter().map(|value| bound(value) / most).chain([end]).collect();
        parts.sort_unstable_by(f64::total_cmp);
        parts
    };
    let lower = where_below(&parts(|value| value.0, 0.0), |below| below < tail).0;
    let upper = where_below(&parts(|value| value.1, 1.0), |below| below < 1.0 - tail).1;
    Some(Interval { lower: lower * most, upper: (upper * most).min(most) })
}

/// Returns two neighbouring numbers from 0 to 1, up to the first of which the probability below is still `small`.
fn where_below(knots: &[f64], small: impl Fn(f64) -> bool) -> (f64, f64) {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if small(weighted_mean_below(knots, middle)) {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low, high)
}

/// Returns the probability that a mean of the knots, in order, with flat Dirichlet weights is at most `at`.
///
/// Of the knots i to j it is a mean of those without j and those without i, weighted by how far `at` is from i and from j
/// (the mean's density is a B-spline: H. B. Curry and I. J. Schoenberg 1966, Journal d'Analyse Mathématique 17:71-107).
/// All weights are from 0 to 1, so nothing cancels.
fn weighted_mean_below(knots: &[f64], at: f64) -> f64 {
    let mut below: Vec<f64> = knots.iter().map(|knot| if *knot <= at { 1.0 } else { 0.0 }).collect();
    for apart in 1..knots.len() {
        for i in 0..knots.len() - apart {
            let (first, last) = (knots[i], knots[i + apart]);
            below[i] = if at >= last {
                1.0
            } else if at < first {
                0.0
            } else {
                ((at - first) * below[i] + (last - at) * below[i + 1]) / (last - first)
            };
        }
    }
    below[0]
}

#[cfg(test)]
mod tests;
