//! How sure a share is: k of n, and the limits between which the true share lies.
//!
//! Takes two counts and a confidence, gives an interval between 0 and 1. Leaves out the rounding
//! for print (`rounding`) and every judgement whether the n trials are independent: a fault that
//! fails the check each morning until it is mended is many failed checks but one episode, and the
//! caller says which of them is counted.

use super::special::{LARGEST_SHAPE_SUM, beta_quantile};

/// The limits between which a true share lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The lower limit, 0 at the least.
    pub lower: f64,
    /// The upper limit, 1 at the most.
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

#[cfg(test)]
mod tests;
