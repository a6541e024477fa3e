//! The restricted mean against worked examples and properties.

use super::super::tests::{HOUR, curve, durations, ended, remission_weeks, running};
use proptest::prelude::*;

#[test]
fn remission_data_of_1963_give_the_published_mean() {
    // 23.29 weeks within 35 weeks are published (from memory); lifelines gives the same mean with these digits.
    let mean = curve(&remission_weeks()).restricted_mean(35).unwrap();
    assert!((mean - 23.287395).abs() < 5e-7, "{mean:?}");
}

#[test]
fn open_repairs_count_for_as_long_as_they_are_open() {
    let closed = [2, 4, 6, 8, 24, 48].map(|hours| ended(hours * HOUR));
    let open = [240, 400, 600, 720].map(|hours| running(hours * HOUR));
    let all = curve(&[&closed[..], &open[..]].concat());
    let mean = all.restricted_mean(720 * HOUR).unwrap();
    // (2 + 4 + 6 + 8 + 24 + 48 + 4 * 720) / 10; the closed ones alone have 15.33.
    assert!((mean / HOUR as f64 - 297.2).abs() < 1e-9);
    assert_eq!(all.restricted_mean(720 * HOUR + 1), None);
}

#[test]
fn nothing_ended_or_everything_at_once_has_a_mean() {
    let (late, at_once) = (curve(&[ended(9), running(9)]), curve(&[ended(3), ended(3)]));
    for (curve, mean) in [(&late, 5.0), (&at_once, 3.0)] {
        assert_eq!(curve.restricted_mean(5), Some(mean));
    }
    // When all ended, any time can be asked about.
    assert_eq!(at_once.restricted_mean(i64::MAX), Some(3.0));
}

#[test]
fn a_time_or_duration_that_makes_no_sense_has_no_mean() {
    assert_eq!(curve(&[ended(3)]).restricted_mean(0), None);
    assert_eq!(curve(&[ended(3)]).restricted_mean(-4), None);
    assert_eq!(curve(&[ended(-3), ended(5)]).restricted_mean(4), None);
    assert_eq!(curve(&[ended(i64::MIN), ended(i64::MAX)]).restricted_mean(i64::MAX), None);
}

proptest! {
    #[test]
    fn with_everything_ended_it_is_the_plain_mean(times in prop::collection::vec(0_i64..50, 1..40), tau in 1_i64..60) {
        let mean = curve(&times.iter().copied().map(ended).collect::<Vec<_>>()).restricted_mean(tau).unwrap();
        let cut: Vec<f64> = times.iter().map(|time| *time.min(&tau) as f64).collect();
        let plain = cut.iter().sum::<f64>() / cut.len() as f64;
        prop_assert!((mean - plain).abs() < 1e-9);
    }

    #[test]
    fn it_grows_with_the_time_and_stays_below_it(durations in durations()) {
        let curve = curve(&durations);
        let mut before = 0.0;
        for tau in 1..=curve.longest {
            let mean = curve.restricted_mean(tau).unwrap();
            prop_assert!(before <= mean + 1e-12 && mean <= tau as f64);
            before = mean;
        }
    }
}
