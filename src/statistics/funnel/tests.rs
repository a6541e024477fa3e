//! The funnel against published rules, scipy and properties.

use super::*;
use crate::statistics::rate::garwood;
use proptest::prelude::*;

#[test]
fn limits_around_ten_in_a_thousand_agree_with_scipy() {
    // The formula of Spiegelhalter 2005 with scipy 1.17.1, stats.poisson; rates per thousand.
    for (exposure, coverage, lower, upper) in [
        (30.0, 0.95, 0.0, 45.268),
        (30.0, 0.998, 0.0, 92.659),
        (180.0, 0.95, 0.0, 24.657),
        (180.0, 0.998, 0.0, 37.676),
        (365.0, 0.95, 0.0, 20.253),
        (365.0, 0.998, 0.0, 28.538),
        (1095.0, 0.95, 4.025, 15.917),
        (1095.0, 0.998, 1.599, 20.078),
    ] {
        let found = limits(0.010, exposure, coverage).unwrap();
        assert!((1000.0 * found.lower - lower).abs() < 6e-4, "{exposure} at {coverage}: {found:?}");
        assert!((1000.0 * found.upper - upper).abs() < 6e-4, "{exposure} at {coverage}: {found:?}");
    }
}

#[test]
fn a_count_between_the_curve_and_the_first_unlikely_one_is_within() {
    // 1.8 are expected: 4.438 is the curve, 5 or more have probability 0.036, 6 or more 0.010.
    let curve = 180.0 * limits(0.010, 180.0, 0.95).unwrap().upper;
    assert!(4.0 < curve && curve < 5.0);
    assert_eq!(outside(5, 0.010, 180.0, 0.95), Some(Side::Within));
    assert_eq!(outside(6, 0.010, 180.0, 0.95), Some(Side::Above));
    assert_eq!(counts_within(0.010, 180.0, 0.95), Some((0, 5)));
}

#[test]
fn a_unit_can_only_be_below_when_enough_is_expected() {
    // None at all has probability e^-m, which is 0.025 at m = 3.69.
    assert_eq!(outside(0, 0.010, 368.0, 0.95), Some(Side::Within));
    assert_eq!(outside(0, 0.010, 369.0, 0.95), Some(Side::Below));
}

#[test]
fn nothing_is_said_about_what_cannot_be() {
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!((limits(bad, 10.0, 0.95), limits(0.1, bad, 0.95)), (None, None), "{bad}");
        assert_eq!((outside(1, bad, 10.0, 0.95), counts_within(0.1, bad, 0.95)), (None, None), "{bad}");
    }
    for coverage in [0.0, 1.0, 95.0, f64::NAN] {
        assert_eq!((limits(0.1, 10.0, coverage), outside(1, 0.1, 10.0, coverage)), (None, None), "{coverage}");
    }
    assert_eq!((outside(u64::MAX, 0.1, 10.0, 0.95), limits(1e9, 1.0, 0.95)), (None, None));
}

fn coverages() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.95), Just(0.998), 0.01..0.99999_f64]
}

proptest! {
    #[test]
    fn a_count_is_outside_exactly_when_its_own_interval_misses_the_target(
        k in 0_u64..400, mean in 0.01..300.0_f64, coverage in coverages(),
    ) {
        let own = garwood(k, 50.0, coverage).unwrap();
        let target = mean / 50.0;
        // Where the limit is the target but for rounding, either answer will do.
        prop_assume!((own.lower / target - 1.0).abs() > 1e-9 && (own.upper / target - 1.0).abs() > 1e-9);
        let expected = match (own.lower > target, own.upper < target) {
            (true, _) => Side::Above,
            (_, true) => Side::Below,
            _ => Side::Within,
        };
        prop_assert_eq!(outside(k, target, 50.0, coverage), Some(expected));
    }

    #[test]
    fn a_unit_at_the_target_is_seldom_called_out(mean in 0.01..300.0_f64, coverage in coverages()) {
        let (low, high) = counts_within(mean, 1.0, coverage).unwrap();
        let tail = (1.0 - coverage) / 2.0;
        prop_assert!(at_least(high + 1, mean).unwrap() <= tail && at_least(high, mean).unwrap() > tail);
        prop_assert!(low == 0 || at_most(low - 1, mean).unwrap() <= tail);
        for k in [low, high] {
            prop_assert_eq!(outside(k, mean, 1.0, coverage), Some(Side::Within));
        }
        prop_assert_eq!(outside(high + 1, mean, 1.0, coverage), Some(Side::Above));
        prop_assert!(low == 0 || outside(low - 1, mean, 1.0, coverage) == Some(Side::Below));
    }

    #[test]
    fn the_curves_enclose_the_counts_within_but_for_one(mean in 0.01..300.0_f64, coverage in coverages()) {
        let (low, high) = counts_within(mean, 1.0, coverage).unwrap();
        let curve = limits(mean, 1.0, coverage).unwrap();
        prop_assert!(curve.lower <= low as f64 && low as f64 <= curve.lower + 1.0 + 1e-9);
        prop_assert!(high as f64 - 1.0 - 1e-9 <= curve.upper && curve.upper <= high as f64);
    }

    #[test]
    fn the_curves_are_smooth_and_close_in_on_the_target(mean in 0.1..300.0_f64, coverage in coverages()) {
        let here = limits(mean, 1.0, coverage).unwrap();
        let beside = limits(mean * (1.0 + 1e-9), 1.0, coverage).unwrap();
        prop_assert!((here.lower - beside.lower).abs() < 1e-5 && (here.upper - beside.upper).abs() < 1e-5);
    }

    #[test]
    fn no_input_panics(k: u64, target: f64, exposure: f64, coverage in 0.0..1.0_f64) {
        for (target, exposure) in [(target, exposure), (target.abs() % 10.0, exposure.abs() % 1e4)] {
            if let Some(found) = limits(target, exposure, coverage) {
                prop_assert!(0.0 <= found.lower && found.lower <= found.upper && found.upper.is_finite());
            }
            let within = counts_within(target, exposure, coverage);
            prop_assert!(within.is_none_or(|(low, high)| low <= high));
            let side = outside(k % 1000, target, exposure, coverage);
            prop_assert!(side.is_some() == within.is_some());
        }
    }
}
