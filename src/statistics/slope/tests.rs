//! Slopes and crossings against worked examples, exact small cases and properties.

use super::*;
use proptest::prelude::*;

fn close(ours: f64, expected: f64) -> bool {
    (ours - expected).abs() <= 1e-9 * expected.abs()
}

#[test]
fn the_example_of_sen_gives_its_slope() {
    // F. A. Graybill's data as used by P. K. Sen 1968; the slope of 4 is published (from memory).
    // The paper's own limits are no check: the tests of the R package deming note that its list of
    // slopes has mistakes. Like here, they come from Kendall's table, not from the normal one.
    let x = [1.0, 2.0, 3.0, 4.0, 10.0, 12.0, 18.0];
    let y = [9.0, 15.0, 19.0, 20.0, 45.0, 55.0, 78.0];
    let points: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
    let slope = theil_sen(&points, 0.95).unwrap();
    assert_eq!((slope.slope, slope.at, slope.n), (4.0, (4.0, 22.0), 7));
    // Of the 5040 orders of seven 76 have 18 or more pairs in order, so that the slopes of rank 4
    // and 18 cover with probability 1 - 152/5040 = .970 and those of rank 5 and 17 with .931. By
    // the normal distribution scipy.stats.theilslopes gives the wider ones from 93 % on.
    assert!(close(slope.lower, 26.0 / 7.0) && close(slope.upper, 35.0 / 8.0), "{slope:?}");
    let narrower = theil_sen(&points, 0.93).unwrap();
    assert_eq!((narrower.lower, narrower.upper), (15.0 / 4.0, 46.0 / 11.0));
    // All 21 pairs rise: 2/7!.
    assert!(close(slope.kendall_p, 2.0 / 5040.0));
}

/// Twelve weekly readings that fall towards 20.0, with ties.
fn weekly() -> Vec<(f64, f64)> {
    let readings = [21.0, 20.9, 21.0, 20.9, 20.8, 20.9, 20.7, 20.8, 20.6, 20.7, 20.5, 20.6];
    readings.into_iter().enumerate().map(|(week, reading)| (7.0 * week as f64, reading)).collect()
}

#[test]
fn weekly_readings_give_a_date_around_their_middle() {
    let slope = theil_sen(&weekly(), 0.95).unwrap();
    assert!(close(slope.slope, -1.0 / 157.5), "{slope:?}");
    assert!(close(slope.lower, -1.0 / 140.0) && close(slope.upper, -1.0 / 245.0), "{slope:?}");
    assert!(close(slope.at.0, 38.5) && close(slope.at.1, 20.0 + 139.0 / 180.0), "{slope:?}");
    // S = -49, variance 205: z = 48 / sqrt(205).
    assert!((slope.kendall_p - 0.00080095).abs() < 5e-9, "{slope:?}");

    let days = |crossing| match crossing {
        Crossing::Dated { earliest, estimate, latest } => (earliest, estimate, latest),
        Crossing::NotDated(why) => panic!("{why:?}"),
    };
    let (earliest, estimate, latest) = days(crossing(&slope, 20.0, 77.0, 80.0));
    // 139/180 are left on day 38.5, which is 140, 157.5 and 245 times as many days.
    let expected = [140.0, 157.5, 245.0].map(|slope| 38.5 + slope * 139.0 / 180.0);
    assert!(close(earliest, expected[0]) && close(estimate, expected[1]) && close(latest.unwrap(), expected[2]));
    // Twice 75 days after day 77 is day 227: the latest day is too far to say.
    assert_eq!(days(crossing(&slope, 20.0, 77.0, 75.0)).2, None);
}

#[test]
fn no_date_is_made_up() {
    let falling = theil_sen(&weekly(), 0.95).unwrap();
    let not = |limit, last, span| crossing(&falling, limit, last, span);
    assert_eq!(not(22.0, 77.0, 77.0), Crossing::NotDated(NotDated::AwayFromLimit));
    assert_eq!(not(20.7, 77.0, 77.0), Crossing::NotDated(NotDated::AlreadyReached));
    assert_eq!(not(20.77, 77.0, 77.0), Crossing::NotDated(NotDated::AlreadyReached));
    assert_eq!(not(19.0, 77.0, 77.0), Crossing::NotDated(NotDated::BeyondTwiceTheSpan));
    assert_eq!(not(f64::NAN, 77.0, 77.0), Crossing::NotDated(NotDated::BeyondTwiceTheSpan));
    assert_eq!(not(20.0, 77.0, f64::NAN), Crossing::NotDated(NotDated::BeyondTwiceTheSpan));
    // The steeper limit would have crossed before the last reading; the date is not before that.
    assert!(matches!(not(20.48, 84.0, 77.0), Crossing::Dated { earliest: 84.0, .. }));

    let level: Vec<(f64, f64)> = (0..12).map(|x| (f64::from(x), f64::from(x % 2))).collect();
    let level = theil_sen(&level, 0.95).unwrap();
    assert_eq!(crossing(&level, 5.0, 11.0, 11.0), Crossing::NotDated(NotDated::SlopeIncludesZero));
}

#[test]
fn the_interval_needs_enough_points() {
    let line = |n: u32| (0..n).map(|x| (f64::from(x), f64::from(x * x))).collect::<Vec<_>>();
    for n in 0..5 {
        assert_eq!(theil_sen(&line(n), 0.95), None, "{n} points");
    }
    // Five: the outermost slopes, because 2/120 is below 5 %. They are 1 and 7.
    let five = theil_sen(&line(5), 0.95).unwrap();
    assert_eq!((five.lower, five.upper), (1.0, 7.0));
    // At 99 % that is too much: 2/120 is above 1 %.
    assert_eq!(theil_sen(&line(5), 0.99), None);
    assert!(theil_sen(&line(6), 0.99).is_some());
}

#[test]
fn ranks_of_small_samples_are_those_of_kendalls_table() {
    // Two-sided 5 % points of S without ties (M. G. Kendall 1938, Biometrika 30:81-93, from memory;
    // they follow from counting): n = 6: 13, 7: 15, 8: 18, 9: 20, 10: 23. C = S - 2, M = (N - C)/2.
    for (n, critical) in [(6, 13), (7, 15), (8, 18), (9, 20), (10, 23)] {
        let line = Ordered((0..n).map(f64::from).collect());
        let pairs = n * (n - 1) / 2;
        let rank = Null::of(&line, &line, pairs as usize).rank(0.025);
        assert_eq!(rank, Some(((pairs - critical + 2) / 2) as usize), "{n}");
    }
}

#[test]
fn what_cannot_be_answered_is_not() {
    let upright = vec![(1.0, 0.0), (1.0, 1.0), (1.0, 2.0), (1.0, 3.0), (1.0, 4.0), (1.0, 5.0)];
    assert_eq!(theil_sen(&upright, 0.95), None);
    for bad in [f64::NAN, f64::INFINITY] {
        let mut points = weekly();
        points[3].1 = bad;
        assert_eq!(theil_sen(&points, 0.95), None);
        points[3] = (bad, 1.0);
        assert_eq!(theil_sen(&points, 0.95), None);
    }
    let mut points = weekly();
    points[3] = (21.0, f64::MAX);
    points[4] = (28.0, f64::MIN);
    assert_eq!(theil_sen(&points, 0.95), None);
    for confidence in [0.0, 1.0, -1.0, f64::NAN] {
        assert_eq!(theil_sen(&weekly(), confidence), None);
    }
    let many: Vec<(f64, f64)> = (0..=MOST_POINTS).map(|x| (x as f64, 0.0)).collect();
    assert_eq!(theil_sen(&many, 0.95), None);
}

#[test]
fn readings_all_alike_have_no_drift_that_could_be_dated() {
    let alike: Vec<(f64, f64)> = (0..12).map(|x| (f64::from(x), 21.0)).collect();
    let slope = theil_sen(&alike, 0.95).unwrap();
    assert_eq!((slope.slope, slope.lower, slope.upper, slope.kendall_p), (0.0, 0.0, 0.0, 1.0));
    assert_eq!(crossing(&slope, 20.0, 11.0, 11.0), Crossing::NotDated(NotDated::SlopeIncludesZero));
}

/// Returns points whose numbers are exact in binary, so that moving them is exact too.
fn points(ties: bool) -> impl Strategy<Value = Vec<(f64, f64)>> {
    let one = if ties { (0..12_i32, 0..9_i32) } else { (0..4000, 0..4000) };
    let exact = |(x, y)| (f64::from(x) / 8.0, f64::from(y) / 8.0);
    prop::collection::vec(one.prop_map(exact), 0..40)
}

proptest! {
    #[test]
    fn limits_enclose_the_slope_and_mirror(points in prop_oneof![points(true), points(false)], confidence in 0.5..0.999) {
        let mirrored: Vec<(f64, f64)> = points.iter().map(|(x, y)| (*x, -y)).collect();
        let turned: Vec<(f64, f64)> = points.iter().rev().copied().collect();
        let (ours, mirrored) = (theil_sen(&points, confidence), theil_sen(&mirrored, confidence));
        prop_assert_eq!(ours, theil_sen(&turned, confidence));
        prop_assert_eq!(ours.is_some(), mirrored.is_some());
        if let (Some(ours), Some(mirrored)) = (ours, mirrored) {
            prop_assert!(ours.lower <= ours.slope && ours.slope <= ours.upper);
            prop_assert_eq!((ours.slope, ours.lower, ours.upper), (-mirrored.slope, -mirrored.upper, -mirrored.lower));
            prop_assert_eq!(ours.kendall_p, mirrored.kendall_p);
            prop_assert!((0.0..=1.0).contains(&ours.kendall_p));
        }
    }

    #[test]
    fn the_interval_and_the_test_say_the_same(
        order in Just((0..11_i32).collect::<Vec<_>>()).prop_shuffle(), confidence in 0.5..0.999,
    ) {
        let points: Vec<(f64, f64)> = order.iter().enumerate().map(|(x, y)| (x as f64, f64::from(*y))).collect();
        let slope = theil_sen(&points, confidence).unwrap();
        let excludes_zero = slope.lower > 0.0 || slope.upper < 0.0;
        prop_assert_eq!(excludes_zero, slope.kendall_p <= 1.0 - confidence);
    }

    #[test]
    fn the_slope_is_the_middle_of_all_slopes(points in points(true)) {
        let mut all: Vec<f64> = points
            .iter()
            .flat_map(|a| points.iter().map(move |b| (b.1 - a.1, b.0 - a.0)))
            .filter(|(_, across)| *across > 0.0)
            .map(|(up, across)| up / across)
            .collect();
        all.sort_by(f64::total_cmp);
        if let Some(ours) = theil_sen(&points, 0.5) {
            let (low, high) = (all[(all.len() - 1) / 2], all[all.len() / 2]);
            prop_assert!((ours.slope - (low + high) / 2.0).abs() <= 1e-15 * high.abs().max(low.abs()));
        }
    }

    #[test]
    fn whatever_comes_in_no_number_is_mad(
        points in prop::collection::vec((any::<f64>(), any::<f64>()), 0..12),
        confidence: f64, limit: f64, last: f64, span: f64,
    ) {
        if let Some(slope) = theil_sen(&points, confidence) {
            for number in [slope.slope, slope.lower, slope.upper, slope.at.0, slope.at.1, slope.kendall_p] {
                prop_assert!(number.is_finite());
            }
            if let Crossing::Dated { earliest, estimate, latest } = crossing(&slope, limit, last, span) {
                prop_assert!(earliest.is_finite() && estimate.is_finite() && latest.is_none_or(f64::is_finite));
            }
        }
    }
}
