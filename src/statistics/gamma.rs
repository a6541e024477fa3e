//! The gamma distribution with any positive shape and scale 1: both its tails, and the point beyond
//! which a tail has a given size. With it the chi-square distribution.
//!
//! Takes a shape and a number, gives probabilities or a point. A scale or a rate is the caller's to
//! multiply or divide by. Uses no difference of logarithms of the gamma function, which would lose
//! digits at large shapes. The Poisson distribution, which is the same integral, is in `poisson`.

use super::lentz::lentz;
use super::special::deviance;
use super::stirling;
use std::f64::consts::PI;

/// The largest shape that is answered. No count of recorded faults comes near it, and the time an
/// answer takes grows with its square root.
pub const LARGEST_SHAPE: f64 = 1_000_000_001.0;

/// Most steps of a continued fraction per square root of the shape; two or three are needed.
const FRACTION_STEPS: f64 = 20.0;

/// Most steps of the root search; ten are usual.
const ROOT_STEPS: u32 = 200;

/// Which tail of a distribution has the given size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tail {
    /// The probability at or below the point.
    Lower(f64),
    /// The probability above the point.
    Upper(f64),
}

/// Returns the probability that a gamma variable with this `shape` and scale 1 is at most `x`.
///
/// That is the regularized lower incomplete gamma function P(shape, x) (DLMF 8.2.4). For the method and
/// its errors see [`upper_tail`], which has the same.
///
/// None when the shape is not above 0 or above [`LARGEST_SHAPE`], or `x` is below 0 or no number.
///
/// ```
/// use pinindex::statistics::gamma::lower_tail;
///
/// // Shape 1 is the exponential distribution: P(1, x) = 1 - e^-x.
/// assert!((lower_tail(1.0, 2.0).unwrap() - 0.8646647167633873).abs() < 1e-15);
/// assert_eq!(lower_tail(1.0, 0.0), Some(0.0));
/// assert_eq!(lower_tail(0.0, 1.0), None);
/// ```
pub fn lower_tail(shape: f64, x: f64) -> Option<f64> {
    tail(shape, x, |at| at.ln_lower, 0.0)
}

/// Returns the probability that a gamma variable with this `shape` and scale 1 is above `x`.
///
/// That is the regularized upper incomplete gamma function Q(shape, x) (DLMF 8.2.4). The smaller tail
/// is the kernel x^a e^-x / Gamma(a) divided by a continued fraction; the other one is its complement.
/// The kernel is C. Loader's saddle-point form (2000, "Fast and accurate computation of binomial
/// probabilities"): Stirling's formula with its error, and the deviance of x from a. Below the mean the
/// fraction is the limit for large b of that of DiDonato and Morris (1992) for the beta distribution,
/// which has only positive terms; above it that of Legendre (DLMF 8.9.2). Where shape and `x` are both
/// below 1, the power series DLMF 8.7.1 stands in, arranged so that a tiny tail keeps its digits.
///
/// The relative error was below 2e-14 wherever it was measured against 50 digits, for shapes up to 1e6
/// and tails down to 1e-10.
///
/// None when the shape is not above 0 or above [`LARGEST_SHAPE`], or `x` is below 0 or no number.
///
/// ```
/// use pinindex::statistics::gamma::upper_tail;
///
/// // Q(2, x) = (1 + x) e^-x.
/// assert!((upper_tail(2.0, 3.0).unwrap() - 0.1991482734714558).abs() < 1e-15);
/// assert_eq!(upper_tail(2.0, f64::INFINITY), Some(0.0));
/// ```
pub fn upper_tail(shape: f64, x: f64) -> Option<f64> {
    tail(shape, x, |at| at.ln_upper, 1.0)
}

/// Returns the point at which a tail of a gamma variable with this `shape` and scale 1 has the given
/// size.
///
/// Shape 1 is solved in closed form. Otherwise Newton's method runs on the logarithm of the smaller
/// tail against the logarithm of the point. Both tails are concave on that scale, so from a point on
/// the right side the method nears the root from that side only. Such points are known: a Chernoff
/// bound (S. Boucheron, G. Lugosi and P. Massart 2013, "Concentration inequalities", section 2.4)
/// and, for a lower tail, the first term of the power series. The relative error was below 1e-14
/// wherever it was measured against 50 digits, for shapes from 0.5 to 1e6 and tails down to 1e-10; at
/// shape 0.01, where the point is the hundredth power of its tail, below 3e-13.
///
/// 0 where the point is smaller than every f64, which happens at tiny shapes. None when the size is not
/// strictly between 0 and 1, or the shape is not above 0 or above [`LARGEST_SHAPE`].
///
/// ```
/// use pinindex::statistics::gamma::{Tail, quantile};
///
/// // Three events in so short a time are expected one time in forty.
/// assert!((quantile(3.0, Tail::Lower(0.025)).unwrap() - 0.6186721229).abs() < 1e-10);
/// assert_eq!(quantile(3.0, Tail::Upper(0.0)), None);
/// ```
pub fn quantile(shape: f64, tail: Tail) -> Option<f64> {
    let (Tail::Lower(size) | Tail::Upper(size)) = tail;
    if !(is_answered(shape) && size > 0.0 && size < 1.0) {
        return None;
    }
    // 1 - size is exact from 1/2 up.
    Some(match tail {
        Tail::Lower(size) if size <= 0.5 => of_lower(shape, size),
        Tail::Lower(size) => of_upper(shape, 1.0 - size),
        Tail::Upper(size) if size <= 0.5 => of_upper(shape, size),
        Tail::Upper(size) => of_lower(shape, 1.0 - size),
    })
}

/// Returns the point at which a tail of the chi-square distribution has the given size.
///
/// A chi-square variable with `degrees` of freedom is twice a gamma variable with half that shape.
///
/// None as for [`quantile`].
///
/// ```
/// use pinindex::statistics::gamma::{Tail, chi_square_quantile};
///
/// assert!((chi_square_quantile(1, Tail::Upper(0.05)).unwrap() - 3.841458820694124).abs() < 1e-14);
/// assert_eq!(chi_square_quantile(0, Tail::Upper(0.05)), None);
/// ```
pub fn chi_square_quantile(degrees: u64, tail: Tail) -> Option<f64> {
    Some(2.0 * quantile(degrees as f64 / 2.0, tail)?)
}

fn is_answered(shape: f64) -> bool {
    shape > 0.0 && shape <= LARGEST_SHAPE
}

/// Returns a tail at `x`, which is `at_nought` at 0 and its complement at infinity.
fn tail(shape: f64, x: f64, ln_tail: fn(&At) -> f64, at_nought: f64) -> Option<f64> {
    if !(is_answered(shape) && x >= 0.0) {
        return None;
    }
    if x == 0.0 {
        return Some(at_nought);
    }
    if x == f64::INFINITY {
        return Some(1.0 - at_nought);
    }
    Some(libm::exp(ln_tail(&At::new(shape, x))).min(1.0))
}

/// Returns the point whose lower tail is `size`, at most 1/2.
fn of_lower(shape: f64, size: f64) -> f64 {
    if shape == 1.0 {
        return -libm::log1p(-size);
    }
    let ln_size = libm::log(size);
    // Both lie below the root: the tail is at most x^a / Gamma(a + 1), and at most e^-l at a - sqrt(2 a l).
    let by_series = libm::exp((ln_size + ln_gamma_of_next(shape)) / shape);
    let by_bound = shape - (-2.0 * shape * ln_size).sqrt();
    search(by_series.max(by_bound), |x| {
        let at = At::new(shape, x);
        (at.ln_lower - ln_size) / libm::exp(at.ln_kernel - at.ln_lower)
    })
}

/// Returns the point whose upper tail is `size`, at most 1/2.
fn of_upper(shape: f64, size: f64) -> f64 {
    let ln_size = libm::log(size);
    if shape == 1.0 {
        return -ln_size;
    }
    // The upper tail is at most e^-l at a + sqrt(2 a l) + l, so this lies above the root.
    let start = shape + (-2.0 * shape * ln_size).sqrt() - ln_size;
    search(start, |x| {
        let at = At::new(shape, x);
        -(at.ln_upper - ln_size) / libm::exp(at.ln_kernel - at.ln_upper)
    })
}

/// Follows Newton's steps, which lower the logarithm of the point, from `start` to where they end.
fn search(start: f64, step_down: impl Fn(f64) -> f64) -> f64 {
    let mut x = start;
    for _ in 0..ROOT_STEPS {
        if x == 0.0 {
            break;
        }
        let step = step_down(x);
        if !step.is_finite() {
            break;
        }
        x *= libm::exp(-step);
        // The error after a step is about the step squared, so the last one need not be repeated.
        if step.abs() < 1e-9 {
            break;
        }
    }
    x
}

/// What is known about a gamma distribution at one point.
struct At {
    /// ln of x^a e^-x / Gamma(a), which is x times the density.
    ln_kernel: f64,
    /// ln of P(a, x).
    ln_lower: f64,
    /// ln of Q(a, x).
    ln_upper: f64,
}

impl At {
    fn new(a: f64, x: f64) -> Self {
        if a < 1.0 && x < 1.0 {
            return Self::near_nought(a, x);
        }
        let excess = x - a;
        let ln_kernel = 0.5 * libm::log(a / (2.0 * PI)) - stirling::error(a) - deviance(a, x, excess);
        let (ln_lower, ln_upper) = if excess <= 0.0 {
            let ln_lower = ln_kernel - libm::log(lower_fraction(a, x));
            (ln_lower, libm::log1p(-libm::exp(ln_lower).min(1.0)))
        } else {
            let ln_upper = ln_kernel - libm::log(upper_fraction(a, x));
            (libm::log1p(-libm::exp(ln_upper).min(1.0)), ln_upper)
        };
        Self { ln_kernel, ln_lower, ln_upper }
    }

    /// P(a, x) = x^a / Gamma(a + 1) times (1 + a s) with s the sum of (-x)^n / (n! (a + n)) from n = 1.
    ///
    /// Its logarithm is a sum of three numbers of the size of a, so that the complement has its digits
    /// even when a is tiny and the lower tail nearly 1.
    fn near_nought(a: f64, x: f64) -> Self {
        let mut sum = 0.0;
        let mut power = 1.0;
        // x is below 1, so some twenty terms are enough.
        for n in 1..=40 {
            let n = f64::from(n);
            power *= -x / n;
            let longer = sum + power / (a + n);
            if longer == sum {
                break;
            }
            sum = longer;
        }
        let ln_front = a * libm::log(x) - ln_gamma_of_next(a);
        let ln_lower = (ln_front + libm::log1p(a * sum)).min(0.0);
        Self { ln_kernel: ln_front + libm::log(a) - x, ln_lower, ln_upper: libm::log(-libm::expm1(ln_lower)) }
    }
}

/// Returns ln Gamma(a + 1), with all its digits also where `a` is tiny.
pub(super) fn ln_gamma_of_next(a: f64) -> f64 {
    const EULER: f64 = 0.577_215_664_901_532_9;
    let next = a + 1.0;
    // What the sum rounded off matters only near Gamma(1), where the slope is minus Euler's constant.
    let rounded_off = if a < 0.1 { a - (next - 1.0) } else { 0.0 };
    libm::lgamma(next) - EULER * rounded_off
}

/// Returns x^a e^-x / Gamma(a) divided by P(a, x), for `x` at or below `a`.
///
/// The fraction b1 + a1/(b2 + a2/(b3 + ...)) has only positive terms, so nothing cancels. It is
/// evaluated by the modified method of Lentz, which needs no guard against a zero for the same reason.
fn lower_fraction(a: f64, x: f64) -> f64 {
    let shortfall = a - x;
    let first = a * (shortfall + 1.0) / (a + 1.0);
    lentz(first, most_steps(a), |m| {
        let odd = a + 2.0 * m - 1.0;
        let above = ((a + m - 1.0) / odd) * (x / odd) * (m * x);
        let beside = m + m * x / odd + (a + m) / (odd + 2.0) * (shortfall + 1.0 + 2.0 * m);
        (above, beside)
    })
}

/// Returns x^a e^-x / Gamma(a) divided by Q(a, x), for `x` above `a` and not below 1.
///
/// The fraction is x + 1 - a - 1 (1 - a)/(x + 3 - a - 2 (2 - a)/(x + 5 - a - ...)). It ends where the
/// shape is whole.
fn upper_fraction(a: f64, x: f64) -> f64 {
    let excess = x - a;
    let first = excess + 1.0;
    lentz(first, most_steps(a), |m| {
        let above = m * (a - m);
        let beside = excess + 2.0 * m + 1.0;
        (above, beside)
    })
}

fn most_steps(a: f64) -> u64 {
    (FRACTION_STEPS * a.sqrt()) as u64 + 500
}

#[cfg(test)]
mod tests;
