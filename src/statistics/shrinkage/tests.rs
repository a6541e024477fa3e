//! The shrunken rates against a published example, the likelihood itself and properties.

use super::*;
use proptest::prelude::*;

/// D. P. Gaver and I. G. O'Muircheartaigh 1987, Technometrics 29:1-15: failures of ten pump systems of a
/// power plant and thousands of hours of operation.
const PUMPS: [(u64, f64); 10] = [
    (5, 94.32),
    (1, 15.72),
    (5, 62.88),
    (14, 125.76),
    (3, 5.24),
    (19, 31.44),
    (1, 1.048),
    (1, 1.048),
    (4, 2.096),
    (22, 10.48),
];

fn prior(counts: &[(u64, f64)]) -> (f64, f64, Vec<Unit>) {
    match shrunken(counts, 0.95).unwrap() {
        Shrunken::Prior { shape, rate, units } => (shape, rate, units),
        Shrunken::Pooled { rate } => panic!("pooled at {rate}"),
    }
}

fn relative_error(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

/// Returns the logarithm of the likelihood of a prior, by the negative binomial distribution as textbooks
/// write it.
fn ln_likelihood(counts: &[(u64, f64)], shape: f64, rate: f64) -> f64 {
    let of_unit = |&(k, exposure): &(u64, f64)| {
        let count = k as f64;
        libm::lgamma(shape + count) - libm::lgamma(shape) - libm::lgamma(count + 1.0)
            + shape * libm::log(rate / (rate + exposure))
            + count * libm::log(exposure / (rate + exposure))
    };
    counts.iter().map(of_unit).sum()
}

/// Returns the logarithm of the likelihood of one common rate.
fn ln_likelihood_pooled(counts: &[(u64, f64)], rate: f64) -> f64 {
    let of_unit = |&(k, exposure): &(u64, f64)| {
        let (count, mean) = (k as f64, rate * exposure);
        let ln_power = if k == 0 { 0.0 } else { count * libm::log(mean) };
        ln_power - mean - libm::lgamma(count + 1.0)
    };
    counts.iter().map(of_unit).sum()
}

#[test]
fn the_pumps_come_out_as_published() {
    let (shape, rate, units) = prior(&PUMPS);
    // The shape is quoted from memory as 0.82; all digits are those of scipy 1.17.1, which minimised the
    // negative binomial likelihood.
    assert!((shape - 0.822269).abs() < 1e-6, "{shape}");
    assert!((rate - 1.258954).abs() < 1e-6, "{rate}");
    assert!((ln_likelihood(&PUMPS, shape, rate) + 32.26306704).abs() < 1e-8);
    let means = [0.06092, 0.10733, 0.09078, 0.11669, 0.58814, 0.60620, 0.78990, 0.78990, 1.43736, 1.94415];
    for (unit, expected) in units.iter().zip(means) {
        assert!((unit.mean - expected).abs() < 5.1e-6, "{unit:?}, expected {expected}");
    }
}

#[test]
fn counts_that_vary_no_more_than_chance_are_pooled() {
    let alike = [(1, 30.0), (1, 30.0), (0, 30.0), (2, 30.0), (0, 30.0), (1, 30.0)];
    assert_eq!(shrunken(&alike, 0.95), Some(Shrunken::Pooled { rate: 5.0 / 180.0 }));
    assert_eq!(shrunken(&[(0, 30.0), (0, 10.0)], 0.95), Some(Shrunken::Pooled { rate: 0.0 }));
    assert_eq!(shrunken(&[(7, 30.0)], 0.95), Some(Shrunken::Pooled { rate: 7.0 / 30.0 }));
}

#[test]
fn three_of_five_at_one_machine_is_only_just_a_difference() {
    // The counts vary a little more than chance: the sum of (k - m)^2 is 6.83, of k is 5.
    let counts = [(0, 30.0), (1, 30.0), (0, 30.0), (3, 30.0), (0, 30.0), (1, 30.0)];
    let (shape, rate, units) = prior(&counts);
    assert!(relative_error(shape / rate, 5.0 / 180.0) < 1e-12, "equal exposures leave the mean as it is");
    // A third of the way from the common rate to its own is about what these counts bear out.
    assert!(units[3].mean < 0.075 && units[3].mean > 5.0 / 180.0, "{:?}", units[3]);
}

#[test]
fn a_unit_seen_hardly_at_all_is_taken_for_one_like_the_others() {
    let mut counts = PUMPS.to_vec();
    counts.push((0, 1e-6));
    let (shape, rate, units) = prior(&counts);
    assert!(relative_error(units[10].mean, shape / rate) < 1e-5);
}

#[test]
fn forty_machines_with_hundreds_of_events_are_answered() {
    let counts: Vec<(u64, f64)> = (0..40).map(|i| (i * i / 2, 300.0 + i as f64)).collect();
    let (shape, rate, units) = prior(&counts);
    for (by, other) in [(1.001, 1.0), (1.0 / 1.001, 1.0), (1.0, 1.001), (1.0, 1.0 / 1.001)] {
        let beside = ln_likelihood(&counts, shape * by, rate * other);
        assert!(beside < ln_likelihood(&counts, shape, rate), "{by}, {other}");
    }
    assert!(units.iter().all(|unit| unit.interval.lower < unit.mean && unit.mean < unit.interval.upper));
}

#[test]
fn nothing_is_said_about_what_cannot_be() {
    assert_eq!(shrunken(&[], 0.95), None);
    for exposure in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(shrunken(&[(1, 30.0), (2, exposure)], 0.95), None, "exposure {exposure}");
    }
    for confidence in [0.0, 1.0, 95.0, f64::NAN] {
        assert_eq!(shrunken(&PUMPS, confidence), None, "confidence {confidence}");
    }
    assert_eq!(shrunken(&[(u64::MAX, 30.0), (u64::MAX, 30.0)], 0.95), None);
}

#[test]
fn both_forms_of_the_digamma_agree() {
    for a in [1e-3, 0.3, 2.0, 15.9, 16.1, 700.0] {
        let summed: f64 = (0..500).map(|j| 1.0 / (a + f64::from(j))).sum();
        assert!(relative_error(digamma_difference(a, 500), summed) < 1e-13, "a = {a}");
    }
}

fn fleets() -> impl Strategy<Value = Vec<(u64, f64)>> {
    let one = (prop_oneof![0_u64..4, 0_u64..40], prop_oneof![Just(30.0), 0.5..400.0_f64]);
    prop::collection::vec(one, 1..41)
}

proptest! {
    #[test]
    fn no_prior_and_no_common_rate_is_likelier(counts in fleets(), ln_shape in -5.0..10.0_f64, ln_mean in -7.0..4.0_f64) {
        let other_shape = libm::exp(ln_shape);
        let other = ln_likelihood(&counts, other_shape, other_shape / libm::exp(ln_mean));
        let total: f64 = counts.iter().map(|&(_, exposure)| exposure).sum();
        let events: u64 = counts.iter().map(|&(k, _)| k).sum();
        let pooled = ln_likelihood_pooled(&counts, events as f64 / total);
        let ours = match shrunken(&counts, 0.95).unwrap() {
            Shrunken::Pooled { rate } => ln_likelihood_pooled(&counts, rate),
            Shrunken::Prior { shape, rate, .. } => ln_likelihood(&counts, shape, rate),
        };
        let slack = 1e-8 * (1.0 + ours.abs());
        prop_assert!(other <= ours + slack && pooled <= ours + slack, "{ours}, but {other} and {pooled}");
    }

    #[test]
    fn the_likelihood_is_level_at_the_answer(counts in fleets()) {
        if let Shrunken::Prior { shape, rate, .. } = shrunken(&counts, 0.95).unwrap() {
            prop_assume!(shape < 1e3);
            let here = ln_likelihood(&counts, shape, rate);
            for (a, b) in [(1e-3, 0.0), (-1e-3, 0.0), (0.0, 1e-3), (0.0, -1e-3), (1e-3, 1e-3), (-1e-3, -1e-3)] {
                let beside = ln_likelihood(&counts, shape * (1.0 + a), rate * (1.0 + b));
                prop_assert!(beside <= here + 1e-10 * (1.0 + here.abs()), "{here}, {beside} at {a}, {b}");
            }
        }
    }

    #[test]
    fn each_mean_lies_between_the_units_own_and_the_common_one(counts in fleets()) {
        if let Shrunken::Prior { shape, rate, units } = shrunken(&counts, 0.95).unwrap() {
            let common = shape / rate;
            for (unit, &(k, exposure)) in units.iter().zip(&counts) {
                let own = k as f64 / exposure;
                let slack = 1e-12 * (own + common);
                prop_assert!(own.min(common) - slack <= unit.mean && unit.mean <= own.max(common) + slack);
                prop_assert!(unit.interval.lower < unit.mean && unit.mean < unit.interval.upper);
            }
        }
    }

    #[test]
    fn the_unit_of_exposure_does_not_matter(counts in fleets()) {
        let in_hours: Vec<_> = counts.iter().map(|&(k, exposure)| (k, 24.0 * exposure)).collect();
        match (shrunken(&counts, 0.95).unwrap(), shrunken(&in_hours, 0.95).unwrap()) {
            (Shrunken::Pooled { rate: days }, Shrunken::Pooled { rate: hours }) => {
                prop_assert!((days - 24.0 * hours).abs() <= 1e-12 * days);
            }
            (Shrunken::Prior { units: days, .. }, Shrunken::Prior { units: hours, .. }) => {
                for (day, hour) in days.iter().zip(&hours) {
                    prop_assert!(relative_error(24.0 * hour.mean, day.mean) < 1e-6);
                }
            }
            // Only a shape at the very end of those looked at may fall on either side.
            (Shrunken::Prior { shape, .. }, _) | (_, Shrunken::Prior { shape, .. }) => prop_assert!(shape > 1e5),
        }
    }

    #[test]
    fn no_input_panics(counts in prop::collection::vec(any::<(u64, f64)>(), 0..6), confidence in 0.0..1.0_f64) {
        let small: Vec<_> = counts.iter().map(|&(k, exposure)| (k % 1_000_000, exposure.abs())).collect();
        for counts in [counts, small] {
            match shrunken(&counts, confidence) {
                Some(Shrunken::Pooled { rate }) => prop_assert!(rate.is_finite() && rate >= 0.0),
                Some(Shrunken::Prior { shape, rate, units }) => {
                    prop_assert!(shape > 0.0 && rate > 0.0 && shape.is_finite() && rate.is_finite());
                    prop_assert!(units.iter().all(|unit| unit.mean.is_finite() && unit.interval.upper.is_finite()));
                    prop_assert!(units.iter().all(|unit| unit.interval.lower <= unit.interval.upper));
                }
                None => {}
            }
        }
    }
}
