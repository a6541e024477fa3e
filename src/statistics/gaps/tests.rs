//! Gaps against every placement of a few failed checks, closed forms, and the probabilities at a
//! known rate as the limit of a long record.

use super::*;
use proptest::prelude::*;

/// Returns the places, from 1 on, of the failed checks in each order of `failed` among `checks` that
/// ends with a failed one.
fn placements(checks: u64, failed: u64) -> Vec<Vec<u64>> {
    let sets = (0_u64..1 << checks).filter(|set| set.count_ones() as u64 == failed && set >> (checks - 1) == 1);
    sets.map(|set| (1..=checks).filter(|place| set >> (place - 1) & 1 == 1).collect()).collect()
}

#[test]
fn spans_of_checks_agree_with_counting_all_orders() {
    for checks in 2..=10 {
        for failed in 2..=checks {
            for last in 1..failed {
                let all = placements(checks, failed);
                let span_of = |places: &Vec<u64>| checks - places[(failed - last - 1) as usize];
                for span in last..checks {
                    let short = all.iter().filter(|places| span_of(places) <= span).count();
                    let expected = short as f64 / all.len() as f64;
                    let ours = last_span_of_checks(last, span, failed - last, checks - span).unwrap_or(f64::NAN);
                    let possible = failed - last <= checks - span;
                    assert!(
                        if possible { (ours - expected).abs() < 1e-13 } else { ours.is_nan() },
                        "{last} of {failed} within {span} of {checks}: {ours}, counted {expected}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_long_time_before_gives_the_erlang_probability() {
    // Three gaps of 20 days in the mean within 3 days: 1 - exp(-x) (1 + x + x^2/2) with x = 0.15.
    let x = 0.15;
    let erlang = 1.0 - libm::exp(-x) * (1.0 + x + x * x / 2.0);
    assert!((erlang - 0.000_502_86).abs() < 5e-9);
    let found = last_span(3, 3.0, 100_000_000, 20.0 * 100_000_000.0).unwrap();
    assert!((found / erlang - 1.0).abs() < 1e-6, "{found}");
    // After ten faults only, the same span is less remarkable.
    let few = last_span(3, 3.0, 10, 200.0).unwrap();
    assert!(few > 1.2 * erlang && few < 1.8 * erlang, "{few}");
}

#[test]
fn a_long_record_before_gives_the_negative_binomial_probability() {
    // Three failed checks among fifteen at a share of 1 in 76.3: scipy 1.17.1, nbinom.cdf(12, 3, 1/76.3).
    let found = last_span_of_checks(3, 15, 10_000_000, 763_000_000).unwrap();
    assert!((found - 0.000_910_22).abs() < 5e-9, "{found}");
}

#[test]
fn checks_so_many_that_they_are_time_give_the_same() {
    let (by_time, by_checks) = (last_span(3, 12.0, 4, 150.0), last_span_of_checks(3, 1_200_000, 4, 15_000_000));
    assert!((by_checks.unwrap() / by_time.unwrap() - 1.0).abs() < 1e-5, "{by_checks:?}, {by_time:?}");
    let (by_time, by_checks) = (unfinished_gap(90.0, 5, 150.0), unfinished_gap_of_checks(9_000_000, 5, 15_000_000));
    assert!((by_checks.unwrap() / by_time.unwrap() - 1.0).abs() < 1e-5, "{by_checks:?}, {by_time:?}");
}

#[test]
fn many_faults_give_the_exponential_probability_of_a_gap() {
    let found = unfinished_gap(60.0, 10_000_000, 20.0 * 10_000_000.0).unwrap();
    assert!((found / libm::exp(-3.0) - 1.0).abs() < 1e-6, "{found}");
    assert_eq!(unfinished_gap(0.0, 5, 10.0), Some(1.0));
    assert_eq!(unfinished_gap_of_checks(0, 5, 10), Some(1.0));
}

#[test]
fn what_cannot_be_asked_is_none() {
    for time in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(last_span(3, time, 5, 100.0), None);
        assert_eq!(last_span(3, 10.0, 5, time), None);
        assert_eq!(unfinished_gap(1.0, 5, time), None);
    }
    for gap in [-1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(unfinished_gap(gap, 5, 10.0), None);
    }
    assert_eq!(last_span(0, 10.0, 5, 100.0), None);
    assert_eq!(last_span(u64::MAX, 10.0, 5, 100.0), None);
    assert_eq!(last_span_of_checks(3, 2, 5, 100), None);
    assert_eq!(last_span_of_checks(3, 10, 5, 4), None);
    assert_eq!(last_span_of_checks(3, u64::MAX, 5, 100), None);
    assert_eq!(unfinished_gap(10.0, 0, 100.0), None);
    assert_eq!(unfinished_gap_of_checks(10, 0, 100), None);
    assert_eq!(unfinished_gap_of_checks(10, 5, 4), None);
}

proptest! {
    #[test]
    fn a_longer_span_or_a_shorter_gap_is_less_remarkable(
        last in 1_u64..9, before in 1_u64..99, span in 0.1..500.0, exposure in 0.1..5000.0,
    ) {
        prop_assert!(last_span(last, span, before, exposure) <= last_span(last, span * 1.5, before, exposure));
        prop_assert!(unfinished_gap(span, before, exposure) >= unfinished_gap(span * 1.5, before, exposure));
    }

    #[test]
    fn one_gap_is_short_or_long(before in 1_u64..99, gap in 0.1..500.0, exposure in 0.1..5000.0) {
        let sum = last_span(1, gap, before, exposure).unwrap() + unfinished_gap(gap, before, exposure).unwrap();
        prop_assert!((sum - 1.0).abs() < 1e-12);
    }

    #[test]
    fn no_input_ends_in_a_crash(last: u64, span: u64, before: u64, checks: u64, time: f64, exposure: f64) {
        let (small_last, small_span) = (last % 100, span % 100_000);
        let answers = [
            last_span(last, time, before, exposure),
            last_span(small_last, time, before % 1000, exposure),
            last_span_of_checks(last, span, before, checks),
            last_span_of_checks(small_last, small_span, before % 1000, checks % 1_000_000),
            unfinished_gap(time, before, exposure),
            unfinished_gap_of_checks(span, before, checks),
            unfinished_gap_of_checks(small_span, before % 1000, checks % 1_000_000),
        ];
        for p in answers.into_iter().flatten() {
            prop_assert!((0.0..=1.0).contains(&p));
        }
    }
}
