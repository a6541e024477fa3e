//! From a number to the digits that are printed, the one place where anything is rounded.
//!
//! Takes counts or limits, gives text in percent without the percent sign. A share is rounded to
//! the nearest digit; limits are rounded outward, so that the printed interval still covers what
//! the exact one covers.

use super::proportion::Interval;

/// The most decimals that are printed; more would show digits that the limits do not have.
pub const MOST_DECIMALS: u32 = 9;

/// How far a limit may be from a decimal and still be taken for it, relative to its size.
///
/// The limits carry an error of about 1e-15, which must not push 97.5 to 97.6.
const NOISE: f64 = 1e-13;

/// Returns both limits in percent: the lower one rounded down, the upper one rounded up.
///
/// A limit that is a decimal of that length already stays what it is, although hardly any decimal
/// is exact in binary: 0.05 is 5.0, not 5.1. A limit of 0 stays 0 and one of 1 stays 100; no
/// upper limit above 0 is printed as 0. At most [`MOST_DECIMALS`] decimals are given. A limit
/// outside 0 to 1, or not a number, is printed as the bound on its side.
///
/// ```
/// use pinindex::statistics::proportion::{Interval, clopper_pearson};
/// use pinindex::statistics::rounding::percent_outward;
///
/// let none_of_180 = clopper_pearson(0, 180, 0.95).unwrap(); // 0 to 0.02028...
/// assert_eq!(percent_outward(none_of_180, 1), ("0.0".to_owned(), "2.1".to_owned()));
///
/// let exact = Interval { lower: 0.05, upper: 0.29 };
/// assert_eq!(percent_outward(exact, 1), ("5.0".to_owned(), "29.0".to_owned()));
/// ```
pub fn percent_outward(interval: Interval, decimals: u32) -> (String, String) {
    let decimals = decimals.min(MOST_DECIMALS);
    // Of a bound and no number, `max` and `min` take the bound.
    let lower = to_units(interval.lower.max(0.0), decimals, f64::floor);
    let upper = to_units(interval.upper.min(1.0), decimals, f64::ceil);
    (with_point(lower, decimals), with_point(upper, decimals))
}

/// Returns `k` of `n` in percent, rounded half to even from the exact ratio of the two counts.
///
/// Half to even is the rounding of IEEE 754 and NIST SP 811: a tie goes to the even digit, so
/// that ties do not all go up. "–" when `n` is 0: there is no share of nothing, least of all 0 %.
/// At most [`MOST_DECIMALS`] decimals are given.
///
/// ```
/// use pinindex::statistics::rounding::percent;
///
/// assert_eq!(percent(3, 62, 1), "4.8");
/// assert_eq!(percent(1, 800, 2), "0.12"); // 0.125 is a tie
/// assert_eq!(percent(3, 800, 2), "0.38"); // 0.375 is a tie
/// assert_eq!(percent(0, 0, 1), "–");
/// ```
pub fn percent(k: u64, n: u64, decimals: u32) -> String {
    if n == 0 {
        return "–".to_owned();
    }
    let decimals = decimals.min(MOST_DECIMALS);
    let scaled = u128::from(k) * u128::from(units_in_one(decimals));
    let n = u128::from(n);
    let (below, left) = (scaled / n, scaled % n);
    let up = match (2 * left).cmp(&n) {
        std::cmp::Ordering::Less => 0,
        std::cmp::Ordering::Equal => below % 2,
        std::cmp::Ordering::Greater => 1,
    };
    with_point(below + up, decimals)
}

/// Returns both limits in their own unit with that many decimals: the lower one rounded down, the upper one rounded up.
///
/// As in [`percent_outward`], a limit that is a decimal of that length already stays what it is. A limit that is not a
/// number is printed as "–".
///
/// ```
/// use pinindex::statistics::rounding::outward;
///
/// assert_eq!(outward(-0.1234, -0.1111, 2), ("-0.13".to_owned(), "-0.11".to_owned()));
/// assert_eq!(outward(-0.001, 0.3, 1), ("-0.1".to_owned(), "0.3".to_owned()));
/// ```
pub fn outward(lower: f64, upper: f64, decimals: u32) -> (String, String) {
    (toward(lower, decimals, f64::floor), toward(upper, decimals, f64::ceil))
}

/// Returns a number as text with that many decimals, rounded by `round` unless it is such a decimal already.
fn toward(limit: f64, decimals: u32, round: fn(f64) -> f64) -> String {
    if !limit.is_finite() {
        return "–".to_owned();
    }
    let decimals = decimals.min(MOST_DECIMALS);
    let one = 10_f64.powi(decimals as i32);
    let exact = limit * one;
    let nearest = exact.round();
    let is_whole = (exact - nearest).abs() <= NOISE * exact.abs();
    // A negative nought is printed as nought.
    let units = if is_whole { nearest } else { round(exact) } + 0.0;
    format!("{:.*}", decimals as usize, units / one)
}

/// Returns how many units of the last printed digit make up the number 1, which is 100 percent.
fn units_in_one(decimals: u32) -> u64 {
    100 * 10_u64.pow(decimals)
}

/// Returns `limit` in units of the last printed digit, rounded by `outward` unless it is a whole
/// number of them, and kept from 0 to 100 percent.
fn to_units(limit: f64, decimals: u32, outward: fn(f64) -> f64) -> u128 {
    let one = units_in_one(decimals);
    let exact = limit * one as f64;
    let nearest = exact.round();
    let is_whole = (exact - nearest).abs() <= NOISE * exact;
    // The conversion takes what is below 0 for 0, and what is too large for the largest number.
    ((if is_whole { nearest } else { outward(exact) }) as u128).min(u128::from(one))
}

/// Returns a number of units of the last digit as text with that many decimals.
fn with_point(units: u128, decimals: u32) -> String {
    let one = 10_u128.pow(decimals);
    let (whole, part) = (units / one, units % one);
    match decimals {
        0 => whole.to_string(),
        _ => format!("{whole}.{part:0width$}", width = decimals as usize),
    }
}

#[cfg(test)]
mod tests;
