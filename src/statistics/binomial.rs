//! How often k of n come about when each of the n trials fails with a known probability.
//!
//! Takes a count, the number of trials and the share that is supposed to be true; gives
//! probabilities. `proportion` asks the other way round, which shares a count leaves possible.
//! Leaves out trials that are not independent and shares that differ from trial to trial.

use super::outcomes::{FAR, Outcomes};
use super::special::{LARGEST_SHAPE_SUM, Share, ln_beta_tail, ln_kernel};

/// How rare a count is under what is supposed to be true, one way and both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rareness {
    /// The probability of all counts that are no likelier than the observed one.
    pub two_sided: f64,
    /// The probability of the observed count or more.
    pub greater: f64,
    /// The probability of the observed count or less.
    pub less: f64,
}

/// Returns the probability that exactly `k` of `n` trials fail when each fails with probability
/// `share`.
///
/// n! / (k! (n-k)!) p^k (1-p)^(n-k), in the saddle-point form of C. Loader 2000, "Fast and accurate
/// computation of binomial probabilities". The relative error was below 1e-11 wherever it was
/// measured, up to n = 1e6 and probabilities of 1e-300.
///
/// 0 when `k` is above `n`. None when `share` is not from 0 to 1 or `n` is a thousand million or
/// more.
///
/// ```
/// use pinindex::statistics::binomial::probability;
///
/// assert!((probability(1, 3, 0.5).unwrap() - 0.375).abs() < 1e-15);
/// assert_eq!(probability(0, 0, 0.5), Some(1.0));
/// assert_eq!(probability(0, 3, 1.5), None);
/// ```
pub fn probability(k: u64, n: u64, share: f64) -> Option<f64> {
    let at = checked(n, share)?;
    if k > n || (at.value <= 0.0 && k > 0) || (at.rest <= 0.0 && k < n) {
        return Some(0.0);
    }
    if k == 0 {
        return Some(power_of(at.rest, at.value, n));
    }
    if k == n {
        return Some(power_of(at.value, at.rest, n));
    }
    let between = n as f64 / (k as f64 * (n - k) as f64);
    Some((libm::exp(ln_kernel(at, k, n - k)) * between).min(1.0))
}

/// Returns the probability that at most `k` of `n` trials fail when each fails with probability
/// `share`.
///
/// It is the beta tail I_(1-p)(n-k, k+1), so a tail of 1e-200 has as many digits as one of 0.1: the
/// relative error was below 1e-11 wherever it was measured, up to n = 1e6. None as in
/// [`probability`].
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

/// Returns how rare `k` of `n` are when each trial fails with probability `share`: the exact
/// binomial test.
///
/// Two-sided: the sum of the probabilities of all counts that are no likelier than `k`, with the
/// allowance for rounding that R and scipy have too, 1e-7. A probability below 1e-290 of the
/// likeliest one's is given as 0.
///
/// None when `k` is above `n`, `share` is not from 0 to 1, or `n` is a thousand million or more.
///
/// ```
/// use pinindex::statistics::binomial::test;
///
/// // Conover's example of Mendel's peas in the manual of R: 682 of 925 against 3/4.
/// let peas = test(682, 925, 0.75).unwrap();
/// assert!((peas.two_sided - 0.3825).abs() < 5e-5);
/// ```
pub fn test(k: u64, n: u64, share: f64) -> Option<Rareness> {
    let at = checked(n, share).filter(|_| k <= n)?;
    let outcomes = Outcomes::binomial(n, share, FAR);
    Some(Rareness { two_sided: outcomes.no_likelier(k), greater: upper_tail(k, n, at)?, less: lower_tail(k, n, at)? })
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

/// Returns `base` to the power of `n`, where `rest` is 1 - `base` and holds the digits if it is
/// small.
fn power_of(base: f64, rest: f64, n: u64) -> f64 {
    if n == 0 {
        return 1.0;
    }
    let ln_base = if rest < 0.5 { libm::log1p(-rest) } else { libm::log(base) };
    libm::exp(n as f64 * ln_base)
}

fn checked(n: u64, share: f64) -> Option<Share> {
    let answered = n < LARGEST_SHAPE_SUM && (0.0..=1.0).contains(&share);
    answered.then_some(Share { value: share, rest: 1.0 - share })
}

#[cfg(test)]
mod tests;
