//! How fast a reading drifts, and when it would reach its limit if it went on like that.
//!
//! Takes points (x, y) in any units, gives a slope in units of y per unit of x with its limits, and
//! a crossing in units of x. The slope is a median, so a single misread gauge hardly moves it.
//! Leaves out where a series must begin anew, how many readings are enough, and the step of the
//! gauge: when the readings spread over less than a step, most are alike, and the slope's interval
//! is too narrow around 0. It then misses a slow drift, though it does not make one up.

use super::inversions;
use super::normal;

/// The most points that are answered; there are half the square of it as many pairs to look at.
pub const MOST_POINTS: usize = 2000;

/// How often the observed span is the farthest that a crossing may lie beyond the last point.
pub const FARTHEST_SPANS: f64 = 2.0;

/// The slope of a straight line through points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// The median of the slopes between every two points, in units of y per unit of x.
    pub slope: f64,
    /// The lower limit of the slope.
    pub lower: f64,
    /// The upper limit of the slope.
    pub upper: f64,
    /// The median of all x, and the height there of the line that has as many points above as below.
    pub at: (f64, f64),
    /// How many points there are.
    pub n: usize,
    /// The two-sided probability that points without a trend give as many pairs in order, by
    /// Kendall's test.
    pub kendall_p: f64,
}

/// When a line reaches a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Crossing {
    /// No date can be given.
    NotDated(NotDated),
    /// The line reaches the limit after the last point and not too far beyond it.
    Dated {
        /// Where the steeper limit of the slope reaches it, the last point at the earliest.
        earliest: f64,
        /// Where the slope itself reaches it.
        estimate: f64,
        /// Where the flatter limit of the slope reaches it; None when that is too far to say.
        latest: Option<f64>,
    },
}

/// Why no date can be given for a crossing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotDated {
    /// The interval of the slope holds 0: whether there is a drift at all could not be told.
    SlopeIncludesZero,
    /// The line leads away from the limit.
    AwayFromLimit,
    /// The line has reached the limit at the last point or before it.
    AlreadyReached,
    /// The line reaches the limit farther beyond the last point than [`FARTHEST_SPANS`] times the
    /// observed span.
    BeyondTwiceTheSpan,
}

/// Returns the slope of a line through the points, with its limits.
///
/// Estimate of H. Theil 1950, "A rank-invariant method of linear and polynomial regression
/// analysis", Proceedings of the Royal Netherlands Academy of Sciences 53:386-392: the median of
/// the N slopes between two points of different x. Interval of P. K. Sen 1968, "Estimates of the
/// regression coefficient based on Kendall's tau", Journal of the American Statistical Association
/// 63:1379-1389: the slopes of rank M and N + 1 - M. It holds just those slopes b for which
/// Kendall's test finds no trend in y - b x. M is the number of values of that test which lie in
/// one tail: by the exact distribution when there are no ties and at most sixty points, else by the
/// normal one with continuity correction, M = floor((N + 1 - z sigma)/2). sigma^2 is the variance
/// of Kendall's S with ties in x and y (M. G. Kendall 1975, "Rank correlation methods", 4th
/// edition, chapter 4). So the interval and `kendall_p` say the same of the slope 0 unless pairs
/// tie.
///
/// None when so few points cannot give an interval of that confidence (at 0.95, four or fewer),
/// when all x are the same, there are more than [`MOST_POINTS`], a number is not finite or too
/// large, or the confidence is not strictly between 0 and 1.
///
/// ```
/// use pinindex::statistics::slope::theil_sen;
///
/// let points: Vec<(f64, f64)> = (0..10).map(f64::from).map(|x| (x, 21.0 - x / 8.0)).collect();
/// let falling = theil_sen(&points, 0.95).unwrap();
/// assert_eq!((falling.slope, falling.upper, falling.at), (-0.125, -0.125, (4.5, 20.4375)));
/// assert_eq!(theil_sen(&points[..4], 0.95), None);
/// ```
pub fn theil_sen(points: &[(f64, f64)], confidence: f64) -> Option<Slope> {
    let n = points.len();
    let finite = points.iter().all(|(x, y)| x.is_finite() && y.is_finite());
    if n > MOST_POINTS || !finite || !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let (mut slopes, score) = pairs(points)?;
    let (x, y) = (Ordered::new(points.iter().map(|point| point.0)), Ordered::new(points.iter().map(|point| point.1)));
    let null = Null::of(&x, &y, slopes.len());

    let rank = null.rank((1.0 - confidence) / 2.0)?;
    // Both ranks must be there; a rank of 0 would be a slope beyond the outermost.
    if rank == 0 || 2 * rank > slopes.len() + 1 {
        return None;
    }
    let last = slopes.len() - rank;
    let (_, &mut lower, _) = slopes.select_nth_unstable_by(rank - 1, f64::total_cmp);
    let (_, &mut upper, _) = slopes.select_nth_unstable_by(last, f64::total_cmp);
    let slope = median(&mut slopes)?;
    let middle = x.median()?;
    let mut heights: Vec<f64> = points.iter().map(|(x, y)| y - slope * (x - middle)).collect();
    let height = median(&mut heights).filter(|height| height.is_finite())?;
    Some(Slope { slope, lower, upper, at: (middle, height), n, kendall_p: null.p(score) })
}

/// Returns when the line through `slope.at` reaches `limit`, given the last x and the span of x.
///
/// The line turns around `slope.at`: x = x median + (limit - height) / b, once with the slope as b
/// and once with each of its limits. A date needs a slope whose interval does not hold 0, and is
/// not given farther beyond the last point than [`FARTHEST_SPANS`] times the span. The height counts
/// as certain, so that in simulations `earliest` at 95 % was too late in up to five of a hundred
/// dates rather than two or three. (Around the median of y it would be in up to sixteen where a slow
/// drift is read off a coarse gauge: that median can only be a mark of the gauge.) And it says only
/// where a straight line leads: what wears out often fails faster at the end.
///
/// ```
/// use pinindex::statistics::slope::{Crossing, NotDated, crossing, theil_sen};
///
/// let points: Vec<(f64, f64)> = (0..10).map(f64::from).map(|x| (x, 21.0 - x / 8.0)).collect();
/// let falling = theil_sen(&points, 0.95).unwrap();
/// assert!(matches!(crossing(&falling, 19.5, 9.0, 9.0), Crossing::Dated { estimate: 12.0, .. }));
/// let far = crossing(&falling, 10.0, 9.0, 9.0);
/// assert_eq!(far, Crossing::NotDated(NotDated::BeyondTwiceTheSpan));
/// ```
pub fn crossing(slope: &Slope, limit: f64, last_x: f64, span: f64) -> Crossing {
    if slope.lower <= 0.0 && slope.upper >= 0.0 {
        return Crossing::NotDated(NotDated::SlopeIncludesZero);
    }
    let (x, y) = slope.at;
    let reached = |slope: f64| x + (limit - y) / slope;
    let near = |x: f64| x - last_x <= FARTHEST_SPANS * span;
    let estimate = reached(slope.slope);
    if estimate < x {
        return Crossing::NotDated(NotDated::AwayFromLimit);
    }
    if estimate <= last_x {
        return Crossing::NotDated(NotDated::AlreadyReached);
    }
    if !near(estimate) {
        return Crossing::NotDated(NotDated::BeyondTwiceTheSpan);
    }
    let ends = (reached(slope.lower), reached(slope.upper));
    let earliest = f64::max(f64::min(ends.0, ends.1), last_x);
    let latest = Some(f64::max(ends.0, ends.1)).filter(|latest| near(*latest));
    Crossing::Dated { earliest, estimate, latest }
}

/// Returns the slopes of all pairs with different x, and how many of them rise less how many fall;
/// None when there is no such pair or a slope is too large to be written.
fn pairs(points: &[(f64, f64)]) -> Option<(Vec<f64>, i64)> {
    let mut slopes = Vec::with_capacity(points.len() * points.len().saturating_sub(1) / 2);
    let mut score = 0;
    for (index, (x, y)) in points.iter().enumerate() {
        for (other_x, other_y) in &points[..index] {
            if x == other_x {
                continue;
            }
            let slope = (y - other_y) / (x - other_x);
            if !slope.is_finite() {
                return None;
            }
            // Decided by the readings: a slope can be too small to be written.
            let rises = (y > other_y) == (x > other_x);
            score += if y == other_y {
                0
            } else if rises {
                1
            } else {
                -1
            };
            slopes.push(slope);
        }
    }
    (!slopes.is_empty()).then_some((slopes, score))
}

/// Returns the middle number, or the mean of the two in the middle.
fn median(numbers: &mut [f64]) -> Option<f64> {
    let middle = numbers.len() / 2;
    if numbers.is_empty() {
        return None;
    }
    let even = numbers.len().is_multiple_of(2);
    let (below, &mut upper, _) = numbers.select_nth_unstable_by(middle, f64::total_cmp);
    let lower = below.iter().copied().max_by(f64::total_cmp).filter(|_| even).unwrap_or(upper);
    // Halved before they are added: the sum of two large numbers can be too large.
    Some(if lower == upper { upper } else { lower / 2.0 + upper / 2.0 })
}

/// One coordinate of all points, in order.
struct Ordered(Vec<f64>);

impl Ordered {
    fn new(numbers: impl Iterator<Item = f64>) -> Self {
        let mut numbers: Vec<f64> = numbers.collect();
        numbers.sort_unstable_by(f64::total_cmp);
        Self(numbers)
    }

    fn median(&self) -> Option<f64> {
        median(&mut self.0.clone())
    }

    /// Returns how many numbers each group of equal ones has.
    fn ties(&self) -> impl Iterator<Item = f64> {
        self.0.chunk_by(|one, next| one == next).map(|group| group.len() as f64)
    }
}

/// How Kendall's S, the pairs that rise less those that fall, is distributed without a trend.
enum Null {
    /// The probabilities of at least k rising pairs.
    Exact(Vec<f64>),
    /// Nearly normal around 0, with this standard deviation.
    Normal { sigma: f64, pairs: usize },
}

impl Null {
    fn of(x: &Ordered, y: &Ordered, pairs: usize) -> Self {
        let n = x.0.len();
        let no_ties = x.ties().chain(y.ties()).all(|group| group == 1.0);
        if let Some(tails) = inversions::tails(n).filter(|_| no_ties) {
            return Self::Exact(tails);
        }
        let n = n as f64;
        let sum = |ordered: &Ordered, term: fn(f64) -> f64| ordered.ties().map(term).sum::<f64>();
        let fifth = |t: f64| t * (t - 1.0) * (2.0 * t + 5.0);
        let second = |t: f64| t * (t - 1.0);
        let third = |t: f64| t * (t - 1.0) * (t - 2.0);
        let variance = (fifth(n) - sum(x, fifth) - sum(y, fifth)) / 18.0
            + sum(x, second) * sum(y, second) / (2.0 * second(n))
            // Two points have no third.
            + sum(x, third) * sum(y, third) / f64::max(9.0 * third(n), 1.0);
        Self::Normal { sigma: variance.max(0.0).sqrt(), pairs }
    }

    /// Returns the largest rank M for which fewer than M rising pairs have at most the probability
    /// `tail`.
    fn rank(&self, tail: f64) -> Option<usize> {
        match self {
            Self::Exact(tails) => Some(tails.iter().rev().take_while(|&&chance| chance <= tail).count()),
            Self::Normal { sigma, pairs } => {
                let above = *pairs as f64 + 1.0 + normal::quantile(tail)? * sigma;
                // The conversion takes what is below 0 for 0.
                Some((above / 2.0).floor() as usize)
            }
        }
    }

    fn p(&self, score: i64) -> f64 {
        match self {
            Self::Exact(tails) => {
                // Without ties S = 2 k - N, where k pairs of N rise; the larger of both tails is asked from above.
                let farther = (tails.len() as u64 - 1 + score.unsigned_abs()) / 2;
                let chance = usize::try_from(farther).ok().and_then(|k| tails.get(k).copied());
                f64::min(2.0 * chance.unwrap_or(0.0), 1.0)
            }
            Self::Normal { sigma, .. } if score == 0 || *sigma == 0.0 => 1.0,
            Self::Normal { sigma, .. } => {
                let z = (score.unsigned_abs() as f64 - 1.0) / sigma;
                f64::min(2.0 * normal::lower_tail(-z), 1.0)
            }
        }
    }
}

#[cfg(test)]
mod tests;
