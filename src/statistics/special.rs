//! The beta distribution with whole shapes: its lower tail and the point where that tail has a
//! given size.
//!
//! Takes shapes and a probability, gives a number between 0 and 1 together with its complement,
//! because a limit near 1 and a limit near 0 both need all their digits. Uses no logarithm of the
//! gamma function: the difference of two such logarithms loses four digits at a million checks.
//! Leaves out shapes that are not whole; counts always are.

use super::lentz::lentz;
use super::stirling;
use std::f64::consts::PI;

/// The largest `a + b` that is answered. No count of recorded checks comes near it, and the time an
/// answer takes grows with its square root.
pub const LARGEST_SHAPE_SUM: u64 = 1_000_000_001;

/// Most steps of the continued fraction per square root of `a + b`; two or three are needed.
const FRACTION_STEPS: f64 = 20.0;

/// Most steps of the root search; six are usual, fifteen were the most seen.
const ROOT_STEPS: u32 = 200;

/// A number between 0 and 1 and what is missing to 1, each exact to the last digit but one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The number.
    pub value: f64,
    /// One minus the number, not found by that subtraction where it would lose digits.
    pub rest: f64,
}

impl Share {
    /// Returns what share of the whole `part` is, when `rest` is what else there is.
    ///
    /// None when a part is not above 0, not finite, or so much smaller than the other that the share
    /// is 0 or 1 to the last digit.
    pub(super) fn of_parts(part: f64, rest: f64) -> Option<Self> {
        let whole = part + rest;
        let share = Self { value: part / whole, rest: rest / whole };
        let inside = |x: f64| x > 0.0 && x < 1.0;
        let sensible = part > 0.0 && rest > 0.0 && whole.is_finite();
        (sensible && inside(share.value) && inside(share.rest)).then_some(share)
    }
}

/// Returns the natural logarithm of the probability that a beta variable with shapes `a` and `b` is
/// at most `at`.
///
/// That probability is the regularized incomplete beta function I_x(a, b). It is the kernel x^a
/// (1-x)^b / B(a, b) divided by a continued fraction. The kernel is C. Loader's saddle-point form
/// (2000, "Fast and accurate computation of binomial probabilities"): B(a, b) is written as a
/// binomial coefficient, each factorial as Stirling's formula with its error, and what is left are
/// two deviances, how far a and b are from the counts (a+b) x and (a+b) (1-x) that x would lead one
/// to expect. The fraction is the one of DiDonato and Morris (1992), on the side of the mean where
/// its terms are positive.
///
/// None when a shape is 0, `a + b` is above [`LARGEST_SHAPE_SUM`], or a part of `at` is not
/// above 0, or both do not add up to 1.
///
/// ```
/// use pinindex::statistics::special::{Share, ln_beta_tail};
///
/// // I_x(1, 2) = 1 - (1-x)^2.
/// let half = Share { value: 0.5, rest: 0.5 };
/// let tail = ln_beta_tail(half, 1, 2).map(libm::exp);
/// assert!((tail.unwrap() - 0.75).abs() < 1e-15);
/// assert_eq!(ln_beta_tail(half, 0, 2), None);
/// ```
pub fn ln_beta_tail(at: Share, a: u64, b: u64) -> Option<f64> {
    // The complement of a share of 1e-20 is 1 to the last digit, and still nothing is lost.
    let inside = |x: f64| x > 0.0 && x <= 1.0;
    let whole = (at.value + at.rest - 1.0).abs() <= f64::EPSILON;
    (shapes_are_answered(a, b) && inside(at.value) && inside(at.rest) && whole).then(|| Tail::at(at, a, b).ln_lower)
}

/// Returns the point below which a beta variable with shapes `a` and `b` falls with probability
/// `p`.
///
/// `p` is the smaller tail, above 0 and at most 1/2; the point with a larger `p` is the complement
/// of the point with `1 - p` and the shapes exchanged. One shape 1 is solved in closed form.
/// Otherwise Newton's method runs on the logarithm of the tail against the logarithm of the point,
/// or of its complement if that is the smaller one. That curve is concave, so after one step at
/// most the method nears the root from one side only; a bracket, halved when a step leaves it,
/// guards against rounding. The relative error of `value` and `rest` was below 3e-15 wherever it
/// was measured against 40 digits, up to a + b = 1e6.
///
/// None for other `p` and for shapes that [`ln_beta_tail`] does not answer.
///
/// ```
/// use pinindex::statistics::special::beta_quantile;
///
/// // I_x(2, 2) = 3x^2 - 2x^3 has its median in the middle.
/// let median = beta_quantile(0.5, 2, 2).unwrap();
/// assert!((median.value - 0.5).abs() < 1e-15);
/// assert_eq!(beta_quantile(0.975, 2, 2), None);
/// ```
pub fn beta_quantile(p: f64, a: u64, b: u64) -> Option<Share> {
    if !(shapes_are_answered(a, b) && p > 0.0 && p <= 0.5) {
        return None;
    }
    if b == 1 {
        let ln_value = libm::log(p) / a as f64;
        return Some(Share { value: libm::exp(ln_value), rest: -libm::expm1(ln_value) });
    }
    if a == 1 {
        let ln_rest = libm::log1p(-p) / b as f64;
        return Some(Share { value: -libm::expm1(ln_rest), rest: libm::exp(ln_rest) });
    }
    let ln_p = libm::log(p);
    let half = Share { value: 0.5, rest: 0.5 };
    let below_half = a <= b || Tail::at(half, a, b).ln_lower >= ln_p;
    Some(search(ln_p, a, b, below_half))
}

fn shapes_are_answered(a: u64, b: u64) -> bool {
    a > 0 && b > 0 && a.checked_add(b).is_some_and(|sum| sum <= LARGEST_SHAPE_SUM)
}

/// Finds where the logarithm of the lower tail is `ln_p`, in the value if it is `below_half`, else
/// in its complement.
fn search(ln_p: f64, a: u64, b: u64, below_half: bool) -> Share {
    let share = |small: f64| {
        let (value, rest) = if below_half { (small, 1.0 - small) } else { (1.0 - small, small) };
        Share { value, rest }
    };
    let (mut low, mut high) = (0.0, 0.5);
    let own_shape = if below_half { a } else { b };
    let mut small = f64::min(own_shape as f64 / (a + b) as f64, 0.5);
    for _ in 0..ROOT_STEPS {
        let tail = Tail::at(share(small), a, b);
        let excess = tail.ln_lower - ln_p;
        // The tail grows with the value, so it shrinks as the complement grows.
        if (excess > 0.0) == below_half {
            high = small;
        } else {
            low = small;
        }
        // d ln(tail) / d ln(small) = small * density / tail, and density = kernel / (value * rest).
        let steepness = libm::exp(tail.ln_kernel - tail.ln_lower) / (1.0 - small);
        let step = if below_half { excess / steepness } else { -excess / steepness };
        let next = small * libm::exp(-step);
        // The error after a Newton step is about the step squared, so the last one need not be
        // repeated.
        if step.abs() < 1e-12 {
            return share(next);
        }
        small = if low < next && next < high { next } else { low + (high - low) / 2.0 };
    }
    share(small)
}

/// What the root search needs to know at one point.
struct Tail {
    /// ln of x^a (1-x)^b / B(a, b), which is x (1-x) times the density.
    ln_kernel: f64,
    /// ln of I_x(a, b).
    ln_lower: f64,
}

impl Tail {
    fn at(x: Share, a: u64, b: u64) -> Self {
        let excess = excess(x, a, b);
        let ln_kernel = ln_kernel(x, a, b);
        let ln_lower = if excess <= 0.0 {
            ln_kernel - libm::log(continued_fraction(x, a as f64, b as f64, -excess))
        } else {
            let mirrored = Share { value: x.rest, rest: x.value };
            let fraction = continued_fraction(mirrored, b as f64, a as f64, excess);
            libm::log1p(-libm::exp(ln_kernel - libm::log(fraction)))
        };
        Self { ln_kernel, ln_lower }
    }
}

/// Returns how far n x lies above a, which is how far n (1-x) lies below b, where n = a + b.
fn excess(x: Share, a: u64, b: u64) -> f64 {
    let n = (a + b) as f64;
    // The smaller of the two numbers holds more digits, so it is asked.
    if x.value <= x.rest { n * x.value - a as f64 } else { b as f64 - n * x.rest }
}

/// Returns ln of x^a (1-x)^b / B(a, b) for shapes of 1 and more and x strictly between 0 and 1.
///
/// It is the saddle-point form that [`ln_beta_tail`] tells of. The probability of k in n is this
/// kernel with the shapes k and n - k, times n / (k (n-k)).
fn ln_kernel(x: Share, a: u64, b: u64) -> f64 {
    let (real_a, real_b, n) = (a as f64, b as f64, (a + b) as f64);
    let excess = excess(x, a, b);
    stirling::error_of_count(a + b)
        - stirling::error_of_count(a)
        - stirling::error_of_count(b)
        - deviance(real_a, n * x.value, excess)
        - deviance(real_b, n * x.rest, -excess)
        + 0.5 * libm::log(real_a * (real_b / n) / (2.0 * PI))
}

/// Returns `count` ln(`count` / `expected`) + `excess`, where `excess` is `expected` - `count`.
///
/// Near `count` both terms cancel. There, with t = excess / count and v = t / (2 + t), the sum is
/// count (t v - 2 (v^3/3 + v^5/5 + ...)), which does not (Loader 2000, function bd0).
pub(super) fn deviance(count: f64, expected: f64, excess: f64) -> f64 {
    let t = excess / count;
    if t.abs() >= 0.5 {
        return count * libm::log(count / expected) + excess;
    }
    let v = t / (2.0 + t);
    let v_squared = v * v;
    let mut series = 0.0;
    let mut power = 2.0 * v * v_squared;
    // |v| is at most 1/3, so some fifteen terms are enough.
    for odd in (3..=99).step_by(2) {
        let longer = series + power / f64::from(odd);
        if longer == series {
            break;
        }
        series = longer;
        power *= v_squared;
    }
    count * (t * v - series)
}

/// Returns x^a (1-x)^b / B(a, b) divided by I_x(a, b), for x at or below the mean.
///
/// `shortfall` is a - (a+b) x, given so that it need not be computed with loss of digits. The
/// fraction b1 + a1/(b2 + a2/(b3 + ...)) is that of A. R. DiDonato and A. H. Morris 1992,
/// "Algorithm 708", ACM Transactions on Mathematical Software 18:360-373. Below the mean it has
/// only positive terms, so nothing cancels, and it ends at the b-th. It is evaluated by the
/// modified method of Lentz, which needs no guard against a zero for the same reason.
fn continued_fraction(x: Share, a: f64, b: f64, shortfall: f64) -> f64 {
    let most_steps = (FRACTION_STEPS * (a + b).sqrt()) as u64 + 100;
    let first = a * (shortfall + 1.0) / (a + 1.0);
    lentz(first, most_steps, |m| {
        let odd = a + 2.0 * m - 1.0;
        let above = ((a + m - 1.0) / odd) * ((a + b + m - 1.0) / odd) * (m * x.value) * ((b - m) * x.value);
        let beside = m + m * (b - m) * x.value / odd + (a + m) / (odd + 2.0) * (shortfall + 1.0 + m * (1.0 + x.rest));
        (above, beside)
    })
}

#[cfg(test)]
mod tests;
