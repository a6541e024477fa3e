//! How long things take when some of them are not over yet.
//!
//! Takes durations, each marked as ended or still running at the last look, and gives the share
//! that lasts longer than each time, and the time by which a given share has ended. A duration that
//! still runs is neither left out nor counted as if it ended: it counts for as long as it was
//! followed. How sure these are stands in `limits`, the mean within a given time in
//! `restricted_mean`. Leaves out every unit but seconds.

mod limits;
mod restricted_mean;

pub use limits::{QuantileLimits, ShareEnded};

use super::natural::Natural;

/// One duration as far as it was followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FollowUp {
    /// How long it lasted, or has lasted so far. Only the order of these numbers matters, so none
    /// is refused.
    pub seconds: i64,
    /// Whether it came to its end then, rather than still running.
    pub ended: bool,
}

/// The share of durations that last longer than each time.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// One step for each distinct time at which something ended, in order of time. Empty when
    /// nothing has ended.
    pub steps: Vec<Step>,
    /// How long each duration was followed that was still running, in order of time.
    pub running: Vec<i64>,
    /// The longest time that any duration was followed.
    pub longest: i64,
}

/// A time at which one or more durations ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The time.
    pub seconds: i64,
    /// How many durations lasted at least this long.
    pub at_risk: u64,
    /// How many of these ended at this time.
    pub ended: u64,
    /// The share that lasts longer than this time, from here to the next step.
    pub survival: f64,
    /// The same share as a fraction in lowest terms.
    ///
    /// None from the first step whose fraction does not fit into 128 bits, which takes a hundred
    /// durations or so; `survival` is then the previous step's number times this step's factor.
    /// Quantiles do not use it.
    pub exact: Option<Fraction>,
}

/// A fraction in lowest terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fraction {
    /// The number above the line.
    pub numerator: u128,
    /// The number below the line, never 0.
    pub denominator: u128,
}

/// The time by which a share of the durations has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantile {
    /// At this many seconds.
    At(i64),
    /// Not within the longest follow-up, which is this many seconds.
    MoreThan(i64),
    /// There is no duration to answer from, or the share asked for is not above 0 and at most 1.
    NoData,
}

/// Returns the curve of the share that lasts longer than each time, or None when there is no
/// duration at all.
///
/// Method of E. L. Kaplan and P. Meier 1958, "Nonparametric estimation from incomplete
/// observations", Journal of the American Statistical Association 53:457-481: at each time t at
/// which d of the n durations still followed come to their end, S(t) is the S before it times (n -
/// d)/n. At equal times endings come before the ends of follow-up, so a duration that was followed
/// until t and still runs counts among the n at t.
///
/// ```
/// use pinindex::statistics::survival::{FollowUp, kaplan_meier};
///
/// // Ended after 2 s and 5 s; one was still running after 3 s.
/// let curve = kaplan_meier(&[
///     FollowUp { seconds: 5, ended: true },
///     FollowUp { seconds: 2, ended: true },
///     FollowUp { seconds: 3, ended: false },
/// ])
/// .unwrap();
/// assert_eq!((curve.steps[0].at_risk, curve.steps[0].survival), (3, 2.0 / 3.0));
/// assert_eq!((curve.steps[1].at_risk, curve.steps[1].survival), (1, 0.0));
///
/// assert_eq!(kaplan_meier(&[]), None);
/// ```
pub fn kaplan_meier(durations: &[FollowUp]) -> Option<Curve> {
    let mut ordered = durations.to_vec();
    ordered.sort_by_key(|duration| duration.seconds);
    let longest = ordered.last()?.seconds;

    let mut steps: Vec<Step> = Vec::new();
    let mut at_risk = ordered.len() as u64;
    let mut survival = 1.0;
    let mut exact = Some(Fraction { numerator: 1, denominator: 1 });
    for same_time in ordered.chunk_by(|one, next| one.seconds == next.seconds) {
        let ended = same_time.iter().filter(|duration| duration.ended).count() as u64;
        if ended > 0 {
            exact = exact.and_then(|fraction| fraction.times(at_risk - ended, at_risk));
            survival = match exact {
                Some(fraction) => fraction.numerator as f64 / fraction.denominator as f64,
                None => survival * ((at_risk - ended) as f64 / at_risk as f64),
            };
            steps.push(Step { seconds: same_time[0].seconds, at_risk, ended, survival, exact });
        }
        at_risk -= same_time.len() as u64;
    }
    let running = ordered.iter().filter(|duration| !duration.ended).map(|duration| duration.seconds).collect();
    Some(Curve { steps, running, longest })
}

impl Curve {
    /// Returns the first time t by which the share p = `numerator`/`denominator` has ended: the
    /// first with S(t) <= 1-p.
    ///
    /// The median is the quantile of 1/2. Where S is exactly 1-p from one step to the next, every
    /// time between them would do, and the first is given; some programs give the middle instead.
    /// Whether S(t) <= 1-p is decided in whole numbers of any size: rounding 6/7 or 1/2 could
    /// otherwise move the answer to the next step.
    ///
    /// ```
    /// use pinindex::statistics::survival::{FollowUp, Quantile, kaplan_meier};
    ///
    /// let ended = |seconds| FollowUp { seconds, ended: true };
    /// let running = |seconds| FollowUp { seconds, ended: false };
    /// let curve = kaplan_meier(&[ended(1), ended(2), running(3), running(4)]).unwrap();
    /// assert_eq!(curve.quantile(1, 2), Quantile::At(2));
    /// assert_eq!(curve.quantile(9, 10), Quantile::MoreThan(4));
    /// assert_eq!(curve.quantile(3, 2), Quantile::NoData);
    /// ```
    pub fn quantile(&self, numerator: u64, denominator: u64) -> Quantile {
        if numerator == 0 || numerator > denominator {
            return Quantile::NoData;
        }
        // S is the product of all (at_risk - ended) over the product of all at_risk.
        let (mut lasting, mut followed) = (Natural::one(), Natural::one());
        for step in &self.steps {
            lasting = lasting.times(step.at_risk.saturating_sub(step.ended));
            followed = followed.times(step.at_risk);
            if lasting.times(denominator) <= followed.times(denominator - numerator) {
                return Quantile::At(step.seconds);
            }
        }
        Quantile::MoreThan(self.longest)
    }
}

impl Fraction {
    /// Returns this fraction times `above`/`below` in lowest terms, or None when that does not fit.
    fn times(self, above: u64, below: u64) -> Option<Self> {
        let (above, below) = (u128::from(above), u128::from(below));
        // Cancelling before multiplying leaves lowest terms, and overflows only when they do.
        let common = greatest_common_divisor(above, below);
        let (above, below) = (above / common, below / common);
        let across = greatest_common_divisor(self.numerator, below);
        let back = greatest_common_divisor(above, self.denominator);
        Some(Self {
            numerator: (self.numerator / across).checked_mul(above / back)?,
            denominator: (self.denominator / back).checked_mul(below / across)?,
        })
    }
}

fn greatest_common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests;
