//! The normal distribution against values of fifty digits and properties.

use super::*;
use proptest::prelude::*;

/// z and the tail below it: the f64 nearest to what mpmath 1.4.1 gave at 60 digits.
const TAILS: [(f64, f64); 10] = [
    (-30.0, 4.906713927148187e-198),
    (-10.0, 7.619853024160525e-24),
    (-5.0, 2.866515718791939e-07),
    (-1.959963984540054, 0.025000000000000012),
    (-1.0, 0.15865525393145705),
    (-0.1, 0.460172162722971),
    (1e-09, 0.5000000003989423),
    (0.5, 0.6914624612740131),
    (2.0, 0.9772498680518208),
    (6.0, 0.9999999990134123),
];

/// p and its quantile, from the same source by a search at 60 digits.
const QUANTILES: [(f64, f64); 19] = [
    (1e-300, -37.0470962993612),
    (1e-100, -21.273453560965326),
    (1e-20, -9.262340089798407),
    (1e-10, -6.361340902404057),
    (0.0005, -3.290526731491895),
    (0.001, -3.0902323061678136),
    (0.005, -2.575829303548901),
    (0.025, -1.9599639845400543),
    (0.05, -1.6448536269514726),
    (0.1, -1.2815515655446004),
    (0.2499, -0.67480447011061),
    (0.2501, -0.674175097074659),
    (0.4, -0.2533471031357997),
    (0.4999999, -2.5066282747031063e-07),
    (0.5000001, 2.506628273311648e-07),
    (0.7, 0.5244005127080407),
    (0.9, 1.2815515655446006),
    (0.975, 1.9599639845400538),
    (0.999, 3.090232306167813),
];

fn relative_error(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

#[test]
fn tails_agree_with_fifty_digits() {
    for (z, expected) in TAILS {
        let found = lower_tail(z);
        assert!(relative_error(found, expected) < 1e-15, "z = {z}: {found}, expected {expected}");
    }
}

#[test]
fn quantiles_agree_with_fifty_digits() {
    for (p, expected) in QUANTILES {
        let found = quantile(p).unwrap();
        assert!(relative_error(found, expected) < 1e-15, "p = {p}: {found}, expected {expected}");
    }
}

#[test]
fn the_ends_are_answered_with_sense() {
    assert_eq!(lower_tail(f64::NEG_INFINITY), 0.0);
    assert_eq!(lower_tail(f64::INFINITY), 1.0);
    assert_eq!(lower_tail(f64::MAX), 1.0);
    assert_eq!(lower_tail(f64::NAN), 0.5);
    // The smallest f64 there is holds one bit, so its quantile is no better than a hundredth.
    let smallest = quantile(f64::from_bits(1)).unwrap();
    assert!((smallest + 38.47).abs() < 0.05, "{smallest}");
    let next_to_one = quantile(1.0 - f64::EPSILON / 2.0).unwrap();
    assert!((next_to_one - 8.209536).abs() < 1e-6, "{next_to_one}");
}

#[test]
fn what_is_no_probability_has_no_quantile() {
    for p in [0.0, 1.0, -0.1, 2.0, f64::NAN, f64::INFINITY] {
        assert_eq!(quantile(p), None, "p = {p}");
    }
}

proptest! {
    #[test]
    fn the_tail_below_a_quantile_is_what_was_asked(exponent in -300.0..-0.31_f64) {
        let p = libm::pow(10.0, exponent);
        let z = quantile(p).unwrap();
        // A change of z by its last digit changes the tail by about z^2 times as much.
        let tolerance = 1e-15 * (2.0 + z * z);
        prop_assert!(relative_error(lower_tail(z), p) < tolerance, "p = {p}: z = {z}");
    }

    #[test]
    fn both_sides_mirror_each_other(p in 0.5_f64..1.0) {
        prop_assert_eq!(quantile(1.0 - p).map(|z| -z), quantile(p));
    }

    #[test]
    fn both_tails_add_up_to_one(z in -40.0..40.0_f64) {
        prop_assert!((lower_tail(z) + lower_tail(-z) - 1.0).abs() <= 2.0 * f64::EPSILON);
    }

    #[test]
    fn no_input_gives_anything_but_a_probability_or_a_finite_point(x: f64) {
        prop_assert!((0.0..=1.0).contains(&lower_tail(x)));
        prop_assert!(quantile(x).is_none_or(f64::is_finite));
    }
}
