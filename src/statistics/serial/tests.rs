//! The effective number of readings, against series made so that their memory is known.

use super::super::slope::theil_sen;
use super::{likeness, widened};
use proptest::prelude::*;

/// A row whose deviations come in waves of six: the neighbours are alike.
fn waves() -> Vec<(f64, f64)> {
    let wave = [0.0, 0.3, 0.4, 0.1, -0.3, -0.5];
    (0..36).map(|n| (f64::from(n), 20.0 - 0.02 * f64::from(n) + wave[n as usize % 6])).collect()
}

#[test]
fn likeness_widens_the_limits_and_leaves_the_slope() {
    let points = waves();
    let plain = theil_sen(&points, 0.95).unwrap();
    let wide = widened(&points, &plain, 0.95).unwrap();
    assert_eq!((wide.slope, wide.at, wide.n), (plain.slope, plain.at, plain.n));
    assert!(wide.lower < plain.lower && plain.upper < wide.upper, "{plain:?} {wide:?}");
    assert!(wide.kendall_p > plain.kendall_p);
    // The distance of p's point from 0 and that of the limits are divided by one factor: what the one calls chance, the
    // other's interval covers.
    assert_eq!(wide.upper >= 0.0, wide.kendall_p > 0.05, "{wide:?}");
}

#[test]
fn an_exact_line_and_alternating_readings_stay_as_they_are() {
    let line: Vec<(f64, f64)> = (0..20).map(|n| (f64::from(n), 21.0 - 0.1 * f64::from(n))).collect();
    let zigzag: Vec<(f64, f64)> = line.iter().map(|(x, y)| (*x, y + if x % 2.0 == 0.0 { 0.3 } else { -0.3 })).collect();
    for points in [line, zigzag] {
        let plain = theil_sen(&points, 0.95).unwrap();
        assert_eq!(widened(&points, &plain, 0.95), Some(plain));
    }
}

#[test]
fn a_short_row_that_is_much_alike_has_no_limits() {
    let points = [(0.0, 1.0), (1.0, 1.5), (2.0, 2.2), (3.0, 2.3), (4.0, 2.0), (5.0, 1.9)];
    let plain = theil_sen(&points, 0.95).unwrap();
    assert_eq!(widened(&points, &plain, 0.95), None);
}

#[test]
fn too_few_or_too_large_deviations_are_not_alike() {
    assert_eq!(likeness(&[]), 0.0);
    assert_eq!(likeness(&[1.0, 2.0]), 0.0);
    assert_eq!(likeness(&[1e300, -1e300, 1e300]), 0.0);
    assert_eq!(likeness(&[f64::NAN, 1.0, 2.0]), 0.0);
}

proptest! {
    #[test]
    fn never_narrower_and_never_surer(ys in prop::collection::vec(-100.0..100.0f64, 5..40)) {
        let points: Vec<(f64, f64)> = ys.iter().enumerate().map(|(n, y)| (n as f64, *y)).collect();
        let plain = theil_sen(&points, 0.95).unwrap();
        if let Some(wide) = widened(&points, &plain, 0.95) {
            prop_assert!(wide.lower <= plain.lower && plain.upper <= wide.upper);
            prop_assert!(plain.kendall_p <= wide.kendall_p && wide.kendall_p <= 1.0);
        }
    }

    #[test]
    fn any_number_is_taken(ys in prop::collection::vec(prop::num::f64::ANY, 0..30)) {
        let r = likeness(&ys);
        prop_assert!((0.0..=super::MOST_ALIKE).contains(&r));
    }
}
