//! Runs against every order of small sets, and against a count that goes place by place.

use super::*;
use proptest::prelude::*;
use std::collections::HashMap;

/// Returns the number of orders of the values that are left without a run, after `length` times the
/// value `last`; all orders if `run` is 0.
fn orders(
    left: &mut Vec<u64>,
    last: usize,
    length: u64,
    run: u64,
    seen: &mut HashMap<(Vec<u64>, usize, u64), f64>,
) -> f64 {
    if left.iter().all(|&count| count == 0) {
        return 1.0;
    }
    let key = (left.clone(), last, length);
    if let Some(&known) = seen.get(&key) {
        return known;
    }
    let mut sum = 0.0;
    for value in 0..left.len() {
        let longer = if value == last { length + 1 } else { 1 };
        if left[value] > 0 && (run == 0 || longer < run) {
            left[value] -= 1;
            sum += orders(left, value, if run == 0 { 1 } else { longer }, run, seen);
            left[value] += 1;
        }
    }
    seen.insert(key, sum);
    sum
}

/// Returns the probability of a run by building all orders value by value.
fn counted(counts: &[u64], run: u64) -> f64 {
    let of = |run| orders(&mut counts.to_vec(), usize::MAX, 0, run, &mut HashMap::new());
    (of(0) - of(run)) / of(0)
}

#[test]
fn runs_agree_with_counting_all_orders() {
    let sets: [&[u64]; 11] = [
        &[1],
        &[3],
        &[4, 1],
        &[2, 2],
        &[3, 3, 2],
        &[5, 3, 1],
        &[1, 1, 1, 1, 1, 1],
        &[9, 7],
        &[10, 3, 2, 1],
        &[6, 6, 6],
        &[4, 4, 4, 4, 0],
    ];
    for counts in sets {
        for run in 1..=10 {
            let (ours, expected) = (longest_run_p(counts, run).unwrap(), counted(counts, run));
            assert!((ours - expected).abs() <= 1e-12, "{counts:?}, run {run}: {ours}, counted {expected}");
        }
    }
}

#[test]
fn a_rare_run_keeps_its_digits() {
    // 12 alike among 60: they stand together in 49 of C(60, 12) placements.
    let counts: Vec<u64> = std::iter::once(12).chain([1; 48]).collect();
    let expected = (0..12).fold(49.0, |ways, i| ways / (60 - i) as f64 * (i + 1) as f64);
    let ours = longest_run_p(&counts, 12).unwrap();
    assert!((ours / expected - 1.0).abs() < 1e-12, "{ours:e}, expected {expected:e}");
}

#[test]
fn seven_alike_in_a_row_among_sixteen() {
    // Nine of one value and seven others: 288 of the C(16, 9) = 11440 placements.
    let ours = longest_run_p(&[9, 3, 2, 1, 1], 7).unwrap();
    assert!((ours - 288.0 / 11440.0).abs() < 1e-14, "{ours}");
}

#[test]
fn nearly_certain_runs_and_long_records_get_an_upper_bound() {
    // 200 heads and 200 tails nearly always have three alike in a row.
    assert!(longest_run_p(&[200, 200], 3).unwrap() > 0.999_999);
    let (short, long) = ([80, 80, 80, 80, 80], [200, 200, 200, 200, 200]);
    let (exact, bound) = (longest_run_p(&short, 7).unwrap(), longest_run_p(&long, 7).unwrap());
    assert!(exact > 0.0 && exact < run_bound(&short, 400, 7));
    assert!(bound > 2.0 * exact && bound < 4.0 * exact, "{exact}, {bound}");
}

#[test]
fn what_cannot_be_asked_is_none() {
    assert_eq!(longest_run_p(&[0, 0], 2), None);
    assert_eq!(longest_run_p(&[3], 0), None);
    assert_eq!(longest_run_p(&[u64::MAX, 1], 2), None);
    assert_eq!(longest_run_p(&[MOST_VALUES], 2), None);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn the_bound_is_never_below_the_probability(
        counts in prop::collection::vec(0_u64..60, 1..7), run in 2_u64..12,
    ) {
        let total: u64 = counts.iter().sum();
        if let Some(p) = longest_run_p(&counts, run) {
            prop_assert!((0.0..=1.0).contains(&p));
            prop_assert!(p <= run_bound(&counts, total, run) * (1.0 + 1e-9));
        } else {
            prop_assert_eq!(total, 0);
        }
    }

    #[test]
    fn a_longer_run_is_rarer(counts in prop::collection::vec(1_u64..30, 1..6), run in 1_u64..20) {
        let of = |run| longest_run_p(&counts, run).unwrap();
        prop_assert!(of(run + 1) <= of(run) * (1.0 + 1e-9));
    }

    #[test]
    fn no_input_ends_in_a_crash(counts in prop::collection::vec(any::<u64>(), 0..5), run: u64) {
        if let Some(p) = longest_run_p(&counts, run) {
            prop_assert!((0.0..=1.0).contains(&p));
        }
    }
}
