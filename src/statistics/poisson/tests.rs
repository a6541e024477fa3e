//! The Poisson distribution against sums of its own terms and properties.

use super::*;
use proptest::prelude::*;

#[test]
fn tails_are_the_sums_of_their_terms() {
    for mean in [0.01, 0.5, 1.8, 7.0, 25.5] {
        let mut below = 0.0;
        for k in 0..60 {
            let rest = at_least(k, mean).unwrap();
            assert!((below + rest - 1.0).abs() < 1e-14, "{k} or more at {mean}: {rest}");
            below += exactly(k, mean).unwrap();
            let tail = at_most(k, mean).unwrap();
            assert!((below - tail).abs() < 1e-14, "{k} or fewer at {mean}: {tail}");
        }
    }
}

#[test]
fn nothing_expected_means_that_nothing_happens() {
    assert_eq!([at_most(0, 0.0), at_least(0, 0.0), exactly(0, 0.0)], [Some(1.0); 3]);
    assert_eq!([at_least(3, 0.0), exactly(3, 0.0)], [Some(0.0); 2]);
}

#[test]
fn what_is_no_mean_has_no_answer() {
    for mean in [-1.0, f64::NAN, f64::INFINITY] {
        assert_eq!([at_most(1, mean), at_least(0, mean), exactly(0, mean)], [None; 3], "mean {mean}");
    }
    assert_eq!([at_most(u64::MAX, 1.0), at_least(u64::MAX, 1.0), exactly(u64::MAX, 1.0)], [None; 3]);
}

proptest! {
    #[test]
    fn each_term_follows_from_the_one_before(k in 0_u64..2_000, times in 0.6..1.6_f64) {
        let mean = (k as f64 + 1.0) * times;
        let (term, next) = (exactly(k, mean).unwrap(), exactly(k + 1, mean).unwrap());
        let ratio = next / term * (k + 1) as f64 / mean;
        prop_assert!((ratio - 1.0).abs() < 1e-10, "off by {}", ratio - 1.0);
    }

    #[test]
    fn no_input_gives_anything_but_a_probability(k: u64, mean: f64) {
        for k in [k, k % 1000] {
            for mean in [mean, mean % 1e6] {
                for found in [at_most(k, mean), at_least(k, mean), exactly(k, mean)].into_iter().flatten() {
                    prop_assert!((0.0..=1.0).contains(&found), "{found}");
                }
            }
        }
    }
}
