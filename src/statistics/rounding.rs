//! From a number to the digits that are printed, the one place where anything is rounded.
//!
//! Takes counts or limits, gives text: shares in percent without the percent sign, rates in events per
//! so much exposure. A value is rounded to the nearest digit; limits are rounded outward, so that the
//! printed interval still covers what the exact one covers.

use super::proportion::Interval;

/// The most decimals that are printed; more would show digits that the limits do not have.
pub const MOST_DECIMALS: u32 = 9;

/// How far a limit may be from a decimal and still be taken for it, relative to its size.
///
/// The limits carry an error of about 1e-15, which must not push 97.5 to 97.6.
const NOISE: f64 = 1e-13;

/// From how many units of the last printed digit on a rate is no longer printed: its own digits end.
const MOST_UNITS: f64 = 1e15;

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
/// number, or too large to have its last digit, is printed as "–".
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
    let decimals = decimals.min(MOST_DECIMALS);
    let one = 10_u64.pow(decimals) as f64;
    let units = outward_units(limit * one, round);
    // Of a number that is too large the digits would be made up.
    if units.is_nan() || units.abs() >= MOST_UNITS {
        return "–".to_owned();
    }
    // A negative nought is printed as nought.
    format!("{:.*}", decimals as usize, units / one + 0.0)
}

/// Returns the limits of a ratio with one decimal, rounded outward; `∞` where there is no upper one.
///
/// ```
/// use pinindex::statistics::rounding::ratio_outward;
///
/// assert_eq!(ratio_outward(1.28, Some(7.21)), ("1.2".to_owned(), "7.3".to_owned()));
/// assert_eq!(ratio_outward(0.4, None).1, "∞");
/// ```
pub fn ratio_outward(lower: f64, upper: Option<f64>) -> (String, String) {
    rate_outward(Interval { lower, upper: upper.unwrap_or(f64::INFINITY) }, 1.0, 1)
}

/// Returns a chance from 0 to 1 for print: three decimals, four below 0.01, rounded up so that it never looks smaller
/// than it is; `< 0.001` for what is smaller still.
///
/// ```
/// use pinindex::statistics::rounding::p_value;
///
/// assert_eq!(p_value(0.0352), "0.036");
/// assert_eq!(p_value(0.00641), "0.0065");
/// assert_eq!(p_value(0.0009), "< 0.001");
/// assert_eq!(p_value(1.0), "1.000");
/// ```
pub fn p_value(p: f64) -> String {
    let (one, decimals) = if p < 0.01 { (10_000.0, 4) } else { (1000.0, 3) };
    if p < 0.001 {
        return "< 0.001".to_owned();
    }
    // Past the noise of the product, so that 0.035 stays 0.035.
    format!("{:.decimals$}", ((p * one - 1e-9).ceil() / one).min(1.0))
}

/// Returns the rate of `k` events during `exposure`, as events per `per` of it, rounded half to even.
///
/// An exposure is seldom exact in binary, so a rate within a relative 1e-13 of a tie is taken for the
/// tie. "–" when the exposure is not above 0 or not finite: there is no rate of nothing, least of all 0.
/// Also "–" when `per` is no such number, or the rate is too large to have its last digit (15 digits in
/// all). At most [`MOST_DECIMALS`] decimals are given.
///
/// ```
/// use pinindex::statistics::rounding::rate;
///
/// assert_eq!(rate(5, 180.0, 1000.0, 1), "27.8");
/// assert_eq!(rate(1, 80.0, 1000.0, 0), "12"); // 12.5 is a tie
/// assert_eq!(rate(0, 180.0, 1000.0, 1), "0.0");
/// assert_eq!(rate(0, 0.0, 1000.0, 1), "–");
/// ```
pub fn rate(k: u64, exposure: f64, per: f64, decimals: u32) -> String {
    let decimals = decimals.min(MOST_DECIMALS);
    let is_real = |x: f64| x > 0.0 && x < f64::INFINITY;
    let exact = k as f64 * per / exposure * 10_u64.pow(decimals) as f64;
    // An exposure below every sensible one makes the rate infinite, or no number.
    if !(is_real(exposure) && is_real(per) && exact < MOST_UNITS) {
        return "–".to_owned();
    }
    let tie = exact.floor() + 0.5;
    let rounded = if (exact - tie).abs() <= NOISE * exact { tie.round_ties_even() } else { exact.round() };
    with_point(rounded as u128, decimals)
}

/// Returns both limits of a rate as events per `per` of exposure: the lower one rounded down, the upper
/// one rounded up.
///
/// As in [`percent_outward`], a limit that is a decimal of that length already stays what it is, a limit
/// of 0 stays 0, and no upper limit above 0 is printed as 0. A lower limit that is no number or below 0 is
/// printed as 0; an upper one that is no number, or too large to have its last digit, as "∞".
///
/// ```
/// use pinindex::statistics::rate::garwood;
/// use pinindex::statistics::rounding::rate_outward;
///
/// let limits = garwood(5, 180.0, 0.95).unwrap(); // 9.0194 to 64.8241 in a thousand
/// assert_eq!(rate_outward(limits, 1000.0, 1), ("9.0".to_owned(), "64.9".to_owned()));
/// ```
pub fn rate_outward(interval: Interval, per: f64, decimals: u32) -> (String, String) {
    let decimals = decimals.min(MOST_DECIMALS);
    let scale = per * 10_u64.pow(decimals) as f64;
    // Of a bound and no number, `max` takes the bound. What is too large is as good as no limit: below, 0 is
    // never wrong.
    let lower = outward_units((interval.lower * scale).max(0.0), f64::floor);
    let upper = outward_units(interval.upper * scale, f64::ceil);
    let lower = if lower < MOST_UNITS { with_point(lower as u128, decimals) } else { with_point(0, decimals) };
    let upper = if upper < MOST_UNITS { with_point(upper as u128, decimals) } else { "∞".to_owned() };
    (lower, upper)
}

/// Returns `exact` units of the last printed digit rounded by `outward`, unless it is a whole number of
/// them but for noise.
fn outward_units(exact: f64, outward: fn(f64) -> f64) -> f64 {
    let nearest = exact.round();
    if (exact - nearest).abs() <= NOISE * exact.abs() { nearest } else { outward(exact) }
}

/// Returns how many units of the last printed digit make up the number 1, which is 100 percent.
fn units_in_one(decimals: u32) -> u64 {
    100 * 10_u64.pow(decimals)
}

/// Returns `limit` in units of the last printed digit, rounded by `outward` unless it is a whole
/// number of them, and kept from 0 to 100 percent.
fn to_units(limit: f64, decimals: u32, outward: fn(f64) -> f64) -> u128 {
    let one = units_in_one(decimals);
    // The conversion takes what is below 0 for 0, and what is too large for the largest number.
    (outward_units(limit * one as f64, outward) as u128).min(u128::from(one))
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
