//! Fisher's test against published tables and whole-number counts; its limits, size and power
//! against going through every case.

use super::*;
use proptest::prelude::*;

/// Returns the number of ways to choose k of n, exactly for n up to 100.
fn choose(n: u64, k: u64) -> u128 {
    (0..k).fold(1, |ways, i| ways * u128::from(n - i) / u128::from(i + 1))
}

fn near(found: f64, expected: f64, relative: f64) -> bool {
    (found - expected).abs() <= relative * expected
}

#[test]
fn every_small_table_agrees_with_counting() {
    for (n1, n2) in (1..=9_u64).flat_map(|n1| (1..=9).map(move |n2| (n1, n2))).chain([(20, 17), (30, 30), (5, 40)]) {
        for failed in 0..=n1 + n2 {
            let possible = failed.saturating_sub(n2)..=failed.min(n1);
            let ways = |k: u64| choose(n1, k) * choose(n2, failed - k);
            let all = choose(n1 + n2, failed) as f64;
            for k1 in possible.clone() {
                let sum = |takes: &dyn Fn(u64) -> bool| {
                    possible.clone().filter(|&k| takes(k)).map(ways).sum::<u128>() as f64 / all
                };
                let found = fisher(k1, n1, failed - k1, n2).unwrap();
                let right = near(found.two_sided, sum(&|k| ways(k) <= ways(k1)), 1e-13)
                    && near(found.greater, sum(&|k| k >= k1), 1e-13)
                    && near(found.less, sum(&|k| k <= k1), 1e-13);
                assert!(right, "{k1} of {n1}, {} of {n2}: {found:?}", failed - k1);
            }
        }
    }
}

/// Convicted brothers of dizygotic and monozygotic twins, 2 of 17 and 10 of 13: Fisher's own example
/// of 1935; the digits are those of the manual of R, from memory, and scipy gives them too.
#[test]
fn twins_of_1935() {
    let found = fisher(2, 17, 10, 13).unwrap();
    assert!((found.less - 0.000_465_2).abs() < 5e-8, "{found:?}");
    assert!((found.two_sided - 0.000_536_7).abs() < 5e-8, "{found:?}");
}

#[test]
fn five_against_none_has_a_closed_form() {
    // All five of 1980 fall into the month of 180: C(180, 5) / C(1980, 5).
    let expected = (0..5).fold(1.0, |p, i| p * f64::from(180 - i) / f64::from(1980 - i));
    let found = fisher(5, 180, 0, 1800).unwrap();
    assert!(near(found.greater, expected, 1e-14) && near(found.two_sided, expected, 1e-14), "{found:?}");
    assert!(near(expected, 5.900_660_003e-6, 1e-9));
}

#[test]
fn without_a_failure_nothing_differs() {
    let found = fisher(0, 180, 0, 2000).unwrap();
    assert_eq!((found.two_sided, found.greater, found.less), (1.0, 1.0, 1.0));
    assert_eq!(quiet_counts(0, 2180, 180, 0.005), Some(QuietCounts { low: 0, high: 0, false_alarm: 0.0 }));
}

#[test]
fn what_cannot_be_asked_is_none() {
    for (k1, n1, k2, n2) in [(0, 0, 1, 2), (1, 2, 0, 0), (3, 2, 1, 2), (1, 2, 3, 2), (1, u64::MAX, 1, 2)] {
        assert_eq!(fisher(k1, n1, k2, n2), None);
    }
    for (failed, total, n) in [(1, 10, 0), (1, 10, 10), (1, 10, 11), (11, 10, 5), (1, u64::MAX, 5)] {
        assert_eq!(quiet_counts(failed, total, n, 0.01), None);
    }
    for level in [0.0, 1.0, -0.1, f64::NAN] {
        assert_eq!(quiet_counts(1, 10, 5, level), None);
        assert_eq!(power(5, 10, 0.1, 2.0, level), None);
    }
    for (n1, n2, share, ratio) in
        [(0, 5, 0.1, 2.0), (5, 0, 0.1, 2.0), (5, 5, 1.1, 2.0), (5, 5, f64::NAN, 2.0), (5, 5, 0.1, -1.0)]
    {
        assert_eq!(power(n1, n2, share, ratio, 0.05), None);
    }
    assert_eq!(power(5, 5, 0.1, f64::INFINITY, 0.05), None);
    assert_eq!(power(MOST_FOR_POWER, 1, 0.1, 2.0, 0.05), None);
}

/// Returns the probability that the test signals, pair of counts by pair of counts.
fn enumerated(n1: u64, n2: u64, share1: f64, share2: f64, level: f64) -> f64 {
    let pairs = (0..=n1).flat_map(|k1| (0..=n2).map(move |k2| (k1, k2)));
    let signals = pairs.filter(|&(k1, k2)| fisher(k1, n1, k2, n2).unwrap().two_sided < level);
    let probability = |k: u64, n: u64, share: f64| {
        choose(n, k) as f64 * libm::pow(share, k as f64) * libm::pow(1.0 - share, (n - k) as f64)
    };
    signals.map(|(k1, k2)| probability(k1, n1, share1) * probability(k2, n2, share2)).sum()
}

#[test]
fn power_agrees_with_going_through_all_pairs() {
    for (n1, n2) in [(1, 1), (6, 30), (30, 6), (31, 90)] {
        for (share, ratio) in [(0.0, 2.0), (0.05, 3.0), (0.2, 0.0), (0.3, 1.0), (0.4, 9.0), (1.0, 0.5), (1.0, 1.0)] {
            for level in [0.005, 0.05, 0.3] {
                let found = power(n1, n2, share, ratio, level).unwrap();
                let expected = enumerated(n1, n2, (ratio * share).min(1.0), share, level);
                assert!((found - expected).abs() < 1e-13, "{n1}, {n2}, {share}, {ratio}, {level}: {found}, {expected}");
            }
        }
    }
}

#[test]
fn the_test_never_exceeds_its_level() {
    for (n1, n2) in [(20, 240), (60, 700), (180, 2160), (50, 50)] {
        for share in [0.001, 0.003, 0.01, 0.02, 0.05, 0.2, 0.5] {
            for level in [0.005, 0.05] {
                let size = power(n1, n2, share, 1.0, level).unwrap();
                assert!(size <= level, "{n1}, {n2} at {share}: {size} above {level}");
            }
        }
    }
}

proptest! {
    #[test]
    fn limits_and_test_agree(
        total in 2_u64..5000, n in 0.0..1.0, failed in 0.0..=0.2, level in 0.0005..0.2,
    ) {
        let n = 1 + (n * (total - 1) as f64) as u64;
        let failed = (failed * total as f64) as u64;
        let quiet = quiet_counts(failed, total, n, level).unwrap();
        let (least, most) = (failed.saturating_sub(total - n), failed.min(n));
        prop_assert!(least <= quiet.low && quiet.low <= quiet.high && quiet.high <= most);
        let p = |k| fisher(k, n, failed - k, total - n).unwrap();
        for k in [quiet.low, quiet.high] {
            prop_assert!(p(k).two_sided >= level);
        }
        let mut alarm = 0.0;
        if quiet.low > least {
            prop_assert!(p(quiet.low - 1).two_sided < level);
            alarm += p(quiet.low - 1).less;
        }
        if quiet.high < most {
            prop_assert!(p(quiet.high + 1).two_sided < level);
            alarm += p(quiet.high + 1).greater;
        }
        prop_assert_eq!(quiet.false_alarm, alarm);
        prop_assert!(alarm < level);
    }

    #[test]
    fn exchanging_groups_or_good_and_failed_changes_nothing(
        n1 in 1_u64..3000, n2 in 1_u64..3000, part1 in 0.0..=1.0, part2 in 0.0..=1.0,
    ) {
        let (k1, k2) = ((part1 * n1 as f64) as u64, (part2 * n2 as f64) as u64);
        let found = fisher(k1, n1, k2, n2).unwrap();
        let exchanged = fisher(k2, n2, k1, n1).unwrap();
        let mirrored = fisher(n1 - k1, n1, n2 - k2, n2).unwrap();
        prop_assert!(near(exchanged.two_sided, found.two_sided, 1e-9));
        prop_assert!(near(mirrored.two_sided, found.two_sided, 1e-9));
        prop_assert!(near(exchanged.less, found.greater, 1e-9) && near(mirrored.less, found.greater, 1e-9));
    }

    #[test]
    fn no_input_ends_in_a_crash(k1: u64, n1: u64, k2: u64, n2: u64, share: f64, ratio: f64, level: f64) {
        let small = (k1 % 50, n1 % 400, k2 % 500, n2 % 4000);
        for (k1, n1, k2, n2) in [(k1, n1, k2, n2), small, (k1 % (1 << 20), n1 % (1 << 20), small.2, small.3)] {
            let test = fisher(k1, n1, k2, n2).map(|test| [test.two_sided, test.less, test.greater]);
            let quiet = quiet_counts(k1, n1, n2, level.abs() % 1.0).map(|quiet| quiet.false_alarm);
            for p in test.into_iter().flatten().chain(quiet) {
                prop_assert!((0.0..=1.0).contains(&p), "{p}");
            }
        }
        let sensible = (share.abs() % 1.0, ratio.abs() % 9.0, level.abs() % 1.0);
        for (share, ratio, level) in [(share, ratio, level), sensible] {
            if let Some(p) = power(small.1, small.3 % 500, share, ratio, level) {
                prop_assert!((0.0..=1.0).contains(&p), "{p}");
            }
        }
    }
}
