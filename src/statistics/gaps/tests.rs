//! Gaps against closed forms, and against the probabilities at a known rate as the limit of a long record.

use super::*;
use proptest::prelude::*;

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
fn many_faults_give_the_exponential_probability_of_a_gap() {
    let found = unfinished_gap(60.0, 10_000_000, 20.0 * 10_000_000.0).unwrap();
    assert!((found / libm::exp(-3.0) - 1.0).abs() < 1e-6, "{found}");
    assert_eq!(unfinished_gap(0.0, 5, 10.0), Some(1.0));
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
    assert_eq!(unfinished_gap(10.0, 0, 100.0), None);
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
    fn no_input_ends_in_a_crash(last: u64, before: u64, time: f64, exposure: f64) {
        let answers = [
            last_span(last, time, before, exposure),
            last_span(last % 100, time, before % 1000, exposure),
            unfinished_gap(time, before, exposure),
        ];
        for p in answers.into_iter().flatten() {
            prop_assert!((0.0..=1.0).contains(&p));
        }
    }
}
