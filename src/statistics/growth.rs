//! How the frequency of failures changes, described by a power of time.
//!
//! Takes one system's failures over a watch whose end was set beforehand, gives how fast the mean
//! time between failures grows or shrinks and what it is at the end. Only for those who ask: the
//! curve is assumed, not found, and says nothing of the time after the watch. Leaves out several
//! systems at once.

use super::gamma::{Tail, chi_square_quantile};
use super::proportion::Interval;
use super::trend::{FEWEST_FAILURES, Watched};

/// The most failures that are answered.
pub const MOST_FAILURES: u64 = 100_000;

/// Expected failures by the time t as `scale` times t to the power of `shape`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// How many failures there are.
    pub failures: u64,
    /// The power, corrected for its bias: below 1 failures become rarer, above 1 more frequent.
    pub shape: f64,
    /// The power of maximum likelihood, which is too large on average.
    pub likeliest_shape: f64,
    /// The exact limits of the power.
    pub shape_interval: Interval,
    /// The expected failures by the time 1.
    pub scale: f64,
    /// The mean time between failures at the end of the watch, were it to stay as it is then.
    pub mean_time_at_end: f64,
    /// The limits of that mean time, exact or wider.
    pub mean_time_interval: Interval,
}

/// Returns the power law that describes the failures, with its limits.
///
/// L. H. Crow 1974, "Reliability analysis for complex, repairable systems", in "Reliability and
/// Biometry" (SIAM); NIST/SEMATECH e-Handbook of Statistical Methods, section 8.4.5.1. With r
/// failures by T and w = sum ln(T/t): likeliest shape r/w, shape (r - 1)/w, scale r/T^shape, mean
/// time at the end T/(r shape). Limits of the shape: likeliest shape times chi-square(a/2; 2r)/2r
/// and chi-square(1 - a/2; 2r)/2r. Limits of the mean time (L. H. Crow 1982, Proceedings of the
/// Annual Reliability and Maintainability Symposium, pages 126-134): given w, the probability of k
/// failures goes with x^k/(k! (k-1)!), where x = T w/mean time; the limits are the mean times at
/// which r or more, and r or fewer, failures have the probability a/2.
///
/// None with fewer than [`FEWEST_FAILURES`] or more than [`MOST_FAILURES`], when a time is not as
/// [`Watched`] says, all failures come at the very end, or the confidence is not strictly between 0
/// and 1.
///
/// ```
/// use pinindex::statistics::growth::growth;
/// use pinindex::statistics::trend::Watched;
///
/// let rarer = Watched { until: 1000.0, failures: vec![2.0, 10.0, 40.0, 160.0, 500.0] };
/// let rarer = growth(&rarer, 0.95).unwrap();
/// assert!(rarer.shape < 0.3 && rarer.mean_time_at_end > 1000.0 / 5.0);
/// ```
pub fn growth(system: &Watched, confidence: f64) -> Option<Growth> {
    let failures = system.failures.len() as u64;
    let answered = (FEWEST_FAILURES..=MOST_FAILURES).contains(&failures) && system.is_sound();
    if !(answered && confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let (r, w) = (failures as f64, system.log_sum());
    let tail = (1.0 - confidence) / 2.0;
    let (shape, likeliest_shape) = ((r - 1.0) / w, r / w);
    let half_width = |tail| Some(chi_square_quantile(2 * failures, tail)? / (2.0 * w));
    let shape_interval = Interval { lower: half_width(Tail::Lower(tail))?, upper: half_width(Tail::Upper(tail))? };
    let mean_time = |x: f64| system.until * w / x;
    let mean_time_interval = Interval {
        lower: mean_time(odds_at(failures, tail, |odds| odds.at_most)),
        upper: mean_time(odds_at(failures, tail, |odds| odds.at_least)),
    };
    let fitted = Growth {
        failures,
        shape,
        likeliest_shape,
        shape_interval,
        scale: r / libm::pow(system.until, shape),
        mean_time_at_end: system.until / (r * shape),
        mean_time_interval,
    };
    // Failures that nearly all come at the end make the power larger than can be written.
    let numbers = [fitted.scale, fitted.mean_time_at_end, shape_interval.upper, mean_time_interval.lower];
    numbers.iter().all(|number| number.is_finite() && *number > 0.0).then_some(fitted)
}

/// How likely r failures or fewer and r or more are.
struct Odds {
    at_most: f64,
    at_least: f64,
}

impl Odds {
    /// Returns the odds when the probability of k failures, one at least, goes with x^k/(k! (k-1)!).
    fn of(failures: u64, x: f64) -> Self {
        // Everything in units of the term of `failures` itself, so nothing is too small.
        let sum = |first: u64, step: fn(u64) -> u64, ratio: fn(f64, f64) -> f64| {
            let (mut sum, mut term, mut k) = (0.0, 1.0, first);
            // Beyond this size the other side no longer counts.
            while sum < 1e280 && k >= 1 {
                term *= ratio(k as f64, x);
                if sum + term == sum {
                    break;
                }
                sum += term;
                k = step(k);
            }
            sum
        };
        let more = sum(failures, |k| k + 1, |k, x| x / (k * (k + 1.0)));
        let fewer = sum(failures, |k| k - 1, |k, x| k * (k - 1.0) / x);
        let all = fewer + 1.0 + more;
        Self { at_most: (fewer + 1.0) / all, at_least: (1.0 + more) / all }
    }
}

/// Returns the x at which one of the odds is `tail`.
fn odds_at(failures: u64, tail: f64, which: fn(Odds) -> f64) -> f64 {
    let middle = failures as f64 * failures as f64;
    let probability = |x: f64| which(Odds::of(failures, x));
    // Fewer failures become less likely as x grows, more become more likely.
    let grows = probability(2.0 * middle) > probability(middle / 2.0);
    let is_low = |x: f64| (probability(x) < tail) == grows;
    let (mut low, mut high) = (middle, middle);
    // With five failures or more the limits lie within a factor of some thousands for any tail that
    // a number near 1 can leave.
    for _ in 0..100 {
        if is_low(low) {
            break;
        }
        low /= 2.0;
    }
    for _ in 0..100 {
        if !is_low(high) {
            break;
        }
        high *= 2.0;
    }
    for _ in 0..200 {
        let between = low + (high - low) / 2.0;
        if between <= low || between >= high {
            break;
        }
        if is_low(between) { low = between } else { high = between }
    }
    low + (high - low) / 2.0
}

#[cfg(test)]
mod tests;
