//! Probabilities against whole-number counts, published values and each other.

use super::*;
use proptest::prelude::*;

/// Returns the number of ways to choose k of n, exactly for n up to 60.
fn choose(n: u64, k: u64) -> f64 {
    (0..k).fold(1_u128, |ways, i| ways * u128::from(n - i) / u128::from(i + 1)) as f64
}

fn near(found: f64, expected: f64, relative: f64) -> bool {
    (found - expected).abs() <= relative * expected
}

#[test]
fn fair_coins_agree_with_counting() {
    for n in 0..=60_u64 {
        let all = libm::pow(2.0, n as f64);
        let ways: Vec<f64> = (0..=n).map(|k| choose(n, k)).collect();
        for k in 0..=n {
            let at = k as usize;
            let (less, greater) = (ways[..=at].iter().sum::<f64>(), ways[at..].iter().sum::<f64>());
            assert!(near(at_most(k, n, 0.5).unwrap(), less / all, 1e-12), "at most {k} of {n}");
            assert!(near(at_least(k, n, 0.5).unwrap(), greater / all, 1e-12), "at least {k} of {n}");
        }
    }
}

#[test]
fn readings_on_a_nought_or_a_five() {
    // 17 of 30 last digits are 0 or 5 where 1 in 5 is expected.
    let found = at_least(17, 30, 0.2).unwrap();
    assert!((found - 0.000_010).abs() < 5e-7, "{found}");
}

#[test]
fn certain_failures_and_impossible_ones() {
    for (share, always) in [(0.0, 0), (1.0, 5)] {
        for k in 0..=6 {
            assert_eq!(at_most(k, 5, share), Some(f64::from(k >= always)));
            assert_eq!(at_least(k, 5, share), Some(f64::from(k <= always)));
        }
    }
    assert_eq!((at_most(6, 5, 0.3), at_least(6, 5, 0.3)), (Some(1.0), Some(0.0)));
}

#[test]
fn a_share_whose_complement_is_one_to_the_last_digit_is_answered() {
    let share = 1e-24;
    assert!(near(at_least(1, 1000, share).unwrap(), 1e-21, 1e-13));
    assert!(near(at_least(2, 1000, share).unwrap(), 499_500e-48, 1e-13));
    assert_eq!(at_most(1, 1000, share), Some(1.0));
}

#[test]
fn what_is_no_share_or_too_many_is_none() {
    for share in [-0.1, 1.1, f64::NAN, f64::INFINITY] {
        assert_eq!(at_most(1, 2, share), None);
        assert_eq!(at_least(1, 2, share), None);
    }
    assert_eq!(at_most(1, LARGEST_SHAPE_SUM, 0.5), None);
}

proptest! {
    #[test]
    fn what_is_not_at_most_is_at_least_one_more(n in 1_u64..100_000, part in 0.0..=1.0, share in 0.0001..=0.9999) {
        let k = (part * n as f64) as u64;
        let (less, greater) = (at_most(k, n, share).unwrap(), at_least(k + 1, n, share).unwrap());
        prop_assert!((less + greater - 1.0).abs() < 1e-11);
    }

    #[test]
    fn no_input_ends_in_a_crash(k: u64, n: u64, share: f64, small in 0_u64..2000) {
        let shares = [share, share.abs() % 1.0, 1e-300, 1.0 - 1e-16];
        for (k, n, share) in shares.iter().flat_map(|&share| [(k, n, share), (k % 3000, small, share)]) {
            for p in [at_most(k, n, share), at_least(k, n, share)].into_iter().flatten() {
                prop_assert!((0.0..=1.0).contains(&p), "{p}");
            }
        }
    }
}
