//! The limits against closed forms, printed tables and properties.

use super::*;
use crate::statistics::poisson::{at_least, at_most};
use proptest::prelude::*;

fn relative_error(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

#[test]
fn printed_tables_come_out_to_their_digits() {
    // The 95 % limits of a Poisson count as tables print them after Garwood 1936; quoted from memory to
    // three decimals, beside ten that scipy 1.17.1 gave (stats.chi2.ppf).
    for (k, printed, lower, upper) in [
        (0, ("0.000", "3.689"), 0.0, 3.6888794541),
        (1, ("0.025", "5.572"), 0.0253178080, 5.5716433909),
        (2, ("0.242", "7.225"), 0.2422092785, 7.2246876677),
        (3, ("0.619", "8.767"), 0.6186721229, 8.7672730697),
        (4, ("1.090", "10.242"), 1.0898653736, 10.2415886754),
        (5, ("1.623", "11.668"), 1.6234863901, 11.6683320793),
        (10, ("4.795", "18.390"), 4.7953886961, 18.3903560420),
        (20, ("12.217", "30.888"), 12.2165195854, 30.8883779027),
        (50, ("37.111", "65.919"), 37.1109637375, 65.9187666643),
        (100, ("81.364", "121.627"), 81.3639912509, 121.6267937924),
    ] {
        let found = garwood(k, 1.0, 0.95).unwrap();
        assert_eq!((&*format!("{:.3}", found.lower), &*format!("{:.3}", found.upper)), printed, "{k} events");
        assert!((found.lower - lower).abs() < 1e-10 && (found.upper - upper).abs() < 1e-10, "{k}: {found:?}");
    }
}

#[test]
fn the_example_of_a_manual_comes_out() {
    // Manual of R, function poisson.test: 137 events in 24.19893 units.
    let found = garwood(137, 24.19893, 0.95).unwrap();
    assert_eq!(format!("{:.6} {:.6}", found.lower, found.upper), "4.753125 6.692709");
}

#[test]
fn a_month_of_six_machines_agrees_with_scipy() {
    // Events in 180 machine-days, limits per thousand; scipy 1.17.1, stats.chi2.ppf.
    let expected =
        [(0.0, 20.4938), (0.1407, 30.9536), (1.3456, 40.1372), (3.4371, 48.7071), (6.0548, 56.8977), (9.0194, 64.8241)];
    for (k, (lower, upper)) in expected.into_iter().enumerate() {
        let found = garwood(k as u64, 180.0, 0.95).unwrap();
        assert!((1000.0 * found.lower - lower).abs() < 6e-5, "{k}: {found:?}");
        assert!((1000.0 * found.upper - upper).abs() < 6e-5, "{k}: {found:?}");
    }
}

#[test]
fn nothing_is_said_about_what_cannot_be() {
    for exposure in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::from_bits(1)] {
        assert_eq!(garwood(1, exposure, 0.95), None, "exposure {exposure}");
    }
    for confidence in [0.0, 1.0, -0.5, 95.0, f64::NAN] {
        assert_eq!(garwood(1, 180.0, confidence), None, "confidence {confidence}");
    }
    assert_eq!(garwood(u64::MAX, 180.0, 0.95), None);
}

proptest! {
    #[test]
    fn the_tails_at_both_limits_are_what_was_left_over(
        k in 0_u64..5_000, exposure in 0.01..1e6_f64, confidence in 0.01..0.9999_f64,
    ) {
        let found = garwood(k, exposure, confidence).unwrap();
        let tail = (1.0 - confidence) / 2.0;
        if k > 0 {
            let at_lower = at_least(k, found.lower * exposure).unwrap();
            prop_assert!(relative_error(at_lower, tail) < 1e-11, "{at_lower}, not {tail}");
        }
        let at_upper = at_most(k, found.upper * exposure).unwrap();
        prop_assert!(relative_error(at_upper, tail) < 1e-11, "{at_upper}, not {tail}");
    }

    #[test]
    fn the_observed_rate_lies_between_the_limits(k in 0_u64..100_000, exposure in 0.01..1e6_f64) {
        let found = garwood(k, exposure, 0.95).unwrap();
        let observed = k as f64 / exposure;
        prop_assert!(found.lower <= observed && observed < found.upper);
        prop_assert_eq!(found.lower == 0.0, k == 0);
        let more = garwood(k + 1, exposure, 0.95).unwrap();
        prop_assert!(found.lower < more.lower && found.upper < more.upper);
    }

    #[test]
    fn no_input_panics(k: u64, exposure: f64, confidence in 0.0..1.0_f64) {
        for k in [k, k % 100_000] {
            if let Some(found) = garwood(k, exposure, confidence) {
                prop_assert!(0.0 <= found.lower && found.lower <= found.upper && found.upper.is_finite());
            }
        }
    }
}
