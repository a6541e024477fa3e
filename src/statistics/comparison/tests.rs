//! Two rates against published values and their own interval; adjusted p-values against published
//! lists and what must hold for each.

use super::*;
use crate::statistics::outcomes::FAR;
use proptest::prelude::*;

#[test]
fn p_doubles_the_smaller_tail() {
    // 3 events against none in equal times: 2 * (1/2)^3.
    let found = rates(3, 1.0, 0, 1.0, 0.95).unwrap();
    assert!((found.p - 0.25).abs() < 1e-15);
    assert_eq!((found.ratio, found.upper), (None, None));
    // The share is above 0.025^(1/3).
    let share = libm::pow(0.025, 1.0 / 3.0);
    assert!((found.lower - share / (1.0 - share)).abs() < 1e-12);
    let mirrored = rates(0, 1.0, 3, 1.0, 0.95).unwrap();
    assert_eq!((mirrored.ratio, mirrored.lower, mirrored.p), (Some(0.0), 0.0, found.p));
    assert!((mirrored.upper.unwrap() * found.lower - 1.0).abs() < 1e-12);
}

#[test]
fn without_an_event_nothing_is_known() {
    let found = rates(0, 30.0, 0, 150.0, 0.95).unwrap();
    assert_eq!(found, RateComparison { ratio: None, lower: 0.0, upper: None, p: 1.0 });
}

/// The rate of breast cancer after fluoroscopy and without, an example of the manual of R: its two-
/// sided p, 0.07967, is the sum of all counts no likelier. Ours doubles the smaller tail, which is
/// `binomtest(11, 32, 800/3811, "greater")` of scipy 1.17.1, 0.056009.
#[test]
fn the_example_of_r_with_its_other_p() {
    let found = rates(11, 800.0, 21, 3011.0, 0.95).unwrap();
    let greater = crate::statistics::binomial::at_least(11, 32, 800.0 / 3811.0).unwrap();
    let no_likelier = Outcomes::binomial(32, 800.0 / 3811.0, FAR).no_likelier(11);
    assert!((no_likelier - 0.079_67).abs() < 5e-6, "{no_likelier}");
    assert!((greater - 0.056_009).abs() < 5e-7 && (found.p - 2.0 * greater).abs() < 1e-14, "{greater}, {found:?}");
}

/// One of six units watched for a year at 10 per 1000 days, at 0.05/6. The expected values are from
/// scipy 1.17.1 by going through all totals and counts.
#[test]
fn power_at_the_size_of_a_small_hospital() {
    for (ratio, expected) in [(1.0, 0.002), (2.0, 0.103), (3.0, 0.453), (5.0, 0.946)] {
        let found = power_of_ratio(0.010, 365.0, 1825.0, ratio, 0.05 / 6.0).unwrap();
        assert!((found - expected).abs() < 0.0005, "{ratio}: {found}");
    }
}

#[test]
fn power_agrees_with_going_through_all_pairs() {
    let poisson = |mean: f64| {
        (0..60).scan(libm::exp(-mean), move |p, k: u64| {
            let this = *p;
            *p *= mean / (k + 1) as f64;
            Some((k, this))
        })
    };
    for (mean1, mean2, t1, t2) in [(2.0, 5.0, 1.0, 2.0), (9.0, 4.0, 30.0, 150.0), (0.5, 12.0, 3.0, 1.0)] {
        for level in [0.01, 0.2] {
            let signals = |k1, k2| rates(k1, t1, k2, t2, 0.95).unwrap().p < level;
            let pairs = poisson(mean1).flat_map(|one| poisson(mean2).map(move |other| (one, other)));
            let expected: f64 =
                pairs.filter(|((k1, _), (k2, _))| signals(*k1, *k2)).map(|((_, p1), (_, p2))| p1 * p2).sum();
            let rate = mean2 / t2;
            let found = power_of_ratio(rate, t1, t2, mean1 / t1 / rate, level).unwrap();
            assert!((found - expected).abs() < 1e-12, "{mean1}, {mean2}, {level}: {found}, {expected}");
        }
    }
}

#[test]
fn the_test_never_exceeds_its_level() {
    for rate in [0.0005, 0.002, 0.01, 0.05, 0.3] {
        for (t1, t2) in [(30.0, 360.0), (365.0, 1825.0), (100.0, 100.0)] {
            let size = power_of_ratio(rate, t1, t2, 1.0, 0.05).unwrap();
            assert!(size <= 0.05, "{rate}, {t1}, {t2}: {size}");
        }
    }
}

/// The p-values of the example of Benjamini and Hochberg 1995 (15 tests of thrombolysis), where at
/// 0.05 their method rejects four and Bonferroni's three; Holm's rejects three as well.
const PUBLISHED: [f64; 15] = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0,
];

#[test]
fn the_example_of_1995() {
    let rejected = |adjusted: Vec<f64>| adjusted.into_iter().filter(|&p| p <= 0.05).count();
    assert_eq!(rejected(benjamini_hochberg(&PUBLISHED)), 4);
    assert_eq!(rejected(holm(&PUBLISHED)), 3);
}

#[test]
fn equal_values_get_equal_answers_and_no_values_none() {
    assert_eq!(holm(&[0.25, 0.125, 0.25, 0.125]), [0.5, 0.5, 0.5, 0.5]);
    assert_eq!(benjamini_hochberg(&[0.25, 0.125, 0.25, 0.125]), [0.25, 0.25, 0.25, 0.25]);
    assert!(holm(&[]).is_empty() && benjamini_hochberg(&[]).is_empty());
}

#[test]
fn what_is_no_p_value_is_no_evidence() {
    let odd = [f64::NAN, 0.01, -0.5, f64::INFINITY];
    assert_eq!(holm(&odd), [1.0, 0.04, 1.0, 1.0]);
    assert_eq!(benjamini_hochberg(&odd), [1.0, 0.04, 1.0, 1.0]);
}

#[test]
fn what_cannot_be_asked_is_none() {
    for time in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300] {
        assert_eq!(rates(1, time, 2, 5.0, 0.95), None);
        assert_eq!(rates(1, 5.0, 2, time, 0.95), None);
        assert_eq!(power_of_ratio(0.1, time, 5.0, 2.0, 0.05), None);
    }
    for level in [0.0, 1.0, f64::NAN] {
        assert_eq!(rates(1, 5.0, 2, 5.0, level), None);
        assert_eq!(power_of_ratio(0.1, 5.0, 5.0, 2.0, level), None);
    }
    assert_eq!(rates(u64::MAX, 5.0, 1, 5.0, 0.95), None);
    assert_eq!(power_of_ratio(0.0, 5.0, 5.0, 2.0, 0.05), None);
    assert_eq!(power_of_ratio(0.1, 5.0, 5.0, f64::INFINITY, 0.05), None);
    assert_eq!(power_of_ratio(1e9, 5.0, 5.0, 2.0, 0.05), None);
}

proptest! {
    #[test]
    fn p_and_interval_agree(
        k1 in 0_u64..400, k2 in 0_u64..400, t1 in 0.1..1000.0, t2 in 0.1..1000.0, confidence in 0.01..0.999,
    ) {
        let found = rates(k1, t1, k2, t2, confidence).unwrap();
        let leaves_out_one = found.lower > 1.0 || found.upper.is_some_and(|upper| upper < 1.0);
        // Next to the level itself either may be rounded across.
        if (found.p - (1.0 - confidence)).abs() > 1e-9 {
            prop_assert_eq!(found.p < 1.0 - confidence, leaves_out_one, "{:?}", found);
        }
        if let Some(ratio) = found.ratio {
            prop_assert!(found.lower <= ratio && found.upper.is_none_or(|upper| ratio <= upper));
        }
    }

    #[test]
    fn adjusted_values_keep_the_order_and_are_no_smaller(p in prop::collection::vec(0.0..=1.0, 0..40)) {
        let (holm, hochberg) = (holm(&p), benjamini_hochberg(&p));
        for i in 0..p.len() {
            prop_assert!(p[i] <= hochberg[i] && hochberg[i] <= holm[i] && holm[i] <= 1.0);
            for j in 0..p.len() {
                prop_assert!(p[i] > p[j] || (holm[i] <= holm[j] && hochberg[i] <= hochberg[j]));
            }
        }
    }

    #[test]
    fn no_input_ends_in_a_crash(
        k1: u64, k2: u64, t1: f64, t2: f64, rate: f64, ratio: f64, level: f64,
        p in prop::collection::vec(any::<f64>(), 0..9),
    ) {
        for (t1, t2, level) in [(t1, t2, level), (t1.abs(), t2.abs(), level.abs() % 1.0), (30.0, 900.0, 0.95)] {
            for (k1, k2) in [(k1, k2), (k1 % 1000, k2 % 1000)] {
                if let Some(found) = rates(k1, t1, k2, t2, level) {
                    prop_assert!((0.0..=1.0).contains(&found.p) && found.lower >= 0.0, "{:?}", found);
                }
            }
            let small = (rate.abs() % 0.1, ratio.abs() % 9.0);
            for (rate, ratio) in [(rate, ratio), small] {
                if let Some(found) = power_of_ratio(rate, t1, t2.min(2000.0), ratio, level) {
                    prop_assert!((0.0..=1.0).contains(&found));
                }
            }
        }
        for adjusted in [holm(&p), benjamini_hochberg(&p)] {
            prop_assert!(adjusted.iter().all(|p| (0.0..=1.0).contains(p)));
        }
    }
}
