//! Times, slopes and trends against programs written by others: lifelines, statsmodels, scipy and mpmath.
//!
//! The questions go to `tests/outside/times.py` as JSON lines and come back answered. Python is `PININDEX_PYTHON`, or
//! `python3`; without it or its packages these tests fail, not skip. How often the intervals cover is in `times_coverage.rs`.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test asks programs that are not ours")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::statistics::growth::growth;
use pinindex::statistics::slope::theil_sen;
use pinindex::statistics::survival::{FollowUp, Quantile, kaplan_meier};
use pinindex::statistics::trend::{Watched, trend};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

fn below(random: &mut ChaCha8Rng, limit: u32) -> u32 {
    random.next_u32() % limit
}

/// Returns a random number above 0 and below 1.
fn part(random: &mut ChaCha8Rng) -> f64 {
    (f64::from(random.next_u32()) + 0.5) / 4_294_967_296.0
}

fn close(ours: f64, theirs: f64, relative: f64) -> bool {
    (ours - theirs).abs() <= relative * theirs.abs()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

const CONFIDENCES: [f64; 4] = [0.5, 0.9, 0.95, 0.998];

/// The shares whose limits are compared. No limit of a share is a fraction, so none is met by chance.
const SHARES: [(u64, u64); 4] = [(1, 4), (1, 2), (3, 4), (9, 10)];

/// Returns durations with many ties: few distinct times, and up to two in three still running.
fn sample(random: &mut ChaCha8Rng) -> Vec<FollowUp> {
    let kind = below(random, 3) as usize;
    let size = [1 + below(random, 8), 1 + below(random, 40), 1 + below(random, 200)][kind];
    let times = 2 + below(random, 60);
    let running_in_six = below(random, 5);
    let one = |random: &mut ChaCha8Rng| FollowUp {
        seconds: 3600 * i64::from(1 + below(random, times)),
        ended: below(random, 6) >= running_in_six,
    };
    (0..size).map(|_| one(random)).collect()
}

#[test]
fn curves_have_the_limits_of_lifelines_and_statsmodels() {
    let mut random = ChaCha8Rng::seed_from_u64(1982);
    // Without an ending there is no curve to compare.
    let samples: Vec<Vec<FollowUp>> = std::iter::repeat_with(|| sample(&mut random))
        .filter(|durations| durations.iter().any(|one| one.ended))
        .take(600)
        .collect();
    let confidence = |index: usize| CONFIDENCES[index % CONFIDENCES.len()];
    let tau = |index: usize, durations: &[FollowUp]| {
        let longest = durations.iter().map(|one| one.seconds).max().unwrap();
        1 + (longest - 1) * (index as i64 % 5 + 1) / 5
    };
    let questions: Vec<Value> = samples
        .iter()
        .enumerate()
        .map(|(index, durations)| {
            let seconds: Vec<i64> = durations.iter().map(|one| one.seconds).collect();
            let ended: Vec<bool> = durations.iter().map(|one| one.ended).collect();
            let (confidence, tau) = (confidence(index), tau(index, durations));
            json!({
                "what": "curve", "seconds": seconds, "ended": ended, "shares": SHARES, "confidence": confidence, "tau": tau
            })
        })
        .collect();

    let (mut bounds, mut by_both, mut reached_above) = (0, 0, 0);
    for (index, (durations, answer)) in samples.iter().zip(python::ask("times.py", &questions)).enumerate() {
        let curve = kaplan_meier(durations).unwrap();
        let band = curve.band(confidence(index));
        let theirs = answer["band"].as_array().unwrap();
        assert_eq!(band.len(), theirs.len());
        for (ours, theirs) in band.iter().zip(theirs) {
            assert_eq!(ours.is_none(), theirs.is_null(), "{durations:?}");
            if let Some(ours) = ours {
                let equal = |ours: f64, theirs: &Value| (ours - number(theirs)).abs() < 1e-10;
                assert!(equal(ours.lower, &theirs[0]) && equal(ours.upper, &theirs[1]), "{ours:?}, lifelines {theirs}");
                bounds += 1;
            }
        }
        for (place, (numerator, denominator)) in SHARES.into_iter().enumerate() {
            let ours = curve.quantile_limits(numerator, denominator, confidence(index));
            let time = |quantile| match quantile {
                Quantile::At(seconds) => Some(seconds),
                Quantile::MoreThan(_) | Quantile::NoData => None,
            };
            let ours = json!([time(ours.lower), time(ours.upper)]);
            assert_eq!(ours, answer["lifelines"][place], "{numerator}/{denominator} of {durations:?}");
            let other = &answer["statsmodels"][place];
            if !other.is_null() {
                assert_eq!(&ours, other, "{numerator}/{denominator} of {durations:?}");
                by_both += 1;
            }
            reached_above += usize::from(!ours[1].is_null());
        }
        let mean = curve.restricted_mean(tau(index, durations)).unwrap();
        assert!(close(mean, number(&answer["mean"]), 1e-12), "{mean}, lifelines {}", answer["mean"]);
    }
    assert!(bounds > 4000 && by_both > 1200 && reached_above > 800, "{bounds}, {by_both}, {reached_above}");
}

/// Returns points with or without ties in x and in y.
fn points(random: &mut ChaCha8Rng) -> Vec<(f64, f64)> {
    let most = if below(random, 4) == 0 { 90 } else { 25 };
    let size = 3 + below(random, most);
    let (tied_x, tied_y) = (below(random, 3) == 0, below(random, 2) == 0);
    let drift = f64::from(below(random, 5)) / 100.0;
    let point = |random: &mut ChaCha8Rng, index: u32| {
        let x = if tied_x { below(random, 12) } else { 7 * index };
        let y = 21.0 - drift * f64::from(x) + part(random);
        (f64::from(x), if tied_y { (10.0 * y).round() / 10.0 } else { y })
    };
    (0..size).map(|index| point(random, index)).collect()
}

#[test]
fn slopes_agree_with_scipy() {
    let mut random = ChaCha8Rng::seed_from_u64(1968);
    let samples: Vec<Vec<(f64, f64)>> = std::iter::repeat_with(|| points(&mut random))
        .filter(|points| points.iter().any(|(x, _)| *x != points[0].0))
        .take(1500)
        .collect();
    let confidence = |index: usize| CONFIDENCES[index % CONFIDENCES.len()];
    let questions: Vec<Value> = samples
        .iter()
        .enumerate()
        .map(|(index, points)| {
            let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
            json!({"what": "slope", "x": x, "y": y, "confidence": confidence(index)})
        })
        .collect();

    let (mut answered, mut refused, mut as_scipy) = (0, 0, 0);
    for (index, (points, answer)) in samples.iter().zip(python::ask("times.py", &questions)).enumerate() {
        let Some(ours) = theil_sen(points, confidence(index)) else {
            assert!(answer.is_null(), "{points:?}: {answer}");
            refused += 1;
            continue;
        };
        assert!(!answer.is_null(), "{points:?}: {ours:?}");
        let equal = |ours: f64, theirs: &Value| (ours - number(theirs)).abs() <= 1e-12;
        assert!(equal(ours.slope, &answer["slope"]), "{ours:?}, outside {answer}");
        for limits in [&answer["limits"], &answer["scipy"]].into_iter().filter(|limits| !limits.is_null()) {
            assert!(equal(ours.lower, &limits[0]) && equal(ours.upper, &limits[1]), "{ours:?}, outside {answer}");
        }
        assert!(equal(ours.at.0, &answer["at"][0]) && equal(ours.at.1, &answer["at"][1]), "{ours:?}, outside {answer}");
        assert!(close(ours.kendall_p, number(&answer["p"]), 1e-9), "{ours:?}, outside {answer}");
        answered += 1;
        as_scipy += usize::from(!answer["scipy"].is_null());
    }
    assert!(answered > 1300 && refused > 50 && as_scipy > 300, "{answered}, {refused}, {as_scipy}");
}

/// Returns the failures of one system, late or early ones more often.
fn watched(random: &mut ChaCha8Rng, most: u32) -> Watched {
    let until = f64::from(1 + below(random, 400));
    let power = [0.3, 1.0, 3.0][below(random, 3) as usize];
    let failures = (0..below(random, most + 1)).map(|_| until * libm::pow(part(random), power)).collect();
    Watched { until, failures }
}

#[test]
fn trends_agree_with_fractions_and_scipy() {
    let mut random = ChaCha8Rng::seed_from_u64(1927);
    let samples: Vec<Vec<Watched>> = std::iter::repeat_with(|| {
        let systems = 1 + below(&mut random, 4);
        (0..systems).map(|_| watched(&mut random, 12)).collect::<Vec<_>>()
    })
    .filter(|systems| systems.iter().any(|system| !system.failures.is_empty()))
    .take(1500)
    .collect();
    let questions: Vec<Value> = samples
        .iter()
        .map(|systems| {
            let system = |one: &Watched| json!({"until": one.until, "failures": one.failures});
            json!({"what": "trend", "systems": systems.iter().map(system).collect::<Vec<_>>()})
        })
        .collect();
    for (systems, answer) in samples.iter().zip(python::ask("times.py", &questions)) {
        let ours = trend(systems).unwrap();
        assert!((ours.laplace_z - number(&answer["z"])).abs() < 1e-10, "{ours:?}, outside {answer}");
        assert!(ours.laplace_is_exact && close(ours.laplace_p, number(&answer["laplace"]), 1e-9), "{ours:?}, {answer}");
        assert!((ours.laplace_p - number(&answer["scipy"])).abs() < 1e-9, "{ours:?}, scipy {answer}");
        assert!(close(ours.handbook_statistic, number(&answer["statistic"]), 1e-12), "{ours:?}, outside {answer}");
        assert!(close(ours.handbook_p, number(&answer["handbook"]), 1e-9), "{ours:?}, scipy {answer}");
    }
}

#[test]
fn power_laws_have_the_tails_that_their_limits_claim() {
    let mut random = ChaCha8Rng::seed_from_u64(1974);
    let samples: Vec<Watched> = std::iter::repeat_with(|| watched(&mut random, 60))
        .filter(|system| system.failures.len() >= 5)
        .take(300)
        .collect();
    let confidence = |index: usize| CONFIDENCES[index % CONFIDENCES.len()];
    let laws: Vec<_> =
        samples.iter().enumerate().map(|(index, system)| growth(system, confidence(index)).unwrap()).collect();
    let questions: Vec<Value> = samples
        .iter()
        .zip(&laws)
        .enumerate()
        .map(|(index, (system, law))| {
            json!({
                "what": "growth", "until": system.until, "failures": system.failures, "confidence": confidence(index),
                "mean_time": [law.mean_time_interval.lower, law.mean_time_interval.upper]
            })
        })
        .collect();
    for (index, (law, answer)) in laws.iter().zip(python::ask("times.py", &questions)).enumerate() {
        let tail = (1.0 - confidence(index)) / 2.0;
        for side in ["at_most", "at_least"] {
            assert!(close(number(&answer[side]), tail, 1e-10), "{law:?}, mpmath {answer}");
        }
        for (ours, theirs) in [law.shape, law.shape_interval.lower, law.shape_interval.upper].iter().zip(0..) {
            assert!(close(*ours, number(&answer["shape"][theirs]), 1e-10), "{law:?}, scipy {answer}");
        }
    }
}
