//! The mean of what falls within a given time: how many of the first so many seconds a duration
//! takes up.
//!
//! Takes a curve and the time, gives a mean in seconds. A mean over all time would need to know how
//! the open ones end; this one needs only that they were followed for so long. Leaves out its limits, which `bounded_mean`
//! gives without a shape of the times, and the choice of the time, which must be made before the data are seen.

use super::Curve;

impl Curve {
    /// Returns the mean duration in seconds when each is cut off at `tau` seconds.
    ///
    /// The area under S from 0 to tau (J. O. Irwin 1949, Journal of Hygiene 47:188-189; E. L. Kaplan
    /// and P. Meier 1958).
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
    /// assert_eq!(curve.restricted_mean(8), Some(6.0));
    /// assert_eq!(curve.restricted_mean(10), None);
    /// ```
    pub fn restricted_mean(&self, tau: i64) -> Option<f64> {
        let shortest = self.steps.first().map_or(0, |step| step.seconds);
        if tau <= 0 || shortest < 0 || (tau > self.longest && !self.all_ended()) {
            return None;
        }
        let (mut later, mut area) = (tau, 0.0);
        for step in self.steps.iter().rev().filter(|step| step.seconds < tau) {
            area += step.survival * later.saturating_sub(step.seconds) as f64;
            later = step.seconds;
        }
        Some(area + later as f64)
    }
}

#[cfg(test)]
mod tests;
