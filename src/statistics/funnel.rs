//! Which units stand out from a common rate: how many events their exposure makes likely.
//!
//! Takes a target rate, an exposure and a coverage, gives limits to draw and a verdict on a count. The
//! limits widen as the exposure shrinks, hence the name of the picture. Leaves out how the target is
//! found: with few units it should come from the others, or a bad one hides behind its own weight.

use super::poisson::{at_least, at_most, exactly};
use super::proportion::Interval;

/// The largest mean that is answered, so that the counts around it are below a thousand million.
const LARGEST_MEAN: f64 = 9e8;

/// Where a count lies against what is likely at the target rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// So few events or fewer are unlikely.
    Below,
    /// The count is no reason to think that the rate is not the target.
    Within,
    /// So many events or more are unlikely.
    Above,
}

/// Returns the limits of the funnel at this `exposure`, as rates, for drawing.
///
/// Method of D. J. Spiegelhalter 2005, "Funnel plots for comparing institutional performance", Statistics
/// in Medicine 24:1185-1202, appendix: with F the Poisson distribution with mean target * exposure, r
/// the smallest count with F(r) >= p, and alpha = (F(r) - p) / (F(r) - F(r - 1)), the limit is (r -
/// alpha) / exposure, for p = (1 - coverage)/2 and (1 + coverage)/2; a limit below 0 is 0. The
/// interpolation makes the curves smooth. It puts the limit below the first count that is really
/// unlikely, so a unit may lie a little outside the curve and be no exception: [`outside`] decides.
///
/// None when the target or the exposure is not above 0, their product is 900 million or more, or the
/// coverage is not strictly between 0 and 1.
///
/// ```
/// use pinindex::statistics::funnel::limits;
///
/// // Ten in a thousand machine-days, seen over half a year: 0 to 24.657 in a thousand.
/// let half_year = limits(0.010, 180.0, 0.95).unwrap();
/// assert_eq!(half_year.lower, 0.0);
/// assert!((half_year.upper - 0.024657).abs() < 5e-7);
/// ```
pub fn limits(target: f64, exposure: f64, coverage: f64) -> Option<Interval> {
    let Question { mean, tail } = question(target, exposure, coverage)?;
    // The smallest count at which the lower tail has reached p, or the upper one fallen to the rest.
    let low = smallest(mean, tail, |k| Some(at_most(k, mean)? >= tail))?;
    let high = smallest(mean, tail, |k| Some(at_least(k + 1, mean)? <= tail))?;
    let low_part = (at_most(low, mean)? - tail) / exactly(low, mean)?;
    let high_part = (tail - at_least(high + 1, mean)?) / exactly(high, mean)?;
    let rate = |count: u64, part: f64| (count as f64 - part.clamp(0.0, 1.0)).max(0.0) / exposure;
    let upper = rate(high, high_part);
    upper.is_finite().then_some(Interval { lower: rate(low, low_part), upper })
}

/// Returns whether `k` events during `exposure` are more, or fewer, than the target rate makes likely.
///
/// Above means that at the target rate so many or more have probability (1 - coverage)/2 at most, below
/// that so few or fewer have. Exact, so a unit at the target is called either with no more than that
/// probability, however small its exposure. A count is above exactly when the target lies below its own
/// interval (`rate::garwood` at the same confidence).
///
/// None as for [`limits`], and for a count of a thousand million or more.
///
/// ```
/// use pinindex::statistics::funnel::{Side, outside};
///
/// assert_eq!(outside(8, 0.010, 180.0, 0.998), Some(Side::Above));
/// assert_eq!(outside(7, 0.010, 180.0, 0.998), Some(Side::Within));
/// // No event in half a year is nothing special at this rate.
/// assert_eq!(outside(0, 0.010, 180.0, 0.998), Some(Side::Within));
/// assert_eq!(outside(0, 0.010, 0.0, 0.998), None);
/// ```
pub fn outside(k: u64, target: f64, exposure: f64, coverage: f64) -> Option<Side> {
    let Question { mean, tail } = question(target, exposure, coverage)?;
    if at_least(k, mean)? <= tail {
        return Some(Side::Above);
    }
    Some(if at_most(k, mean)? <= tail { Side::Below } else { Side::Within })
}

/// Returns the smallest and the largest count that [`outside`] calls within.
///
/// None as for [`limits`].
///
/// ```
/// use pinindex::statistics::funnel::counts_within;
///
/// assert_eq!(counts_within(0.010, 180.0, 0.998), Some((0, 7)));
/// ```
pub fn counts_within(target: f64, exposure: f64, coverage: f64) -> Option<(u64, u64)> {
    let Question { mean, tail } = question(target, exposure, coverage)?;
    let low = smallest(mean, tail, |k| Some(at_most(k, mean)? > tail))?;
    let high = smallest(mean, tail, |k| Some(at_least(k + 1, mean)? <= tail))?;
    Some((low, high))
}

/// What is asked about a Poisson count.
struct Question {
    /// How many events are expected.
    mean: f64,
    /// How much is left over on each side.
    tail: f64,
}

fn question(target: f64, exposure: f64, coverage: f64) -> Option<Question> {
    let mean = target * exposure;
    let is_real = target > 0.0 && exposure > 0.0 && mean > 0.0 && mean < LARGEST_MEAN;
    (is_real && coverage > 0.0 && coverage < 1.0).then_some(Question { mean, tail: (1.0 - coverage) / 2.0 })
}

/// Returns the smallest count that has come `far_enough`, which all larger ones have too.
///
/// Below m - sqrt(2 m l) and above m + sqrt(2 m l) + l the tails of a Poisson count are at most e^-l (S.
/// Boucheron, G. Lugosi and P. Massart 2013, "Concentration inequalities", section 2.4), so the count
/// lies between.
fn smallest(mean: f64, tail: f64, far_enough: impl Fn(u64) -> Option<bool>) -> Option<u64> {
    let l = -libm::log(tail);
    let reach = (2.0 * mean * l).sqrt();
    // The conversion takes what is below 0 for 0.
    let (mut low, mut high) = ((mean - reach - 2.0) as u64, (mean + reach + l + 2.0) as u64);
    while low < high {
        let middle = low + (high - low) / 2;
        if far_enough(middle)? {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Some(low)
}

#[cfg(test)]
mod tests;
