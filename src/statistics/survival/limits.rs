//! How sure the curve, its quantiles and the share ended by a given time are.
//!
//! Takes a curve and a confidence, gives limits of shares and of times. The limits hold at each
//! time by itself, not for the whole curve at once. They rest on large numbers: in simulations the
//! interval of the median at 95 % covered 95 to 98 of a hundred from six durations on, but with
//! five its lower limit was too late in three to five of a hundred, and with fewer the caller lists
//! the durations instead. Where the curve has not begun to fall, or has ended, there is no such
//! limit, and where counts allow an exact one that is given.

use super::{Curve, Quantile};
use crate::statistics::normal;
use crate::statistics::proportion::{Interval, clopper_pearson};

/// The times between which a share of all durations ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuantileLimits {
    /// The lower limit.
    pub lower: Quantile,
    /// The upper limit; very often it is only known to be more than the longest follow-up.
    pub upper: Quantile,
}

/// The share of durations that have ended by a given time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareEnded {
    /// The share.
    pub share: f64,
    /// Its limits, or None when the data cannot give any.
    pub interval: Option<Interval>,
}

impl Curve {
    /// Returns the limits of the share that lasts longer, for each step of the curve.
    ///
    /// Variance of M. Greenwood 1926, "The natural duration of cancer", Reports on Public Health
    /// and Medical Subjects 33: of ln S it is V = sum d/(n(n - d)) over the steps so far. Limits on
    /// the scale of ln(-ln S), which stay between 0 and 1 (J. D. Kalbfleisch and R. L. Prentice
    /// 1980, "The statistical analysis of failure time data"): S^exp(-w) and S^exp(w) with w = z
    /// sqrt(V)/ln S.
    ///
    /// A step is None where S is 0, because V has no value there, and every step is when the
    /// confidence is not strictly between 0 and 1.
    ///
    /// ```
    /// use pinindex::statistics::survival::{FollowUp, kaplan_meier};
    ///
    /// let ended = |seconds| FollowUp { seconds, ended: true };
    /// let band = kaplan_meier(&[ended(1), ended(2)]).unwrap().band(0.95);
    /// let first = band[0].unwrap();
    /// assert!(first.lower < 0.006 && first.upper > 0.9);
    /// assert_eq!(band[1], None);
    /// ```
    pub fn band(&self, confidence: f64) -> Vec<Option<Interval>> {
        let z = (confidence > 0.0 && confidence < 1.0).then(|| normal::quantile((1.0 - confidence) / 2.0)).flatten();
        // V, and -ln S as a sum of its own: the logarithm of a share near 1 would have few digits.
        let (mut variance, mut hazard) = (0.0, 0.0);
        let limits = self.steps.iter().map(|step| {
            let (n, d) = (step.at_risk as f64, step.ended as f64);
            variance += d / (n * (n - d));
            hazard -= libm::log1p(-d / n);
            let w = z.filter(|_| step.at_risk > step.ended)?.abs() * variance.sqrt() / hazard;
            // With few durations the larger power can be beyond all numbers; its limit is then 0.
            let limit = |w: f64| libm::exp(-hazard * libm::exp(w));
            Some(Interval { lower: limit(w), upper: limit(-w) })
        });
        limits.collect()
    }

    /// Returns the limits of the time by which the share p = `numerator`/`denominator` has ended.
    ///
    /// Method of R. Brookmeyer and J. Crowley 1982, "A confidence interval for the median survival
    /// time", Biometrics 38:29-41, with the limits of [`Curve::band`]: the interval holds the times
    /// at which 1 - p lies within them. The lower limit is the first time at which the lower limit
    /// of S is at most 1 - p, the upper one the first at which the upper limit of S is. (After very
    /// few endings the lower limit of S may rise again; the first time still counts, which is the
    /// wider interval.) So a limit not reached means more than the longest follow-up.
    ///
    /// Where S is 0 the band has no limits and reaches nothing. When S comes to 0 before the lower
    /// limit is found, the lower limit is `NoData`: it can be anything up to there. Both limits are
    /// `NoData` when p is not above 0 and at most 1 or the confidence not strictly between 0 and 1.
    ///
    /// ```
    /// use pinindex::statistics::survival::{FollowUp, Quantile, kaplan_meier};
    ///
    /// let ended: Vec<FollowUp> = (1..=12).map(|seconds| FollowUp { seconds, ended: true }).collect();
    /// let median = kaplan_meier(&ended).unwrap().quantile_limits(1, 2, 0.95);
    /// assert_eq!((median.lower, median.upper), (Quantile::At(2), Quantile::At(10)));
    /// ```
    pub fn quantile_limits(&self, numerator: u64, denominator: u64, confidence: f64) -> QuantileLimits {
        let nothing = QuantileLimits { lower: Quantile::NoData, upper: Quantile::NoData };
        if numerator == 0 || numerator > denominator || !(confidence > 0.0 && confidence < 1.0) {
            return nothing;
        }
        let rest = (denominator - numerator) as f64 / denominator as f64;
        let band = self.band(confidence);
        let first = |limit: fn(Interval) -> f64| {
            let mut steps = self.steps.iter().zip(&band);
            let reached = steps.find(|(_, limits)| limits.is_some_and(|limits| limit(limits) <= rest));
            reached.map(|(step, _)| Quantile::At(step.seconds))
        };
        let not_reached = Quantile::MoreThan(self.longest);
        let lower =
            first(|limits| limits.lower).unwrap_or(if self.all_ended() { Quantile::NoData } else { not_reached });
        QuantileLimits { lower, upper: first(|limits| limits.upper).unwrap_or(not_reached) }
    }

    /// Returns the share that has ended by the time `seconds`, with its limits.
    ///
    /// The share is 1 - S, the limits those of [`Curve::band`] from the other side. Before the
    /// first step and where S is 0 these do not exist. There the limits are the exact ones of
    /// Clopper and Pearson: for none of all that were followed so long; for all, when none was lost
    /// from sight before. Otherwise they are None.
    ///
    /// None when no duration was followed so long and some may still run, or when the confidence is
    /// not strictly between 0 and 1.
    ///
    /// ```
    /// use pinindex::statistics::survival::{FollowUp, kaplan_meier};
    ///
    /// let curve = kaplan_meier(&[
    ///     FollowUp { seconds: 5, ended: true },
    ///     FollowUp { seconds: 7, ended: false },
    /// ])
    /// .unwrap();
    /// assert_eq!(curve.share_ended_by(6, 0.95).map(|by| by.share), Some(0.5));
    /// assert_eq!(curve.share_ended_by(8, 0.95), None);
    /// // Nought of two is not nought: the upper limit is 1 - 0.025^(1/2).
    /// let none = curve.share_ended_by(4, 0.95).unwrap();
    /// assert!(none.share == 0.0 && none.interval.unwrap().upper > 0.84);
    /// ```
    pub fn share_ended_by(&self, seconds: i64, confidence: f64) -> Option<ShareEnded> {
        if !(confidence > 0.0 && confidence < 1.0) || (seconds > self.longest && !self.all_ended()) {
            return None;
        }
        let past = self.steps.partition_point(|step| step.seconds <= seconds);
        let lost_before = self.running.partition_point(|followed| *followed < seconds) as u64;
        let Some(last) = past.checked_sub(1) else {
            let followed = self.durations() - lost_before;
            return Some(ShareEnded { share: 0.0, interval: clopper_pearson(0, followed, confidence) });
        };
        let share = 1.0 - self.steps[last].survival;
        let by_band = self.band(confidence)[last];
        let interval = by_band.map(|limits| Interval { lower: 1.0 - limits.upper, upper: 1.0 - limits.lower });
        let all = self.durations();
        let exact = || (self.running.is_empty()).then(|| clopper_pearson(all, all, confidence)).flatten();
        Some(ShareEnded { share, interval: interval.or_else(exact) })
    }

    /// Returns whether S comes to 0: the longest follow-up ended.
    pub(super) fn all_ended(&self) -> bool {
        self.steps.last().is_some_and(|step| step.ended == step.at_risk)
    }

    /// Returns how many durations the curve was made of.
    fn durations(&self) -> u64 {
        self.running.len() as u64 + self.steps.iter().map(|step| step.ended).sum::<u64>()
    }
}

#[cfg(test)]
mod tests;
