//! Whether failures come more and more often, and the mean time between them when they do not.
//!
//! Takes, for each system, how long it was watched and when it failed, in any one unit of time
//! counted from the start of the watch; gives tests of "no trend" and a mean time with its limits.
//! Watching ends at a time set beforehand, not at a failure. Leaves out repair time, which the
//! caller takes out of the clock, and what to do when there is a trend: a mean of a changing thing
//! means nothing (`growth` describes one).

use super::gamma;
use super::normal;
use super::proportion::Interval;
use super::rate::garwood;

/// The fewest failures from which a mean time between failures is given; with one the limits are
/// 220 times apart.
pub const FEWEST_FAILURES: u64 = 5;

/// The most failures for which the Laplace test is exact; its time grows with their square.
pub const MOST_EXACT: usize = 300;

/// One system and its failures while it was watched.
#[derive(Debug, Clone, PartialEq)]
pub struct Watched {
    /// For how long it was watched, above 0.
    pub until: f64,
    /// When it failed, each above 0 and at most `until`, in any order.
    pub failures: Vec<f64>,
}

/// What two tests say of failures that would come evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// How many failures there are.
    pub failures: u64,
    /// How far the failures lie from the middle of the watch, in standard deviations: above 0 when
    /// they come late, so that they become more frequent.
    pub laplace_z: f64,
    /// The two-sided probability of a Laplace statistic at least as far out without a trend.
    pub laplace_p: f64,
    /// Whether `laplace_p` is exact; above [`MOST_EXACT`] failures it is the normal one.
    pub laplace_is_exact: bool,
    /// The statistic 2 sum ln(T/t): large when failures come early, so that they become rarer.
    pub handbook_statistic: f64,
    /// The degrees of freedom of its chi-square distribution without a trend.
    pub handbook_degrees: u64,
    /// The two-sided exact probability of that statistic.
    pub handbook_p: f64,
}

/// A mean time between failures and its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanTime {
    /// The time watched divided by the number of failures.
    pub mean: f64,
    /// The limits of the mean.
    pub interval: Interval,
}

/// Returns what the Laplace test and the test of MIL-HDBK-189 say of the failures of all systems
/// together.
///
/// Without a trend each t/T is uniform on (0, 1], whatever the rate of its system, so systems may
/// differ in rate and in time watched. Laplace (D. R. Cox and P. A. W. Lewis 1966, "The statistical
/// analysis of series of events", chapter 3): z = (sum t/T - n/2) / sqrt(n/12); its p is that of
/// the sum of n uniform numbers (J. O. Irwin 1927 and P. Hall 1927, Biometrika 19:225-245). It is
/// the strongest test against a rate that grows exponentially. MIL-HDBK-189 (L. H. Crow 1974,
/// "Reliability analysis for complex, repairable systems"): 2 sum ln(T/t) is chi-square with 2n
/// degrees of freedom; the strongest against a power of time. Each p is twice the smaller tail.
///
/// None when nobody failed or a time is not as [`Watched`] says.
///
/// ```
/// use pinindex::statistics::trend::{Watched, trend};
///
/// let late = Watched { until: 100.0, failures: vec![50.0, 80.0, 90.0, 97.0, 99.0, 100.0] };
/// let seen = trend(&[late]).unwrap();
/// assert!(seen.laplace_z > 2.0 && seen.laplace_p < 0.02 && !seen.none_seen(0.05));
/// assert_eq!(trend(&[Watched { until: 100.0, failures: vec![] }]), None);
/// ```
pub fn trend(systems: &[Watched]) -> Option<Trend> {
    if !systems.iter().all(Watched::is_sound) {
        return None;
    }
    let parts = || systems.iter().flat_map(|system| system.failures.iter().map(|time| time / system.until));
    let n = parts().count();
    if n == 0 {
        return None;
    }
    let sum: f64 = parts().sum();
    let laplace_z = (sum - n as f64 / 2.0) / (n as f64 / 12.0).sqrt();
    let exact = uniform_sum_tail(sum.min(n as f64 - sum), n);
    let tail = exact.unwrap_or_else(|| normal::lower_tail(-laplace_z.abs()));

    let half: f64 = systems.iter().map(Watched::log_sum).sum();
    let smaller = f64::min(gamma::lower_tail(n as f64, half)?, gamma::upper_tail(n as f64, half)?);
    Some(Trend {
        failures: n as u64,
        laplace_z,
        laplace_p: f64::min(2.0 * tail, 1.0),
        laplace_is_exact: exact.is_some(),
        handbook_statistic: 2.0 * half,
        handbook_degrees: 2 * n as u64,
        handbook_p: f64::min(2.0 * smaller, 1.0),
    })
}

/// Returns the mean time between `failures` failures in `watched` time, with its exact limits.
///
/// Limits for a watch whose end was set beforehand (B. Epstein and M. Sobel 1953, "Life testing",
/// Journal of the American Statistical Association 48:486-502; NIST/SEMATECH e-Handbook, section
/// 8.4.5.1): with a = 1 - confidence, 2 T / chi-square(1 - a/2; 2 r + 2) and 2 T / chi-square(a/2;
/// 2 r). They are the reciprocals of the exact limits of the rate, so printing both says nothing
/// more. The rate must be constant: ask [`trend`] first.
///
/// None below [`FEWEST_FAILURES`], when the time is not above 0 and finite, or the confidence is
/// not strictly between 0 and 1.
///
/// ```
/// use pinindex::statistics::trend::mean_time_between;
///
/// let five = mean_time_between(5, 180.0, 0.95).unwrap();
/// assert_eq!(five.mean, 36.0);
/// assert!((five.interval.lower - 15.426).abs() < 5e-4 && (five.interval.upper - 110.87).abs() < 5e-3);
/// assert_eq!(mean_time_between(4, 180.0, 0.95), None);
/// ```
pub fn mean_time_between(failures: u64, watched: f64, confidence: f64) -> Option<MeanTime> {
    if failures < FEWEST_FAILURES {
        return None;
    }
    Some(MeanTime { mean: watched / failures as f64, interval: mean_time_limits(failures, watched, confidence)? })
}

/// Returns the exact limits of the mean time between failures, also below [`FEWEST_FAILURES`].
fn mean_time_limits(failures: u64, watched: f64, confidence: f64) -> Option<Interval> {
    let rate = garwood(failures, watched, confidence)?;
    let interval = Interval { lower: 1.0 / rate.upper, upper: 1.0 / rate.lower };
    // A rate too small to be written has no reciprocal.
    interval.upper.is_finite().then_some(interval)
}

impl Trend {
    /// Returns whether neither test sees a trend at this level.
    ///
    /// With few failures that does not mean that there is none: it could not be told.
    pub fn none_seen(&self, level: f64) -> bool {
        self.laplace_p > level && self.handbook_p > level
    }
}

impl Watched {
    pub(super) fn is_sound(&self) -> bool {
        let positive = self.until.is_finite() && self.until > 0.0;
        // A time so small that it vanishes beside the whole has no logarithm.
        positive && self.failures.iter().all(|time| *time / self.until > 0.0 && *time <= self.until)
    }

    /// Returns the sum of ln(T/t).
    pub(super) fn log_sum(&self) -> f64 {
        self.failures.iter().map(|time| -libm::log(time / self.until)).sum()
    }
}

/// Returns the probability that the sum of `n` uniform numbers between 0 and 1 is at most `sum`, or
/// None above [`MOST_EXACT`].
///
/// The textbook sum has alternating signs and is wrong above twenty numbers. The density of the sum
/// of m numbers is the mean of that of m - 1 numbers at s and at s - 1, weighted by s and m - s,
/// times m/(m - 1) (a B-spline: C. de Boor 1972, Journal of Approximation Theory 6:50-62), and the
/// probability for n is the sum of the densities for n + 1 at s, s - 1, s - 2 and so on. Nothing
/// there is negative.
fn uniform_sum_tail(sum: f64, n: usize) -> Option<f64> {
    if n > MOST_EXACT || sum.is_nan() {
        return None;
    }
    if sum <= 0.0 {
        return Some(0.0);
    }
    if sum >= n as f64 {
        return Some(1.0);
    }
    // densities[j] is the density at the part of `sum` behind the point plus j.
    let part = sum - sum.floor();
    let mut densities = vec![0.0; n + 1];
    densities[0] = 1.0;
    for m in 2..=n + 1 {
        for j in (0..m).rev() {
            let at = part + j as f64;
            let one_less = if j == 0 { 0.0 } else { densities[j - 1] };
            densities[j] = (at * densities[j] + (m as f64 - at) * one_less) / (m - 1) as f64;
        }
    }
    let below = densities.iter().take(sum.floor() as usize + 1);
    Some(below.sum::<f64>().min(1.0))
}

#[cfg(test)]
pub(super) mod tests;
