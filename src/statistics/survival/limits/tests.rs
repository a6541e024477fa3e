//! The limits of curve, quantile and share against worked examples and properties.

use super::super::tests::{HOUR, curve, durations, ended, remission_weeks, running};
use super::*;
use proptest::prelude::*;

fn close(ours: f64, expected: f64, error: f64) -> bool {
    (ours - expected).abs() <= error
}

#[test]
fn remission_data_of_1963_give_their_band() {
    // The 6-MP data, as in the test of the curve. The standard error sqrt(V) S and the limits at
    // 95 % are those of lifelines and statsmodels, which agree.
    let rows = [
        (0.0763603548, 0.619718, 0.951552),
        (0.0869352852, 0.563147, 0.922809),
        (0.0963496530, 0.503200, 0.889362),
        (0.1068147078, 0.431610, 0.849066),
        (0.1140538653, 0.367511, 0.804912),
        (0.1282337517, 0.267779, 0.746791),
        (0.1345914568, 0.188052, 0.680143),
    ];
    let curve = curve(&remission_weeks());
    let band = curve.band(0.95);
    assert_eq!(band.len(), rows.len());
    for ((step, limits), (error, lower, upper)) in curve.steps.iter().zip(band).zip(rows) {
        let limits = limits.unwrap();
        assert!(close(limits.lower, lower, 5e-7) && close(limits.upper, upper, 5e-7), "{limits:?}");
        // The standard error can be had back from the limits: w = z error/(S ln S).
        let w = libm::log(libm::log(limits.upper) / libm::log(step.survival));
        let z = normal::quantile(0.025).unwrap();
        let ours = w * step.survival * libm::log(step.survival) / z;
        assert!(close(ours.abs(), error, 5e-10), "{ours}");
    }
    // The limits of the median: 13 weeks, and none.
    let median = curve.quantile_limits(1, 2, 0.95);
    assert_eq!(median, QuantileLimits { lower: Quantile::At(13), upper: Quantile::MoreThan(35) });
}

/// Six repairs that ended and four that have not.
fn repairs() -> Curve {
    let closed = [2, 4, 6, 8, 24, 48].map(|hours| ended(hours * HOUR));
    let open = [240, 400, 600, 720].map(|hours| running(hours * HOUR));
    curve(&[&closed[..], &open[..]].concat())
}

#[test]
fn repairs_still_open_leave_the_upper_limit_open() {
    let repairs = repairs();
    let median = repairs.quantile_limits(1, 2, 0.95);
    assert_eq!(median, QuantileLimits { lower: Quantile::At(2 * HOUR), upper: Quantile::MoreThan(720 * HOUR) });
    let within = repairs.share_ended_by(72 * HOUR, 0.95).unwrap();
    assert!(close(within.share, 0.6, 1e-15));
    let (limits, lasting) = (within.interval.unwrap(), repairs.band(0.95)[5].unwrap());
    assert!(close(limits.lower, 1.0 - lasting.upper, 1e-15) && close(limits.upper, 1.0 - lasting.lower, 1e-15));
}

#[test]
fn before_the_first_ending_none_of_n_is_not_nothing() {
    let repairs = repairs();
    let early = repairs.share_ended_by(HOUR, 0.95).unwrap();
    assert_eq!((early.share, early.interval), (0.0, clopper_pearson(0, 10, 0.95)));
    // Whoever was lost from sight before counts no longer, and one followed just so long does.
    let lost = curve(&[running(1), running(2), running(3), ended(9)]);
    assert_eq!(lost.share_ended_by(2, 0.95).unwrap().interval, clopper_pearson(0, 3, 0.95));
    assert_eq!(lost.share_ended_by(5, 0.95).unwrap().interval, clopper_pearson(0, 1, 0.95));
    let all_open = curve(&[running(3), running(7)]);
    assert_eq!(all_open.share_ended_by(7, 0.95).unwrap().interval, clopper_pearson(0, 1, 0.95));
}

#[test]
fn all_of_n_is_not_certainty() {
    let three = curve(&[ended(1), ended(2), ended(2)]);
    let by = three.share_ended_by(9, 0.95).unwrap();
    assert_eq!((by.share, by.interval), (1.0, clopper_pearson(3, 3, 0.95)));
    // With one lost from sight there is no exact limit, and no other one.
    let lost = curve(&[running(1), ended(2), ended(2)]);
    assert_eq!(lost.share_ended_by(2, 0.95), Some(ShareEnded { share: 1.0, interval: None }));
}

#[test]
fn what_was_not_followed_long_enough_is_not_judged() {
    let repairs = repairs();
    assert!(repairs.share_ended_by(720 * HOUR, 0.95).is_some());
    assert_eq!(repairs.share_ended_by(720 * HOUR + 1, 0.95), None);
    for confidence in [0.0, 1.0, f64::NAN] {
        assert_eq!(repairs.share_ended_by(HOUR, confidence), None);
        assert_eq!(repairs.band(confidence), [None; 6]);
        assert_eq!(repairs.quantile_limits(1, 2, confidence).lower, Quantile::NoData);
    }
    for (numerator, denominator) in [(0, 1), (0, 0), (1, 0), (3, 2)] {
        let limits = repairs.quantile_limits(numerator, denominator, 0.95);
        assert_eq!(limits, QuantileLimits { lower: Quantile::NoData, upper: Quantile::NoData });
    }
}

#[test]
fn one_ending_limits_nothing() {
    let one = curve(&[ended(9)]);
    assert_eq!(one.band(0.95), [None]);
    let limits = one.quantile_limits(1, 2, 0.95);
    assert_eq!(limits, QuantileLimits { lower: Quantile::NoData, upper: Quantile::MoreThan(9) });
    assert_eq!(one.share_ended_by(9, 0.95).unwrap().interval, clopper_pearson(1, 1, 0.95));
}

#[test]
fn many_alike_keep_their_digits() {
    // One of a million ended: the limits are about 1e-6 times 7.1 and 0.14 from 1.
    let mut all = vec![running(5); 1_000_000];
    all[0] = ended(1);
    let by = curve(&all).share_ended_by(2, 0.95).unwrap();
    let limits = by.interval.unwrap();
    let z: f64 = 1.959963984540054;
    assert!(close(limits.upper * 1e6, libm::exp(z), 1e-4) && close(limits.lower * 1e6, libm::exp(-z), 1e-6));
}

proptest! {
    #[test]
    fn the_band_holds_the_curve_and_widens_with_confidence(durations in durations()) {
        let curve = curve(&durations);
        let (narrow, wide) = (curve.band(0.8), curve.band(0.95));
        prop_assert_eq!(narrow.len(), curve.steps.len());
        for ((step, narrow), wide) in curve.steps.iter().zip(narrow).zip(wide) {
            prop_assert_eq!(narrow.is_none(), step.at_risk == step.ended);
            prop_assert_eq!(narrow.is_none(), wide.is_none());
            if let (Some(narrow), Some(wide)) = (narrow, wide) {
                let row = [0.0, wide.lower, narrow.lower, step.survival, narrow.upper, wide.upper, 1.0];
                prop_assert!(row.is_sorted(), "{:?}", row);
            }
        }
    }

    #[test]
    fn the_limits_of_a_quantile_hold_it(durations in durations(), numerator in 1_u64..20) {
        let curve = curve(&durations);
        let limits = curve.quantile_limits(numerator, 20, 0.95);
        let at = |quantile| match quantile {
            Quantile::At(seconds) => Some(seconds),
            Quantile::MoreThan(_) => Some(i64::MAX),
            Quantile::NoData => None,
        };
        let quantile = at(curve.quantile(numerator, 20)).unwrap();
        prop_assert!(at(limits.lower).is_none_or(|lower| lower <= quantile));
        prop_assert!(at(limits.upper).unwrap() >= quantile);
        prop_assert!(curve.all_ended() || limits.lower != Quantile::NoData);
    }

    #[test]
    fn the_share_ended_grows_and_lies_within_its_limits(durations in durations()) {
        let curve = curve(&durations);
        let mut before = 0.0;
        for seconds in -1..=curve.longest {
            let by = curve.share_ended_by(seconds, 0.95).unwrap();
            prop_assert!(before <= by.share);
            prop_assert!(by.interval.is_none_or(|limits| limits.lower <= by.share && by.share <= limits.upper));
            before = by.share;
        }
        prop_assert_eq!(curve.share_ended_by(curve.longest + 1, 0.95).is_some(), curve.all_ended());
    }

    #[test]
    fn no_times_do_harm(
        durations in prop::collection::vec((any::<i64>(), any::<bool>()), 1..12),
        seconds: i64, numerator: u64, denominator: u64, confidence: f64,
    ) {
        let durations: Vec<_> =
            durations.into_iter().map(|(seconds, ended)| super::super::FollowUp { seconds, ended }).collect();
        let curve = curve(&durations);
        curve.quantile_limits(numerator, denominator, confidence);
        for limits in curve.band(confidence).into_iter().flatten() {
            prop_assert!(0.0 <= limits.lower && limits.lower <= limits.upper && limits.upper <= 1.0);
        }
        if let Some(by) = curve.share_ended_by(seconds, confidence) {
            prop_assert!((0.0..=1.0).contains(&by.share));
        }
    }
}
