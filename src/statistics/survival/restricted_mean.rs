//! The mean of what falls within a given time: how many of the first so many seconds a duration
//! takes up.
//!
//! Takes a curve and the time, gives a mean in seconds and its standard error. A mean over all time
//! would need to know how the open ones end; this one needs only that they were followed for so
//! long. Leaves out the choice of the time, which must be made before the data are seen.

use super::Curve;

/// The mean of durations of which each counts up to a given time at most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestrictedMean {
    /// The mean.
    pub mean_seconds: f64,
    /// The standard error of the mean, or None when nothing varies from which it could be told.
    pub standard_error: Option<f64>,
}

impl Curve {
    /// Returns the mean duration when each is cut off at `tau` seconds.
    ///
    /// The area under S from 0 to tau (J. O. Irwin 1949, Journal of Hygiene 47:188-189; E. L. Kaplan
    /// and P. Meier 1958). Variance: sum of A^2 d/(n(n - d)) over the steps before tau, where A is
    /// the area from the step to tau.
    ///
    /// None when `tau` is not above 0, when no duration was followed so long and some may still
    /// run, or when a duration is below 0.
    ///
    /// ```
    /// use pinindex::statistics::survival::{FollowUp, kaplan_meier};
    ///
    /// let curve = kaplan_meier(&[
    ///     FollowUp { seconds: 4, ended: true },
    ///     FollowUp { seconds: 9, ended: false },
    /// ])
    /// .unwrap();
    /// // (4 + 8) / 2: of the one still running the first 8 seconds count.
    /// assert_eq!(curve.restricted_mean(8).map(|mean| mean.mean_seconds), Some(6.0));
    /// assert_eq!(curve.restricted_mean(10), None);
    /// ```
    pub fn restricted_mean(&self, tau: i64) -> Option<RestrictedMean> {
        let shortest = self.steps.first().map_or(0, |step| step.seconds);
        if tau <= 0 || shortest < 0 || (tau > self.longest && !self.all_ended()) {
            return None;
        }
        let (mut later, mut area, mut variance) = (tau, 0.0, 0.0);
        // From the right, so that the area from each step to tau is there when it is needed.
        for step in self.steps.iter().rev().filter(|step| step.seconds < tau) {
            area += step.survival * later.saturating_sub(step.seconds) as f64;
            later = step.seconds;
            // Where all end no area is left, and n - d would divide by 0.
            if step.at_risk > step.ended {
                let (n, d) = (step.at_risk as f64, step.ended as f64);
                variance += area * area * d / (n * (n - d));
            }
        }
        let standard_error = Some(variance.sqrt()).filter(|error| *error > 0.0);
        Some(RestrictedMean { mean_seconds: area + later as f64, standard_error })
    }
}

#[cfg(test)]
mod tests;
