//! How sure a share is: k of n, and the limits between which the true share lies.
//!
//! Takes two counts and a confidence, gives an interval between 0 and 1. Leaves out the rounding
//! for print (`rounding`) and every judgement whether the n trials are independent: a fault that
//! fails the check each morning until it is mended is many failed checks but one episode, and the
//! caller says which of them is counted.

use super::normal;
use super::special::{LARGEST_SHAPE_SUM, beta_quantile};

/// The limits between which a true value lies, a share or a rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The lower limit, 0 at the least.
    pub lower: f64,
    /// The upper limit; that of a share is 1 at the most.
    pub upper: f64,
}

/// Returns the exact interval for the true share after `k` failures in `n` trials.
///
/// Method of C. J. Clopper and E. S. Pearson 1934, "The use of confidence or fiducial limits
/// illustrated in the case of the binomial", Biometrika 26:404-413. With a = 1 - confidence, the
/// lower limit is the share at which `k` or more failures have probability a/2, and the upper limit
/// the share at which `k` or fewer have probability a/2. In terms of the beta distribution: lower =
/// quantile(a/2; k, n-k+1), or 0 when k = 0; upper = quantile(1 - a/2; k+1, n-k), or 1 when k = n.
/// The interval covers the true share at least as often as the confidence says, for every share and
/// n; the price is that it is often a little wide.
///
/// None when nothing can be said: `n` is 0 ("no checks"), `k` is above `n`, the confidence is not
/// strictly between 0 and 1, or `n` is above a thousand million.
///
/// ```
/// use pinindex::statistics::proportion::clopper_pearson;
///
/// // No failure in 180 still leaves room for a true share of two in a hundred: 1 - 0.025^(1/180).
/// let interval = clopper_pearson(0, 180, 0.95).unwrap();
/// assert_eq!(interval.lower, 0.0);
/// assert!((interval.upper - 0.0202852046).abs() < 1e-10);
///
/// assert_eq!(clopper_pearson(0, 0, 0.95), None);
/// ```
pub fn clopper_pearson(k: u64, n: u64, confidence: f64) -> Option<Interval> {
    if n == 0 || k > n || n >= LARGEST_SHAPE_SUM || !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let tail = (1.0 - confidence) / 2.0;
    let lower = if k == 0 { 0.0 } else { beta_quantile(tail, k, n - k + 1)?.value };
    // The quantile at 1 - a/2 is the complement of the one at a/2 with the shapes exchanged.
    let upper = if k == n { 1.0 } else { beta_quantile(tail, n - k, k + 1)?.rest };
    Some(Interval { lower, upper })
}

/// Returns the score interval for the true share after `k` failures in `n` trials.
///
/// Method of E. B. Wilson 1927, "Probable inference, the law of succession, and statistical inference",
/// Journal of the American Statistical Association 22:209-212: the shares whose difference from k/n is
/// at most z of their own standard errors. With p = k/n these are the roots of (1 + z^2/n) x^2 - (2 p +
/// z^2/n) x + p^2. The smaller root is taken from the product of both, so that it keeps its digits; it
/// is exactly 0 at k = 0, and the larger one exactly 1 at k = n.
///
/// The interval is narrower than [`clopper_pearson`] and covers the true share as often as the
/// confidence says only on average: where failures are rare a 95 % interval may cover it 84 times in
/// 100. Where a figure must never promise too much, take the exact one.
///
/// None when nothing can be said: `n` is 0, `k` is above `n`, or the confidence is not strictly between 0
/// and 1.
///
/// ```
/// use pinindex::statistics::proportion::wilson;
///
/// let interval = wilson(5, 180, 0.95).unwrap();
/// assert!((interval.lower - 0.0119221220).abs() < 1e-10);
/// assert!((interval.upper - 0.0633680704).abs() < 1e-10);
/// ```
pub fn wilson(k: u64, n: u64, confidence: f64) -> Option<Interval> {
    if n == 0 || k > n || !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let z = normal::quantile((1.0 - confidence) / 2.0)?;
    // The upper limit of the failures is what the lower limit of the passes is short of 1.
    let lower = if k == 0 { 0.0 } else { smaller_score_root(k, n, z) };
    let upper = if k == n {
        1.0
    } else if k > n / 2 {
        1.0 - smaller_score_root(n - k, n, z)
    } else {
        larger_score_root(k, n, z)
    };
    // Where z is nearly 0 both limits are the share, and rounding must not exchange them.
    let observed = k as f64 / n as f64;
    Some(Interval { lower: lower.min(observed), upper: upper.max(observed) })
}

/// Returns the larger share whose difference from `k` of `n` is `z` standard errors.
fn larger_score_root(k: u64, n: u64, z: f64) -> f64 {
    let (p, n) = (k as f64 / n as f64, n as f64);
    let part = z * z / (2.0 * n);
    let half_width = z.abs() * (p * (1.0 - p) / n + part / (2.0 * n)).sqrt();
    ((p + part + half_width) / (1.0 + 2.0 * part)).min(1.0)
}

/// Returns the smaller share whose difference from `k` of `n` is `z` standard errors.
fn smaller_score_root(k: u64, n: u64, z: f64) -> f64 {
    let (p, part) = (k as f64 / n as f64, z * z / n as f64);
    p * p / ((1.0 + part) * larger_score_root(k, n, z))
}

#[cfg(test)]
mod tests;
