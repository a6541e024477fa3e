//! How often k of n come about when each of the n trials fails with a known probability.
//!
//! Takes a count, the number of trials and the share that is supposed to be true; gives
//! probabilities. `proportion` asks the other way round, which shares a count leaves possible.
//! Leaves out trials that are not independent and shares that differ from trial to trial.

use super::special::{LARGEST_SHAPE_SUM, Share, ln_beta_tail};

/// Returns the probability that at most `k` of `n` trials fail when each fails with probability
/// `share`.
///
/// It is the beta tail I_(1-p)(n-k, k+1), so a tail of 1e-200 has as many digits as one of 0.1: the
/// relative error was below 1e-11 wherever it was measured, up to n = 1e6. None when `share` is not
/// from 0 to 1 or `n` is a thousand million or more.
///
/// ```
/// use pinindex::statistics::binomial::at_most;
///
/// assert!((at_most(1, 3, 0.5).unwrap() - 0.5).abs() < 1e-15);
/// ```
pub fn at_most(k: u64, n: u64, share: f64) -> Option<f64> {
    lower_tail(k, n, checked(n, share)?)
}

/// Returns the probability that at least `k` of `n` trials fail when each fails with probability
/// `share`.
///
/// The beta tail I_p(k, n-k+1); else as [`at_most`].
///
/// ```
/// use pinindex::statistics::binomial::at_least;
///
/// // One failure or more in 180 checks of a true 1 in 1000: 1 - 0.999^180.
/// assert!((at_least(1, 180, 0.001).unwrap() - 0.16480).abs() < 1e-5);
/// ```
pub fn at_least(k: u64, n: u64, share: f64) -> Option<f64> {
    upper_tail(k, n, checked(n, share)?)
}

/// Returns the probability of at most `k` of `n` at a share of which the complement is known too.
pub(super) fn lower_tail(k: u64, n: u64, share: Share) -> Option<f64> {
    if k >= n || share.value <= 0.0 {
        return Some(1.0);
    }
    if share.rest <= 0.0 {
        return Some(0.0);
    }
    let mirrored = Share { value: share.rest, rest: share.value };
    ln_beta_tail(mirrored, n - k, k + 1).map(to_probability)
}

/// Returns the probability of at least `k` of `n` at a share of which the complement is known too.
pub(super) fn upper_tail(k: u64, n: u64, share: Share) -> Option<f64> {
    if k == 0 || (share.rest <= 0.0 && k <= n) {
        return Some(1.0);
    }
    if k > n || share.value <= 0.0 {
        return Some(0.0);
    }
    ln_beta_tail(share, k, n - k + 1).map(to_probability)
}

/// Returns the number whose logarithm is given, which rounding may have put a little above 0.
fn to_probability(ln: f64) -> f64 {
    libm::exp(ln).min(1.0)
}

fn checked(n: u64, share: f64) -> Option<Share> {
    let answered = n < LARGEST_SHAPE_SUM && (0.0..=1.0).contains(&share);
    answered.then_some(Share { value: share, rest: 1.0 - share })
}

#[cfg(test)]
mod tests;
