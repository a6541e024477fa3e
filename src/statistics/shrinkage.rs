//! Rates of single units, drawn toward what all units have in common as far as the data ask for it.
//!
//! Takes a count and an exposure of each unit, gives a rate with an interval for each, or the one rate
//! of all when nothing shows that they differ. A unit with hardly any exposure keeps hardly any opinion
//! of its own, so no list of units is led by the one that was seen least. Leaves out any ranking, and
//! which unit is an exception (`funnel`).

use super::gamma::{LARGEST_SHAPE, Tail, quantile};
use super::proportion::Interval;
use super::stirling;

/// The shapes of the prior that are looked at. At the upper end the units' rates differ by a thousandth of
/// themselves, which no count of events shows: that is complete pooling.
const SHAPES: (f64, f64) = (1e-6, 1e6);

/// How many shapes are looked at before the best one is searched between two of them.
const LOOKS: u32 = 60;

/// Most steps of each root search; ten are usual.
const ROOT_STEPS: u32 = 200;

/// Up to this count a difference of two digammas is summed term by term.
const SUMMED_TERMS: u64 = 64;

/// What can be said about the rates of several units.
#[derive(Debug, Clone, PartialEq)]
pub enum Shrunken {
    /// No difference between the units can be detected: their counts vary no more than chance explains.
    Pooled {
        /// Events per unit of exposure, of all units together.
        rate: f64,
    },
    /// The units' rates vary like a gamma distribution.
    Prior {
        /// Its shape; the rates' coefficient of variation is 1 / sqrt(shape).
        shape: f64,
        /// Its rate, an exposure; the mean of the units' rates is shape / rate.
        rate: f64,
        /// What follows for each unit, in the order they came in.
        units: Vec<Unit>,
    },
}

/// The rate of one unit, given its own count and what the others have in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// The mean, between the unit's own rate and that of the prior.
    pub mean: f64,
    /// The limits with half of what the confidence leaves over beyond each.
    pub interval: Interval,
}

/// Returns the rates of units with these counts and exposures, shrunken toward their common mean.
///
/// Parametric empirical Bayes (B. Efron and C. Morris 1975, Journal of the American Statistical
/// Association 70:311-319; for Poisson counts D. P. Gaver and I. G. O'Muircheartaigh 1987, "Robust empirical
/// Bayes analyses of event rates", Technometrics 29:1-15). Unit i with k events in t has a Poisson count
/// with mean t times its rate, and the rates come from a gamma distribution with shape a and rate b. Both
/// are those that make the counts most likely: marginally, each count is negative binomial. Then the
/// rate of unit i is gamma with shape a + k and rate b + t; its mean is (a + k) / (b + t).
///
/// If the likelihood is largest where the shape runs to infinity, the answer is `Pooled`: with few units
/// and few events that is the usual one, and it does not say that the units are alike, only that these
/// counts cannot tell them apart.
///
/// The intervals take a and b for known. They ignore the uncertainty of the prior, so they are too narrow
/// when the units are few; they are for drawing, and `rate::garwood` is for claims.
///
/// None when there is no unit, an exposure is not above 0 or not finite, the confidence is not strictly
/// between 0 and 1, there are a thousand million events or more, or a result has no finite size.
///
/// ```
/// use pinindex::statistics::shrinkage::{Shrunken, shrunken};
///
/// // Six machines, 30 days each: two faults of one are no reason to think that it differs.
/// let alike = shrunken(&[(1, 30.0), (1, 30.0), (0, 30.0), (2, 30.0), (0, 30.0), (1, 30.0)], 0.95);
/// assert_eq!(alike, Some(Shrunken::Pooled { rate: 5.0 / 180.0 }));
///
/// let apart = shrunken(&[(1, 30.0), (1, 30.0), (0, 30.0), (12, 30.0), (0, 30.0), (1, 30.0)], 0.95);
/// let Some(Shrunken::Prior { units, .. }) = apart else { panic!("twelve stand out") };
/// assert!(units[3].mean < 12.0 / 30.0 && units[3].interval.lower > units[0].interval.upper);
/// ```
pub fn shrunken(counts: &[(u64, f64)], confidence: f64) -> Option<Shrunken> {
    let fleet = Fleet::new(counts)?;
    if !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let Some(shape) = fleet.likeliest_shape() else {
        let rate = fleet.events / fleet.exposure;
        return rate.is_finite().then_some(Shrunken::Pooled { rate });
    };
    let mean = fleet.level(shape) * fleet.events / fleet.exposure;
    let rate = shape / mean;
    let tail = (1.0 - confidence) / 2.0;
    let unit = |&(k, exposure): &(u64, f64)| {
        let (own_shape, own_rate) = (shape + k as f64, rate + exposure);
        let interval = Interval {
            lower: quantile(own_shape, Tail::Lower(tail))? / own_rate,
            upper: quantile(own_shape, Tail::Upper(tail))? / own_rate,
        };
        let mean = own_shape / own_rate;
        (mean.is_finite() && interval.upper.is_finite()).then_some(Unit { mean, interval })
    };
    let units = counts.iter().map(unit).collect::<Option<Vec<Unit>>>()?;
    (rate > 0.0 && rate.is_finite()).then_some(Shrunken::Prior { shape, rate, units })
}

/// All units, with the exposures as the events that the pooled rate would lead one to expect.
struct Fleet {
    /// Count and expected count of each unit; both have the same sum.
    units: Vec<(u64, f64)>,
    events: f64,
    exposure: f64,
}

impl Fleet {
    fn new(counts: &[(u64, f64)]) -> Option<Self> {
        let events: f64 = counts.iter().map(|&(k, _)| k as f64).sum();
        let exposure: f64 = counts.iter().map(|&(_, exposure)| exposure).sum();
        let all_are_real = counts.iter().all(|&(_, exposure)| exposure > 0.0) && exposure.is_finite();
        if counts.is_empty() || !all_are_real || events >= LARGEST_SHAPE {
            return None;
        }
        let units = counts.iter().map(|&(k, own)| (k, events * (own / exposure))).collect();
        Some(Self { units, events, exposure })
    }

    /// Returns the shape of the likeliest prior, or None when that is no prior at all but one common rate.
    ///
    /// The likelihood may have more than one peak when exposures differ much, so all peaks between
    /// neighbouring looks are compared, with each other and with the common rate.
    fn likeliest_shape(&self) -> Option<f64> {
        if self.events == 0.0 {
            return None;
        }
        let (first, last) = (libm::log(SHAPES.0), libm::log(SHAPES.1));
        let ln_shape = |look: u32| first + (last - first) * f64::from(look) / f64::from(LOOKS);
        let mut best = None;
        let mut most = 0.0;
        let mut before = (ln_shape(0), self.slope(libm::exp(ln_shape(0))));
        for look in 1..=LOOKS {
            let here = (ln_shape(look), self.slope(libm::exp(ln_shape(look))));
            if before.1 > 0.0 && here.1 <= 0.0 {
                let shape = libm::exp(root_between(before, here, |ln_shape| self.slope(libm::exp(ln_shape))));
                let gain = self.ln_gain(shape);
                if gain > most {
                    (best, most) = (Some(shape), gain);
                }
            }
            before = here;
        }
        best
    }

    /// Returns the likeliest mean of the prior with this `shape`, as a multiple of the pooled rate.
    ///
    /// It is where the sum of m (a + k) / (a + m) is the number of events, m being the expected counts at
    /// that level. The sum is concave in the level, so Newton's method lands below the root with its first
    /// step and nears it from there.
    fn level(&self, shape: f64) -> f64 {
        let mut level = 1.0;
        for _ in 0..ROOT_STEPS {
            let (mut missing, mut slope) = (0.0, 0.0);
            for &(k, m) in &self.units {
                let part = shape / (shape + level * m);
                missing += part * (k as f64 - level * m);
                slope += part * part * m * (1.0 + k as f64 / shape);
            }
            let step = missing / slope;
            let next = level + step;
            if !next.is_finite() {
                break;
            }
            // A first step may go too far down; from half the way the next one is a first step again.
            level = if next > 0.0 { next } else { level / 2.0 };
            // The error after a step is about the step squared, so the last one need not be repeated.
            if step.abs() <= 1e-9 * level {
                break;
            }
        }
        level
    }

    /// Returns the derivative by the shape of the logarithm of the likelihood, at the likeliest mean.
    fn slope(&self, shape: f64) -> f64 {
        let level = self.level(shape);
        let of_unit = |&(k, m): &(u64, f64)| {
            let m = level * m;
            digamma_difference(shape, k) - libm::log1p(m / shape) + (m - k as f64) / (shape + m)
        };
        self.units.iter().map(of_unit).sum()
    }

    /// Returns how much larger the logarithm of the likelihood is at this shape and its likeliest mean than
    /// with one common rate.
    fn ln_gain(&self, shape: f64) -> f64 {
        let level = self.level(shape);
        let of_unit = |&(k, m): &(u64, f64)| {
            let count = k as f64;
            // ln of Gamma(a + k) / (Gamma(a) a^k), each gamma function as Stirling's formula with its error.
            let rising = if k == 0 {
                0.0
            } else {
                (shape + count - 0.5) * libm::log1p(count / shape) - count + stirling::error(shape + count)
                    - stirling::error(shape)
            };
            rising - (shape + count) * libm::log1p(level * m / shape) + m
        };
        self.units.iter().map(of_unit).sum::<f64>() + self.events * libm::log(level)
    }
}

/// Returns the root of `slope` between two points, by false position with the Illinois correction (M.
/// Dowell and P. Jarratt 1971, BIT 11:168-174), which keeps the root between the points.
fn root_between(mut low: (f64, f64), mut high: (f64, f64), slope: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..ROOT_STEPS {
        if high.1 == 0.0 || (high.0 - low.0).abs() <= 1e-14 {
            break;
        }
        let at = high.0 - high.1 * (high.0 - low.0) / (high.1 - low.1);
        let found = (at, slope(at));
        if !(at - high.0).is_normal() {
            break;
        }
        // Either the new point takes the other side's place, or that side has stayed and counts half.
        low = if (found.1 > 0.0) == (high.1 > 0.0) { (low.0, low.1 / 2.0) } else { high };
        high = found;
    }
    high.0
}

/// Returns digamma(`a` + `k`) - digamma(`a`).
fn digamma_difference(a: f64, k: u64) -> f64 {
    if k <= SUMMED_TERMS {
        return (0..k).map(|j| 1.0 / (a + j as f64)).sum();
    }
    let count = k as f64;
    libm::log1p(count / a) + digamma_less_ln(a + count) - digamma_less_ln(a)
}

/// Returns digamma(`x`) - ln(`x`).
fn digamma_less_ln(x: f64) -> f64 {
    let mut risen = 0.0;
    let mut n = x;
    while n < 16.0 {
        risen += libm::log1p(1.0 / n) - 1.0 / n;
        n += 1.0;
    }
    // The first omitted term of the asymptotic series (DLMF 5.11.2) is below 7e-15 for n >= 16.
    let n_squared = n * n;
    let tail = 1.0 / 252.0 - 1.0 / 240.0 / n_squared;
    let tail = 1.0 / 120.0 - tail / n_squared;
    let tail = 1.0 / 12.0 - tail / n_squared;
    risen - 0.5 / n - tail / n_squared
}

#[cfg(test)]
mod tests;
