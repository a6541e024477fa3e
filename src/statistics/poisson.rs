//! The Poisson distribution: how likely so many events are when a given number is expected.
//!
//! Takes a count and a mean, gives a probability. Both tails are answered directly, so that a small
//! one has all its digits. Leaves out limits for the mean (`rate`) and for the count (`funnel`).

use super::gamma::{LARGEST_SHAPE, lower_tail, upper_tail};
use super::special::deviance;
use super::stirling;
use std::f64::consts::PI;

/// Returns the probability of `k` events or fewer when `mean` are expected.
///
/// It is the upper tail at `mean` of the gamma distribution with shape k + 1 (DLMF 8.11.10 with 8.4.10):
/// the waiting time for one event more is longer.
///
/// None when the mean is below 0 or not finite, or the count is a thousand million or more.
///
/// ```
/// use pinindex::statistics::poisson::at_most;
///
/// // e^-2 (1 + 2).
/// assert!((at_most(1, 2.0).unwrap() - 0.40600584970983794).abs() < 1e-15);
/// assert_eq!(at_most(7, 0.0), Some(1.0));
/// ```
pub fn at_most(k: u64, mean: f64) -> Option<f64> {
    upper_tail(k as f64 + 1.0, finite(mean)?)
}

/// Returns the probability of `k` events or more when `mean` are expected.
///
/// It is the lower tail at `mean` of the gamma distribution with shape k: the k-th event has come by
/// then. None as for [`at_most`].
///
/// ```
/// use pinindex::statistics::poisson::at_least;
///
/// // 1 - e^-2.
/// assert!((at_least(1, 2.0).unwrap() - 0.8646647167633873).abs() < 1e-15);
/// assert_eq!(at_least(0, 2.0), Some(1.0));
/// ```
pub fn at_least(k: u64, mean: f64) -> Option<f64> {
    let mean = finite(mean)?;
    if k == 0 { Some(1.0) } else { lower_tail(k as f64, mean) }
}

/// Returns the probability of exactly `k` events when `mean` are expected.
///
/// C. Loader's saddle-point form of e^-m m^k / k! (2000, "Fast and accurate computation of binomial
/// probabilities"), which loses no digits at large counts. None as for [`at_most`].
///
/// ```
/// use pinindex::statistics::poisson::exactly;
///
/// assert!((exactly(2, 2.0).unwrap() - 0.2706705664732254).abs() < 1e-15);
/// ```
pub fn exactly(k: u64, mean: f64) -> Option<f64> {
    let mean = finite(mean)?;
    let count = k as f64;
    if count >= LARGEST_SHAPE {
        return None;
    }
    if k == 0 {
        return Some(libm::exp(-mean));
    }
    if mean == 0.0 {
        return Some(0.0);
    }
    let ln_most = -stirling::error(count) - 0.5 * libm::log(2.0 * PI * count);
    Some(libm::exp(ln_most - deviance(count, mean, mean - count)))
}

/// Returns the mean if it can be one.
fn finite(mean: f64) -> Option<f64> {
    (0.0..f64::INFINITY).contains(&mean).then_some(mean)
}

#[cfg(test)]
mod tests;
