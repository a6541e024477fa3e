//! The limits against closed forms, printed tables and properties.

use super::*;
use proptest::prelude::*;

fn limits(k: u64, n: u64) -> Interval {
    clopper_pearson(k, n, 0.95).unwrap()
}

fn relative_error(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

/// Rounds to the nearest, as printed tables do.
fn printed(limit: f64, decimals: usize) -> String {
    format!("{limit:.decimals$}")
}

/// Returns row n of Pascal's triangle.
fn binomial_coefficients(n: u64) -> Vec<u64> {
    let mut row = vec![1];
    for i in 0..n {
        row.push(row[i as usize] * (n - i) / (i + 1));
    }
    row
}

/// Returns the probability of a number of failures in `failures` when each of n has probability p.
fn binomial_sum(failures: std::ops::RangeInclusive<u64>, n: u64, p: f64) -> f64 {
    let row = binomial_coefficients(n);
    failures.map(|i| row[i as usize] as f64 * libm::pow(p, i as f64) * libm::pow(1.0 - p, (n - i) as f64)).sum()
}

#[test]
fn no_failure_and_nothing_but_failures_have_closed_forms() {
    for n in [1, 2, 3, 10, 29, 180, 365, 10_000, 1_000_000] {
        let root = libm::log(0.025) / n as f64;
        let (none, all) = (limits(0, n), limits(n, n));
        assert_eq!(none.lower, 0.0);
        assert!(relative_error(none.upper, -libm::expm1(root)) < 1e-14, "0 of {n}: {none:?}");
        assert!(relative_error(all.lower, libm::exp(root)) < 1e-14, "{n} of {n}: {all:?}");
        assert_eq!(all.upper, 1.0);
    }
    assert_eq!(printed(limits(0, 10).upper, 4), "0.3085");
    assert_eq!(printed(limits(0, 1).upper, 12), "0.975000000000");
}

#[test]
fn the_tails_at_both_limits_are_what_was_left_over() {
    for confidence in [0.8, 0.95, 0.998] {
        // The sum itself is no better than this: near 1 the limit has few digits of 1 - p.
        let tolerance = 1e-11;
        let tail = (1.0 - confidence) / 2.0;
        for n in 1..=60 {
            for k in 0..=n {
                let interval = clopper_pearson(k, n, confidence).unwrap();
                if k > 0 {
                    let at_least_k = binomial_sum(k..=n, n, interval.lower);
                    assert!(relative_error(at_least_k, tail) < tolerance, "{k} of {n}: {at_least_k}");
                }
                if k < n {
                    let at_most_k = binomial_sum(0..=k, n, interval.upper);
                    assert!(relative_error(at_most_k, tail) < tolerance, "{k} of {n}: {at_most_k}");
                }
            }
        }
    }
}

#[test]
fn published_limits_come_out_to_their_printed_digits() {
    // R. G. Newcombe 1998, "Two-sided confidence intervals for the single proportion: comparison of
    // seven methods", Statistics in Medicine 17:857-872, table I, Clopper-Pearson, 95 %. The
    // table's digits are quoted from memory.
    for (k, n, lower, upper) in [
        (81, 263, "0.2527", "0.3676"),
        (15, 148, "0.0578", "0.1617"),
        (0, 20, "0.0000", "0.1684"),
        (1, 29, "0.0009", "0.1776"),
    ] {
        let found = limits(k, n);
        assert_eq!((printed(found.lower, 4), printed(found.upper, 4)), (lower.into(), upper.into()));
    }
    // Manual of R, function binom.test: 682 of 925 pea plants (W. J. Conover 1971, "Practical
    // nonparametric statistics", page 97 f.). The digits are quoted from memory.
    let peas = limits(682, 925);
    assert_eq!(printed(peas.lower, 7), "0.7076683");
    assert_eq!(printed(peas.upper, 7), "0.7654066");
}

#[test]
fn published_score_limits_come_out_to_their_printed_digits() {
    // The same table, Wilson's method without continuity correction; quoted from memory.
    for (k, n, lower, upper) in [
        (81, 263, "0.2553", "0.3662"),
        (15, 148, "0.0624", "0.1605"),
        (0, 20, "0.0000", "0.1611"),
        (1, 29, "0.0061", "0.1718"),
    ] {
        let found = wilson(k, n, 0.95).unwrap();
        assert_eq!((printed(found.lower, 4), printed(found.upper, 4)), (lower.into(), upper.into()));
    }
    // statsmodels 0.15.0, proportion_confint.
    for (k, n, lower, upper) in [
        (0, 1, 0.0, 0.7934506856),
        (6, 6, 0.6096657121, 1.0),
        (0, 180, 0.0, 0.0208954979),
        (1, 180, 0.0009813661, 0.0307930708),
        (180, 180, 0.9791045021, 1.0),
    ] {
        let found = wilson(k, n, 0.95).unwrap();
        assert!((found.lower - lower).abs() < 1e-10 && (found.upper - upper).abs() < 1e-10, "{k} of {n}: {found:?}");
    }
}

#[test]
fn score_limits_of_what_cannot_be_are_none() {
    assert_eq!(wilson(0, 0, 0.95), None);
    assert_eq!(wilson(4, 3, 0.95), None);
    for confidence in [0.0, 1.0, -0.5, 95.0, f64::NAN] {
        assert_eq!(wilson(1, 3, confidence), None, "confidence {confidence}");
    }
    let largest = wilson(u64::MAX / 2, u64::MAX, 0.95).unwrap();
    assert!((largest.lower - 0.5).abs() < 1e-9 && (largest.upper - 0.5).abs() < 1e-9);
}

#[test]
fn counts_of_a_small_hospital_agree_with_scipy() {
    // scipy 1.17.1, stats.beta.ppf.
    for (k, n, lower, upper) in [
        (6, 6, 0.5407418736, 1.0),
        (1, 180, 0.0001406446, 0.0305633410),
        (5, 180, 0.0090796050, 0.0636305777),
        (180, 180, 0.9797147954, 1.0),
    ] {
        let found = limits(k, n);
        assert!((found.lower - lower).abs() < 1e-10, "{k} of {n}: {found:?}");
        assert!((found.upper - upper).abs() < 1e-10, "{k} of {n}: {found:?}");
    }
}

#[test]
fn nothing_is_said_about_what_cannot_be() {
    assert_eq!(clopper_pearson(0, 0, 0.95), None);
    assert_eq!(clopper_pearson(4, 3, 0.95), None);
    assert_eq!(clopper_pearson(u64::MAX, u64::MAX, 0.95), None);
    for confidence in [0.0, 1.0, -0.5, 95.0, f64::NAN, f64::INFINITY] {
        assert_eq!(clopper_pearson(1, 3, confidence), None, "confidence {confidence}");
    }
}

#[test]
fn the_largest_counts_are_answered() {
    let n = 1_000_000_000;
    assert!(limits(0, n).upper > 0.0);
    assert!(limits(n, n).lower < 1.0);
    let middle = limits(n / 2, n);
    assert!(0.499 < middle.lower && middle.lower < 0.5 && 0.5 < middle.upper && middle.upper < 0.501);
    assert_eq!(clopper_pearson(1, n + 1, 0.95), None);
}

/// Returns counts k of n up to about ten thousand, and a confidence.
fn counts() -> impl Strategy<Value = (u64, u64, f64)> {
    (1_u64..10_000).prop_flat_map(|n| (0..=n, Just(n), prop_oneof![Just(0.95), 0.01..0.9999]))
}

proptest! {
    #[test]
    fn the_observed_share_lies_between_the_limits((k, n, confidence) in counts()) {
        let interval = clopper_pearson(k, n, confidence).unwrap();
        let observed = k as f64 / n as f64;
        prop_assert!(0.0 <= interval.lower && interval.lower <= observed);
        prop_assert!(observed <= interval.upper && interval.upper <= 1.0);
        prop_assert_eq!(interval.lower == 0.0, k == 0);
        prop_assert_eq!(interval.upper == 1.0, k == n);
    }

    #[test]
    fn passes_mirror_failures((k, n, confidence) in counts()) {
        let failures = clopper_pearson(k, n, confidence).unwrap();
        let passes = clopper_pearson(n - k, n, confidence).unwrap();
        prop_assert!((failures.lower - (1.0 - passes.upper)).abs() <= f64::EPSILON);
        prop_assert!((failures.upper - (1.0 - passes.lower)).abs() <= f64::EPSILON);
    }

    #[test]
    fn one_more_failure_raises_both_limits((k, n, confidence) in counts()) {
        prop_assume!(k < n);
        let fewer = clopper_pearson(k, n, confidence).unwrap();
        let more = clopper_pearson(k + 1, n, confidence).unwrap();
        prop_assert!(fewer.lower < more.lower && fewer.upper < more.upper);
    }

    #[test]
    fn more_checks_at_the_same_share_narrow_the_interval(
        (k, n, confidence) in counts(), times in 2_u64..20,
    ) {
        let few = clopper_pearson(k, n, confidence).unwrap();
        let many = clopper_pearson(times * k, times * n, confidence).unwrap();
        prop_assert!(few.lower <= many.lower && many.upper <= few.upper);
        prop_assert!(many.upper - many.lower < few.upper - few.lower);
    }

    #[test]
    fn more_confidence_widens_the_interval((k, n, confidence) in counts(), part in 0.1..0.9) {
        let sure = clopper_pearson(k, n, confidence).unwrap();
        let less_sure = clopper_pearson(k, n, confidence * part).unwrap();
        prop_assert!(sure.lower <= less_sure.lower && less_sure.upper <= sure.upper);
    }

    #[test]
    fn score_limits_are_z_standard_errors_from_the_share((k, n, confidence) in counts()) {
        let interval = wilson(k, n, confidence).unwrap();
        let observed = k as f64 / n as f64;
        prop_assert!(0.0 <= interval.lower && interval.lower <= observed);
        prop_assert!(observed <= interval.upper && interval.upper <= 1.0);
        prop_assert_eq!((interval.lower == 0.0, interval.upper == 1.0), (k == 0, k == n));
        let z = normal::quantile((1.0 + confidence) / 2.0).unwrap();
        for limit in [interval.lower, interval.upper].into_iter().filter(|limit| 0.0 < *limit && *limit < 1.0) {
            let errors = (observed - limit).abs() / (limit * (1.0 - limit) / n as f64).sqrt();
            prop_assert!((errors - z).abs() < 1e-9 * (1.0 + z), "{limit} is {errors} standard errors away, not {z}");
        }
    }

    #[test]
    fn passes_mirror_failures_in_score_limits((k, n, confidence) in counts()) {
        let failures = wilson(k, n, confidence).unwrap();
        let passes = wilson(n - k, n, confidence).unwrap();
        prop_assert!((failures.lower - (1.0 - passes.upper)).abs() <= 2.0 * f64::EPSILON);
        prop_assert!((failures.upper - (1.0 - passes.lower)).abs() <= 2.0 * f64::EPSILON);
    }

    #[test]
    fn no_input_panics(k: u64, n: u64, confidence: f64) {
        for interval in [clopper_pearson(k, n, confidence), wilson(k, n, confidence)].into_iter().flatten() {
            prop_assert!(interval.lower <= interval.upper);
        }
    }
}
