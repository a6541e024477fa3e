//! How often the intervals cover the truth, to the last count: the exact ones never less often than they say.

#![cfg(test)]

#[path = "limits/exact_coverage.rs"]
mod exact_coverage;

use exact_coverage::{Coverage, of_means, of_shares};
use pinindex::statistics::proportion::{clopper_pearson, wilson};
use pinindex::statistics::rate::garwood;

/// What the sums of probabilities may lose to rounding.
const ROUNDING: f64 = 1e-11;

const TRIALS: [u64; 9] = [1, 2, 5, 10, 20, 30, 60, 180, 365];

fn exact(n: u64, confidence: f64, largest: f64) -> Coverage {
    of_shares(|k| clopper_pearson(k, n, confidence).unwrap(), n, largest)
}

#[test]
fn the_exact_interval_of_a_share_never_covers_less_than_it_says() {
    for confidence in [0.9, 0.95, 0.99] {
        for n in TRIALS {
            let coverage = exact(n, confidence, 1.0);
            assert!(coverage.least >= confidence - ROUNDING, "{n} trials at {confidence}: {coverage:?}");
            assert!(coverage.mean > coverage.least && coverage.mean < 1.0, "{n} trials: {coverage:?}");
        }
    }
}

#[test]
fn the_exact_interval_of_a_rate_never_covers_less_than_it_says() {
    for confidence in [0.9, 0.95, 0.99] {
        for largest in [1.0, 5.0, 30.0, 120.0] {
            let coverage = of_means(|k| garwood(k, 1.0, confidence).unwrap(), largest);
            assert!(coverage.least >= confidence - ROUNDING, "means to {largest} at {confidence}: {coverage:?}");
            assert!(coverage.mean > coverage.least, "means to {largest}: {coverage:?}");
        }
    }
}

#[test]
fn the_exact_interval_is_a_little_wide_and_no_more() {
    // Each side errs with at most half of what is left over; where one side cannot err at all, half is lost.
    for n in TRIALS.into_iter().filter(|&n| n >= 30) {
        let coverage = exact(n, 0.95, 1.0);
        assert!(coverage.least < 0.965 && coverage.mean < 0.985, "{n} trials: {coverage:?}");
    }
}

#[test]
fn the_score_interval_holds_its_promise_only_on_average() {
    for (n, least) in [(30, 0.8371), (180, 0.8380)] {
        let rare = of_shares(|k| wilson(k, n, 0.95).unwrap(), n, 0.08);
        assert!((rare.least - least).abs() < 1e-4, "{n} trials: {rare:?}");
        assert!((0.945..0.965).contains(&rare.mean), "{n} trials: {rare:?}");
        let exact = exact(n, 0.95, 0.08);
        assert!(exact.least >= 0.95 && exact.mean > rare.mean, "{n} trials: {exact:?}");
    }
}

#[test]
fn an_interval_that_is_too_narrow_is_found_out() {
    // The textbook interval without a correction, p plus or minus z standard errors.
    let naive = |k: u64| {
        let p = k as f64 / 30.0;
        let reach = 1.959_964 * (p * (1.0 - p) / 30.0).sqrt();
        pinindex::statistics::proportion::Interval { lower: p - reach, upper: p + reach }
    };
    let coverage = of_shares(naive, 30, 0.08);
    assert!(coverage.least < 0.1 && coverage.mean < 0.85, "{coverage:?}");
}
