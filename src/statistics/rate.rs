//! How sure a rate is: k events during a time or a number of machine-days, and the limits between
//! which the true rate lies.
//!
//! Takes a count, the exposure in any unit and a confidence, gives an interval in events per unit of
//! exposure. Leaves out the rounding for print (`rounding`) and what is counted: repeated failures of
//! one defect are one event, or the events are not independent and the limits too narrow.

use super::gamma::{Tail, quantile};
use super::proportion::Interval;

/// Returns the exact interval for the true rate after `k` events during `exposure`.
///
/// Method of F. Garwood 1936, "Fiducial limits for the Poisson distribution", Biometrika 28:437-442.
/// With a = 1 - confidence, the lower limit is the rate at which `k` or more events have probability
/// a/2, and the upper limit the rate at which `k` or fewer have probability a/2. In terms of the
/// chi-square distribution: lower = chi2(a/2; 2k) / (2 exposure), or 0 when k = 0; upper = chi2(1 - a/2;
/// 2k + 2) / (2 exposure). The interval covers the true rate at least as often as the confidence says,
/// for every rate and exposure. It is two-sided also when k = 0: the upper limit -ln(a/2) / exposure,
/// 3.69 / exposure at 95 %, is not the one-sided "rule of three".
///
/// None when nothing can be said: the exposure is not above 0 or not finite, the confidence is not
/// strictly between 0 and 1, the count is a thousand million or more, or a limit is larger than every
/// f64.
///
/// ```
/// use pinindex::statistics::rate::garwood;
///
/// // No fault in 180 machine-days leaves room for 20.5 in a thousand.
/// let none = garwood(0, 180.0, 0.95).unwrap();
/// assert_eq!(none.lower, 0.0);
/// assert!((1000.0 * none.upper - 20.4937747).abs() < 1e-7);
///
/// assert_eq!(garwood(3, 0.0, 0.95), None);
/// ```
pub fn garwood(k: u64, exposure: f64, confidence: f64) -> Option<Interval> {
    let exposure_is_real = exposure > 0.0 && exposure < f64::INFINITY;
    if !(exposure_is_real && confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let tail = (1.0 - confidence) / 2.0;
    // A chi-square variable with 2k degrees of freedom is twice a gamma variable with shape k.
    let lower = if k == 0 { 0.0 } else { quantile(k as f64, Tail::Lower(tail))? / exposure };
    let upper = quantile(k as f64 + 1.0, Tail::Upper(tail))? / exposure;
    upper.is_finite().then_some(Interval { lower, upper })
}

#[cfg(test)]
mod tests;
