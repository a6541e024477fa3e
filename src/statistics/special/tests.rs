//! The special functions against values of many digits and properties.

use super::*;
use proptest::prelude::*;

/// p, a, b, the quantile and its complement: the f64 nearest to what mpmath 1.4.1 gave at 50 digits
/// by a search on the continued fraction DLMF 8.17.22 with far more terms than it needs.
const REFERENCE: [(f64, u64, u64, f64, f64); 17] = [
    (0.025, 2, 2, 0.09429932405024608, 0.9057006759497539),
    (0.025, 5, 176, 0.009079605011069436, 0.9909203949889306),
    (0.025, 176, 5, 0.9440823029182238, 0.05591769708177614),
    (0.05, 81, 183, 0.2610557460091119, 0.7389442539908881),
    (0.005, 15, 134, 0.04774455972883679, 0.9522554402711632),
    (0.025, 2, 999999, 2.422093703160032e-07, 0.9999997577906297),
    (0.025, 3, 999998, 6.186725501906399e-07, 0.9999993813274498),
    (0.025, 999998, 3, 0.9999927753312057, 7.224668794380317e-06),
    (0.025, 1000, 999001, 0.0009390012079500722, 0.9990609987920499),
    (0.025, 500000, 500001, 0.4990195191953118, 0.5009804808046882),
    (0.025, 500001, 500000, 0.4990205191924175, 0.5009794808075825),
    (0.001, 10, 99991, 2.9606097767896725e-05, 0.9999703939022321),
    (0.025, 900001, 100000, 0.8994113544229559, 0.10058864557704407),
    (1e-12, 7, 500, 0.00013080075576137276, 0.9998691992442387),
    (1e-12, 500, 7, 0.9164485511823686, 0.08355144881763141),
    (0.5, 3, 9, 0.23578552663582839, 0.7642144733641716),
    (1e-15, 3, 2, 6.299615170777816e-06, 0.9999937003848293),
];

fn relative_error(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

#[test]
fn quantiles_agree_with_fifty_digits() {
    for (p, a, b, value, rest) in REFERENCE {
        let found = beta_quantile(p, a, b).unwrap();
        let worst = relative_error(found.value, value).max(relative_error(found.rest, rest));
        assert!(worst < 1e-14, "p = {p}, a = {a}, b = {b}: {found:?} is off by {worst:e}");
    }
}

#[test]
fn tails_agree_with_fifty_digits() {
    for (p, a, b, value, rest) in REFERENCE {
        let found = ln_beta_tail(Share { value, rest }, a, b).unwrap();
        let worst = relative_error(found, libm::log(p));
        assert!(worst < 1e-11, "a = {a}, b = {b}: {found} is off by {worst:e}");
    }
}

#[test]
fn what_is_not_answered_is_none() {
    let half = Share { value: 0.5, rest: 0.5 };
    for (a, b) in [(0, 1), (1, 0), (u64::MAX, 1), (LARGEST_SHAPE_SUM, 1)] {
        assert_eq!(beta_quantile(0.1, a, b), None);
        assert_eq!(ln_beta_tail(half, a, b), None);
    }
    for p in [0.0, -0.1, 0.6, f64::NAN, f64::INFINITY] {
        assert_eq!(beta_quantile(p, 2, 3), None);
    }
    assert_eq!(ln_beta_tail(Share { value: 0.5, rest: 0.4 }, 2, 3), None);
    for value in [0.0, 1.0, 2.0, f64::NAN] {
        assert_eq!(ln_beta_tail(Share { value, rest: 1.0 - value }, 2, 3), None);
    }
}

#[test]
fn the_largest_shapes_are_answered_with_sense() {
    let half = LARGEST_SHAPE_SUM / 2;
    let found = beta_quantile(0.025, half, LARGEST_SHAPE_SUM - half).unwrap();
    // The normal approximation has an error of about 1e-9 standard deviations here.
    let expected = 0.5 - 1.959_963_984_540_054 * 0.5 / (LARGEST_SHAPE_SUM as f64).sqrt();
    assert!(relative_error(found.value, expected) < 1e-8, "{found:?}, expected {expected}");
}

proptest! {
    #[test]
    fn the_tail_below_a_quantile_is_what_was_asked(
        p in 1e-12..=0.5, a in 1_u64..3_000, b in 1_u64..3_000,
    ) {
        let point = beta_quantile(p, a, b).unwrap();
        let tail = libm::exp(ln_beta_tail(point, a, b).unwrap());
        prop_assert!(relative_error(tail, p) < 1e-11, "{point:?} has the tail {tail}");
    }

    #[test]
    fn both_tails_add_up_to_one(x in 0.001..0.999, a in 1_u64..500, b in 1_u64..500) {
        let at = Share { value: x, rest: 1.0 - x };
        let mirrored = Share { value: at.rest, rest: at.value };
        let lower = libm::exp(ln_beta_tail(at, a, b).unwrap());
        let upper = libm::exp(ln_beta_tail(mirrored, b, a).unwrap());
        prop_assert!((lower + upper - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_quantile_and_its_complement_add_up_to_one(
        p in 1e-9..=0.5, a in 1_u64..100_000, b in 1_u64..100_000,
    ) {
        let point = beta_quantile(p, a, b).unwrap();
        prop_assert!((point.value + point.rest - 1.0).abs() <= f64::EPSILON);
    }
}
