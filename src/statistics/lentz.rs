//! The value of a continued fraction, for the tails of the beta and the gamma distribution.
//!
//! Takes the terms as a function of their number; knows neither distribution.

/// Returns first + a1/(b1 + a2/(b2 + ...)), where `terms` gives (a, b) for the number of the step, 1 upward.
///
/// The modified method of Lentz (I. J. Thompson, A. R. Barnett 1986, Journal of Computational Physics 64:490-509; from
/// memory). Without its guard against a denominator of nought, which the fractions of this module's callers never have.
/// Ends where a step changes nothing, and at the
/// latest after `most` steps.
pub(super) fn lentz(first: f64, most: u64, terms: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut fraction = first;
    let mut c = first;
    let mut d = 0.0;
    for step in 1..=most {
        let (above, beside) = terms(step as f64);
        d = 1.0 / (beside + above * d);
        c = beside + above / c;
        let change = c * d;
        fraction *= change;
        if (change - 1.0).abs() <= f64::EPSILON {
            break;
        }
    }
    fraction
}
