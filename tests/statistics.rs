//! The statistics against programs written by others: scipy for the limits, lifelines for the
//! curves.
//!
//! The questions go to `tests/outside/limits_and_curves.py` as JSON lines and come back answered. Python
//! is `PININDEX_PYTHON`, or `python3`; without it or its packages these tests fail, not skip.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test asks programs that are not ours")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::statistics::proportion::clopper_pearson;
use pinindex::statistics::survival::{Curve, FollowUp, Quantile, kaplan_meier};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

/// Returns the counts k of n that are compared: all small ones, and the edges of large ones.
fn counts() -> Vec<(u64, u64)> {
    let mut counts = Vec::new();
    for n in (1..=40).chain([60, 100, 180, 365, 400, 1000, 2190, 10_000, 100_000, 1_000_000]) {
        let few = n <= 40;
        let edges = [0, 1, 2, 3, 5, 10, 20, 50, n / 100, n / 10, n / 3, n / 2];
        let some: Vec<u64> = if few { (0..=n).collect() } else { edges.to_vec() };
        counts.extend(some.iter().flat_map(|&k| [(k, n), (n - k, n)]));
    }
    counts.sort();
    counts.dedup();
    counts
}

#[test]
fn limits_agree_with_scipy() {
    let confidences = [0.5, 0.9, 0.95, 0.99, 0.998];
    let cases: Vec<(u64, u64, f64)> =
        counts().into_iter().flat_map(|(k, n)| confidences.map(|confidence| (k, n, confidence))).collect();
    assert!(cases.len() > 4000, "only {} cases", cases.len());
    let questions: Vec<Value> =
        cases.iter().map(|(k, n, confidence)| json!({"k": k, "n": n, "confidence": confidence})).collect();

    for ((k, n, confidence), answer) in cases.into_iter().zip(python::ask("limits_and_curves.py", &questions)) {
        let ours = clopper_pearson(k, n, confidence).unwrap();
        for (side, ours) in [("lower", ours.lower), ("upper", ours.upper)] {
            let theirs = answer[side].as_f64().unwrap();
            // scipy's own error reaches 1e-11.
            assert!(
                (ours - theirs).abs() <= 1e-9 * theirs,
                "{side} limit of {k} of {n} at {confidence}: {ours}, scipy {theirs}"
            );
        }
    }
}

/// The shares p whose quantiles are compared, in lowest terms, as is every 1 - p.
const SHARES: [(u64, u64); 4] = [(1, 4), (1, 2), (3, 4), (9, 10)];

/// Returns durations with many ties: few distinct times, and up to two in three still running.
fn sample(random: &mut ChaCha8Rng) -> Vec<FollowUp> {
    let mut below = |limit: u32| random.next_u32() % limit;
    let size = [1 + below(6), 1 + below(40), 1 + below(300)][below(3) as usize];
    let times = 2 + below(60);
    let running_in_six = below(5);
    (0..size)
        .map(|_| FollowUp { seconds: 3600 * i64::from(1 + below(times)), ended: below(6) >= running_in_six })
        .collect()
}

/// Returns the time of each quantile, or None where it is not reached.
fn quantiles(curve: &Curve, durations: &[FollowUp]) -> Vec<Option<i64>> {
    let longest = durations.iter().map(|one| one.seconds).max().unwrap();
    let time = |(numerator, denominator)| match curve.quantile(numerator, denominator) {
        Quantile::At(seconds) => Some(seconds),
        Quantile::MoreThan(seconds) => {
            assert_eq!(seconds, longest);
            None
        }
        Quantile::NoData => panic!("{numerator}/{denominator} is a share"),
    };
    SHARES.map(time).to_vec()
}

/// Returns whether S is exactly 1 - p on some step, where a program that rounds may miss it.
///
/// Both fractions are in lowest terms, so they are equal only when their parts are.
fn is_met_exactly(curve: &Curve, (numerator, denominator): (u64, u64)) -> bool {
    let rest = (u128::from(denominator - numerator), u128::from(denominator));
    let exact = curve.steps.iter().filter_map(|step| step.exact);
    exact.map(|fraction| (fraction.numerator, fraction.denominator)).any(|share| share == rest)
}

#[test]
fn curves_and_quantiles_agree_with_lifelines() {
    let mut random = ChaCha8Rng::seed_from_u64(1958);
    let samples: Vec<Vec<FollowUp>> = (0..500).map(|_| sample(&mut random)).collect();
    let questions: Vec<Value> = samples
        .iter()
        .map(|durations| {
            let seconds: Vec<i64> = durations.iter().map(|one| one.seconds).collect();
            let ended: Vec<bool> = durations.iter().map(|one| one.ended).collect();
            json!({"seconds": seconds, "ended": ended, "shares": SHARES})
        })
        .collect();

    let mut met_exactly = 0;
    for (durations, answer) in samples.iter().zip(python::ask("limits_and_curves.py", &questions)) {
        let curve = kaplan_meier(durations).unwrap();
        let steps = answer["steps"].as_array().unwrap();
        assert_eq!(curve.steps.len(), steps.len(), "{durations:?}");
        for (ours, theirs) in curve.steps.iter().zip(steps) {
            let counts = json!([ours.seconds, ours.at_risk, ours.ended]);
            assert_eq!(counts, json!(theirs.as_array().unwrap()[..3]));
            let theirs = theirs[3].as_f64().unwrap();
            assert!((ours.survival - theirs).abs() < 1e-12, "{ours:?}, lifelines {theirs}");
        }
        let ours = quantiles(&curve, durations);
        assert_eq!(json!(ours), answer["fractions"], "{durations:?}");
        for (index, share) in SHARES.into_iter().enumerate() {
            // Where S is exactly 1 - p lifelines goes by a rounded S; the fractions have decided.
            if is_met_exactly(&curve, share) {
                met_exactly += 1;
            } else {
                assert_eq!(json!(ours[index]), answer["lifelines"][index], "{share:?}: {durations:?}");
            }
        }
    }
    assert!(met_exactly > 50, "ties of S with 1 - p were hardly tried: {met_exactly}");
}
