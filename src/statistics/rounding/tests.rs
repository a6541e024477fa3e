//! Rounding outward against its edges and properties.

use super::*;
use crate::statistics::proportion::clopper_pearson;
use proptest::prelude::*;

fn outward(lower: f64, upper: f64, decimals: u32) -> (String, String) {
    percent_outward(Interval { lower, upper }, decimals)
}

fn pair(lower: &str, upper: &str) -> (String, String) {
    (lower.to_owned(), upper.to_owned())
}

#[test]
fn limits_go_outward() {
    assert_eq!(outward(0.06391, 0.06391, 1), pair("6.3", "6.4"));
    assert_eq!(outward(0.0201, 0.0299, 0), pair("2", "3"));
    assert_eq!(outward(1e-15, 1e-15, 1), pair("0.0", "0.1"));
    assert_eq!(outward(0.99999, 0.99999, 1), pair("99.9", "100.0"));
}

#[test]
fn nought_and_one_stay() {
    assert_eq!(outward(0.0, 1.0, 1), pair("0.0", "100.0"));
    assert_eq!(outward(0.0, 0.0, 0), pair("0", "0"));
    assert_eq!(outward(1.0, 1.0, 9), pair("100.000000000", "100.000000000"));
}

#[test]
fn limits_that_are_decimals_do_not_move() {
    for decimals in 0..=7 {
        let one = units_in_one(decimals);
        for units in (0..=one).step_by((one / 1000).max(1) as usize) {
            let limit = units as f64 / one as f64;
            let text = with_point(u128::from(units), decimals);
            assert_eq!(outward(limit, limit, decimals), (text.clone(), text));
        }
    }
    // Sums that miss their decimal by the last binary digit.
    assert_eq!(outward(0.1 + 0.2, 0.1 + 0.2, 1), pair("30.0", "30.0"));
    assert_eq!(outward(1.0 - 0.9, 0.7 + 0.1, 1), pair("10.0", "80.0"));
    // 0 of 1: the upper limit is 0.975 but for the noise of the logarithm.
    assert_eq!(percent_outward(clopper_pearson(0, 1, 0.95).unwrap(), 1), pair("0.0", "97.5"));
    assert_eq!(percent_outward(clopper_pearson(1, 1, 0.95).unwrap(), 1), pair("2.5", "100.0"));
}

#[test]
fn limits_that_are_no_limits_give_the_bound_on_their_side() {
    assert_eq!(outward(f64::NAN, f64::NAN, 1), pair("0.0", "100.0"));
    assert_eq!(outward(-1.0, 7.0, 1), pair("0.0", "100.0"));
    assert_eq!(outward(f64::NEG_INFINITY, f64::INFINITY, 0), pair("0", "100"));
}

#[test]
fn no_number_of_decimals_panics() {
    assert_eq!(outward(0.25, 0.5, u32::MAX), pair("25.000000000", "50.000000000"));
    assert_eq!(percent(1, 3, u32::MAX), "33.333333333");
}

#[test]
fn ties_go_to_the_even_digit() {
    assert_eq!(percent(1, 8, 0), "12");
    assert_eq!(percent(3, 8, 0), "38");
    assert_eq!(percent(1, 2000, 1), "0.0");
    assert_eq!(percent(3, 2000, 1), "0.2");
    // A hair beside the tie is no tie.
    assert_eq!(percent(125_001, 1_000_000, 0), "13");
    assert_eq!(percent(124_999, 1_000_000, 0), "12");
}

#[test]
fn shares_of_nothing_are_not_numbers() {
    assert_eq!(percent(0, 0, 1), "–");
    assert_eq!(percent(5, 0, 1), "–");
}

#[test]
fn the_largest_counts_fit() {
    assert_eq!(percent(u64::MAX, u64::MAX, 9), "100.000000000");
    assert_eq!(percent(u64::MAX, 1, 0), "1844674407370955161500");
    assert_eq!(percent(1, u64::MAX, 1), "0.0");
}

#[test]
fn rates_are_rounded_half_to_even() {
    assert_eq!(rate(1, 400.0, 1000.0, 0), "2");
    assert_eq!(rate(3, 400.0, 1000.0, 0), "8");
    assert_eq!(rate(7, 400.0, 1000.0, 0), "18");
    assert_eq!(rate(1, 180.0, 1000.0, 1), "5.6");
    assert_eq!(rate(137, 24.19893, 1.0, 6), "5.661407");
    // 2.5 but for the noise of an exposure that was added up from tenths.
    let exposure: f64 = [0.1; 4000].iter().sum();
    assert_ne!(exposure, 400.0);
    assert_eq!(rate(1, exposure, 1000.0, 0), "2");
}

#[test]
fn rates_of_nothing_are_not_numbers() {
    for exposure in [0.0, -3.0, f64::NAN, f64::INFINITY, f64::from_bits(1)] {
        assert_eq!(rate(1, exposure, 1000.0, 1), "–", "exposure {exposure}");
        assert_eq!(rate(0, exposure, f64::NAN, 1), "–", "exposure {exposure}");
    }
    assert_eq!(rate(u64::MAX, 1.0, 1000.0, 0), "–");
    assert_eq!(rate(1, 3.0, 1.0, u32::MAX), "0.333333333");
}

#[test]
fn limits_of_rates_go_outward() {
    let outward = |lower: f64, upper: f64| rate_outward(Interval { lower, upper }, 1000.0, 1);
    assert_eq!(outward(0.00901, 0.00909), pair("9.0", "9.1"));
    assert_eq!(outward(0.0, 1e-15), pair("0.0", "0.1"));
    assert_eq!(outward(0.0, 0.0), pair("0.0", "0.0"));
    // A rate may be above one event a day.
    assert_eq!(outward(1.5, 2.0), pair("1500.0", "2000.0"));
    // 0.1 + 0.2 is 0.3 but for noise.
    assert_eq!(outward(0.1 + 0.2, 0.1 + 0.2), pair("300.0", "300.0"));
    assert_eq!(outward(f64::NAN, f64::NAN), pair("0.0", "∞"));
    assert_eq!(outward(-1.0, f64::INFINITY), pair("0.0", "∞"));
    assert_eq!(outward(1e300, 1e300), pair("0.0", "∞"));
    assert_eq!(outward(f64::INFINITY, f64::NEG_INFINITY), pair("0.0", "0.0"));
}

proptest! {
    #[test]
    fn printed_limits_of_rates_enclose_the_limits_and_hardly_more(
        lower in 0.0..=50.0_f64, width in 0.0..=50.0_f64, decimals in 0_u32..=6,
    ) {
        let upper = lower + width;
        let printed = rate_outward(Interval { lower, upper }, 1000.0, decimals);
        let (low, high): (f64, f64) = (printed.0.parse().unwrap(), printed.1.parse().unwrap());
        let unit = libm::pow(0.1, f64::from(decimals));
        let slack = 1e-7;
        prop_assert!(low <= 1000.0 * lower + slack && 1000.0 * lower < low + unit + slack);
        prop_assert!(1000.0 * upper <= high + slack && high - unit < 1000.0 * upper + slack);
    }

    #[test]
    fn a_rate_over_whole_days_is_rounded_from_the_exact_ratio(
        k in 0_u64..5_000, days in 1_u64..400_000, decimals in 0_u32..=3,
    ) {
        let text = rate(k, days as f64, 1000.0, decimals);
        let units: u128 = text.replace('.', "").parse().unwrap();
        let exact = u128::from(k) * 1000 * 10_u128.pow(decimals);
        let (days, off) = (u128::from(days), (units * u128::from(days)).abs_diff(exact));
        prop_assert!(2 * off < days || (2 * off == days && units.is_multiple_of(2)), "{}", text);
    }

    #[test]
    fn no_rate_panics(k: u64, exposure: f64, per: f64, lower: f64, upper: f64, decimals: u32) {
        let texts = rate_outward(Interval { lower, upper }, per, decimals);
        prop_assert!(!rate(k, exposure, per, decimals).is_empty() && !texts.0.is_empty() && !texts.1.is_empty());
    }

    #[test]
    fn printed_limits_enclose_the_limits_and_hardly_more(
        low in 0.0..=1.0_f64, width in 0.0..=1.0_f64, decimals in 0_u32..=6,
    ) {
        let high = (low + width).min(1.0);
        let (lower, upper) = outward(low, high, decimals);
        let (lower, upper): (f64, f64) = (lower.parse().unwrap(), upper.parse().unwrap());
        let unit = libm::pow(0.1, f64::from(decimals));
        let slack = 1e-10;
        prop_assert!(lower <= 100.0 * low + slack && 100.0 * low < lower + unit + slack);
        prop_assert!(100.0 * high <= upper + slack && upper - unit < 100.0 * high + slack);
    }

    #[test]
    fn a_share_is_off_by_half_a_digit_at_most(k: u32, n in 1_u32.., decimals in 0_u32..=9) {
        let text = percent(u64::from(k), u64::from(n), decimals);
        let digits: u128 = text.replace('.', "").parse().unwrap();
        let exact = u128::from(k) * u128::from(units_in_one(decimals));
        prop_assert!((digits * u128::from(n)).abs_diff(exact) * 2 <= u128::from(n));
        prop_assert_eq!(text.split_once('.').map_or(0, |(_, part)| part.len()), decimals as usize);
    }
}
