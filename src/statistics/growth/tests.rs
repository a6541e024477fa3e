//! The power law against a published example and properties.

use super::super::trend::tests::handbook_example;
use super::*;
use proptest::prelude::*;

fn close(ours: f64, expected: f64, error: f64) -> bool {
    (ours - expected).abs() <= error
}

#[test]
fn the_handbook_example_gives_its_power_law() {
    // NIST/SEMATECH e-Handbook, section 8.4.5.1, from memory: growth 1 - shape of .5165, scale
    // .2913, mean time at the end 310.234 hours. The limits of the shape are scipy's.
    let law = growth(&handbook_example(), 0.9).unwrap();
    assert!(close(law.likeliest_shape, 0.537229, 5e-7), "{law:?}");
    assert!(close(1.0 - law.shape, 0.5165, 5e-5), "{law:?}");
    assert!(close(law.scale, 0.2913, 5e-5), "{law:?}");
    assert!(close(law.mean_time_at_end, 310.234, 5e-4), "{law:?}");
    assert!(close(law.shape_interval.lower, 0.2915, 5e-5) && close(law.shape_interval.upper, 0.8437, 5e-5));
}

#[test]
fn odds_of_few_failures_can_be_counted_out() {
    // x = 4: the terms are 4, 16/2, 64/12, 256/144, 1024/2880, ...
    let terms = [4.0, 8.0, 64.0 / 12.0, 256.0 / 144.0, 1024.0 / 2880.0];
    let mut all = terms.to_vec();
    for k in 5..40 {
        all.push(all[k - 1] * 4.0 / ((k + 1) as f64 * k as f64));
    }
    let total: f64 = all.iter().sum();
    for (index, _) in terms.iter().enumerate() {
        let odds = Odds::of(index as u64 + 1, 4.0);
        assert!(close(odds.at_most, all[..=index].iter().sum::<f64>() / total, 1e-15));
        assert!(close(odds.at_least, all[index..].iter().sum::<f64>() / total, 1e-15));
    }
}

#[test]
fn too_little_gives_no_law() {
    let mut few = handbook_example();
    few.failures.truncate(4);
    assert_eq!(growth(&few, 0.95), None);
    for confidence in [0.0, 1.0, f64::NAN] {
        assert_eq!(growth(&handbook_example(), confidence), None);
    }
    assert_eq!(growth(&Watched { until: 9.0, failures: vec![9.0; 6] }, 0.95), None);
    assert_eq!(growth(&Watched { until: f64::NAN, failures: vec![9.0; 6] }, 0.95), None);
}

#[test]
fn very_many_failures_are_answered() {
    let failures: Vec<f64> = (1..=20_000).map(f64::from).collect();
    let steady = growth(&Watched { until: 20_000.0, failures }, 0.95).unwrap();
    assert!(close(steady.shape, 1.0, 1e-3) && close(steady.mean_time_at_end, 1.0, 1e-3), "{steady:?}");
    let limits = steady.mean_time_interval;
    assert!(0.97 < limits.lower && limits.lower < 1.0 && 1.0 < limits.upper && limits.upper < 1.03, "{limits:?}");
}

proptest! {
    #[test]
    fn the_unit_of_time_does_not_matter(
        times in prop::collection::vec(1_u32..1000, 5..30), confidence in 0.5..0.999,
    ) {
        let watched = |unit: f64| Watched {
            until: 1000.0 * unit,
            failures: times.iter().map(|time| f64::from(*time) * unit).collect(),
        };
        // A unit that is a power of two leaves every digit as it is.
        let (ours, other) = (growth(&watched(1.0), confidence).unwrap(), growth(&watched(64.0), confidence).unwrap());
        prop_assert_eq!((ours.shape, ours.shape_interval), (other.shape, other.shape_interval));
        prop_assert_eq!(ours.mean_time_at_end * 64.0, other.mean_time_at_end);
        prop_assert!(close(ours.mean_time_interval.upper * 64.0 / other.mean_time_interval.upper, 1.0, 1e-14));
        let (shape, mean) = (ours.shape_interval, ours.mean_time_interval);
        prop_assert!(shape.lower < ours.likeliest_shape && ours.likeliest_shape < shape.upper);
        prop_assert!(mean.lower < ours.mean_time_at_end && ours.mean_time_at_end < mean.upper);
    }

    #[test]
    fn whatever_comes_in_no_number_is_mad(
        until: f64, failures in prop::collection::vec(any::<f64>(), 0..8), confidence: f64,
    ) {
        if let Some(law) = growth(&Watched { until, failures }, confidence) {
            for number in [law.shape, law.scale, law.mean_time_at_end, law.shape_interval.upper] {
                prop_assert!(number.is_finite() && number > 0.0);
            }
        }
    }
}
