//! The tests of trend against published examples, exact sums and properties.

use super::*;
use proptest::prelude::*;

fn close(ours: f64, expected: f64, error: f64) -> bool {
    (ours - expected).abs() <= error
}

/// Ten failures of one system in 1500 hours: NIST/SEMATECH e-Handbook of Statistical Methods,
/// section 8.2.3.4, the values from memory.
pub(in crate::statistics) fn handbook_example() -> Watched {
    let failures = vec![5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0, 1478.0];
    Watched { until: 1500.0, failures }
}

#[test]
fn the_handbook_example_gives_its_statistics() {
    // The handbook's statistics are quoted from memory; the p were reproduced with scipy and with
    // exact fractions.
    let seen = trend(&[handbook_example()]).unwrap();
    assert_eq!((seen.failures, seen.handbook_degrees), (10, 20));
    assert!(close(seen.handbook_statistic, 37.2281, 5e-5), "{seen:?}");
    assert!(close(seen.handbook_p, 2.0 * 0.0110, 1e-4), "{seen:?}");
    assert!(close(seen.laplace_z, -1.3269, 5e-5), "{seen:?}");
    assert!(close(seen.laplace_p, 0.187387, 5e-7) && seen.laplace_is_exact, "{seen:?}");
    // The normal approximation says .1845.
    assert!(close(2.0 * normal::lower_tail(seen.laplace_z), 0.1845, 5e-5));
}

#[test]
fn small_uniform_sums_are_areas_and_volumes() {
    assert_eq!(uniform_sum_tail(0.25, 1), Some(0.25));
    assert!(close(uniform_sum_tail(0.5, 2).unwrap(), 1.0 / 8.0, 1e-16));
    assert!(close(uniform_sum_tail(1.5, 2).unwrap(), 7.0 / 8.0, 1e-15));
    assert!(close(uniform_sum_tail(1.0, 3).unwrap(), 1.0 / 6.0, 1e-16));
    assert!(close(uniform_sum_tail(1.5, 3).unwrap(), 0.5, 1e-15));
    assert!(close(uniform_sum_tail(2.0, 4).unwrap(), 0.5, 1e-15));
    assert_eq!((uniform_sum_tail(-0.1, 3), uniform_sum_tail(3.0, 3)), (Some(0.0), Some(1.0)));
    assert_eq!((uniform_sum_tail(1.0, MOST_EXACT + 1), uniform_sum_tail(f64::NAN, 3)), (None, None));
}

#[test]
fn uniform_sums_agree_with_whole_numbers() {
    // At a whole s the textbook sum is one of whole numbers over n!, which 128 bits hold up to 20.
    for n in 1..=20_i128 {
        let factorial: i128 = (1..=n).product();
        for s in 0..=n {
            let mut choose = 1_i128;
            let mut sum = 0_i128;
            for k in 0..=s {
                let term = choose * (s - k).pow(n as u32);
                sum += if k % 2 == 0 { term } else { -term };
                choose = choose * (n - k) / (k + 1);
            }
            let exact = sum as f64 / factorial as f64;
            let ours = uniform_sum_tail(s as f64, n as usize).unwrap();
            assert!(close(ours, exact, 1e-14 * exact), "{s} of {n}: {ours}, exactly {exact}");
        }
    }
}

#[test]
fn many_uniform_numbers_are_nearly_normal() {
    let n = MOST_EXACT as f64;
    for z in [-3.0, -2.0, -1.0, 0.0] {
        let exact = uniform_sum_tail(n / 2.0 + z * (n / 12.0_f64).sqrt(), MOST_EXACT).unwrap();
        assert!(close(exact, normal::lower_tail(z), 0.011 * exact), "{z}: {exact}");
    }
    let many = Watched { until: 1.0, failures: vec![0.5; MOST_EXACT + 1] };
    let seen = trend(&[many]).unwrap();
    assert!(!seen.laplace_is_exact && seen.laplace_p == 1.0);
}

#[test]
fn systems_count_each_by_its_own_clock() {
    // The same failures, one system watched in hours and one in days.
    let hours = handbook_example();
    let days = Watched { until: hours.until / 24.0, failures: hours.failures.iter().map(|t| t / 24.0).collect() };
    let quiet = Watched { until: 7.0, failures: vec![] };
    let both = trend(&[hours.clone(), days, quiet]).unwrap();
    let one = trend(&[hours]).unwrap();
    assert_eq!(both.failures, 20);
    assert!(close(both.laplace_z, one.laplace_z * 2.0_f64.sqrt(), 1e-12));
    assert!(close(both.handbook_statistic, 2.0 * one.handbook_statistic, 1e-12));
}

#[test]
fn limits_of_a_mean_time_agree_with_the_handbook() {
    // NIST/SEMATECH e-Handbook, section 8.4.5.1: two failures in 800 hours give 127 to 2251 hours
    // at 90 %, from memory; the digits behind the point are scipy's.
    let two = mean_time_limits(2, 800.0, 0.9).unwrap();
    assert!(close(two.lower, 127.069, 5e-4) && close(two.upper, 2251.229, 5e-4), "{two:?}");
    for (failures, lower, upper) in [(1, 32.306, 7109.6), (2, 24.915, 743.16), (3, 20.531, 290.95)] {
        let limits = mean_time_limits(failures, 180.0, 0.95).unwrap();
        assert!(close(limits.lower, lower, 5e-4) && close(limits.upper / upper, 1.0, 2e-5), "{limits:?}");
    }
}

#[test]
fn too_little_gives_no_number() {
    assert_eq!(mean_time_between(FEWEST_FAILURES - 1, 180.0, 0.95), None);
    for watched in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(mean_time_between(5, watched, 0.95), None);
    }
    for confidence in [0.0, 1.0, f64::NAN] {
        assert_eq!(mean_time_between(5, 180.0, confidence), None);
    }
    assert_eq!(trend(&[]), None);
    let wrong = [(0.0, 0.0), (10.0, 0.0), (10.0, -1.0), (10.0, 10.5), (f64::NAN, 1.0), (10.0, f64::NAN)];
    for (until, time) in wrong {
        let system = Watched { until, failures: vec![time] };
        assert_eq!(trend(&[system]), None, "{time} of {until}");
    }
}

proptest! {
    #[test]
    fn a_watch_run_backwards_turns_the_sign(
        times in prop::collection::vec(1_u32..1000, 1..40),
    ) {
        let watched = |times: Vec<f64>| Watched { until: 1000.0, failures: times };
        let forth = trend(&[watched(times.iter().map(|t| f64::from(*t)).collect())]).unwrap();
        let back = trend(&[watched(times.iter().map(|t| 1000.0 - f64::from(*t)).collect())]).unwrap();
        prop_assert!(close(forth.laplace_z, -back.laplace_z, 1e-9));
        prop_assert!(close(forth.laplace_p, back.laplace_p, 1e-9));
    }

    #[test]
    fn whatever_comes_in_no_number_is_mad(
        systems in prop::collection::vec((any::<f64>(), prop::collection::vec(any::<f64>(), 0..5)), 0..5),
    ) {
        let systems: Vec<Watched> =
            systems.into_iter().map(|(until, failures)| Watched { until, failures }).collect();
        if let Some(seen) = trend(&systems) {
            prop_assert!(seen.laplace_z.is_finite() && seen.handbook_statistic >= 0.0);
            prop_assert!((0.0..=1.0).contains(&seen.laplace_p) && (0.0..=1.0).contains(&seen.handbook_p));
        }
    }

    #[test]
    fn probabilities_of_uniform_sums_grow_and_mirror(n in 1_usize..60, part in 0.0..1.0_f64, more in 0.0..0.5_f64) {
        let s = part * n as f64;
        let here = uniform_sum_tail(s, n).unwrap();
        prop_assert!(here <= uniform_sum_tail(s + more, n).unwrap() + 1e-14);
        prop_assert!(close(here + uniform_sum_tail(n as f64 - s, n).unwrap(), 1.0, 1e-12));
    }
}
