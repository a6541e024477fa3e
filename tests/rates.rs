//! Quantiles, rates, score limits, funnel and shrunken rates against programs written by others: mpmath
//! to 50 digits, scipy and statsmodels.
//!
//! The questions go to `tests/outside/rates.py` as JSON lines and come back answered. Python is
//! `PININDEX_PYTHON`, or `python3`; without it or its packages these tests fail, not skip.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test asks programs that are not ours")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::statistics::funnel::{self, Side};
use pinindex::statistics::gamma::{self, Tail};
use pinindex::statistics::normal;
use pinindex::statistics::proportion::wilson;
use pinindex::statistics::rate::garwood;
use pinindex::statistics::shrinkage::{Shrunken, shrunken};
use pinindex::statistics::special::beta_quantile;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

/// Asks for the relative error of each answer of ours, and holds it below a bound, which may depend on the question.
fn assert_errors_below(bound: impl Fn(&Value) -> f64, questions: &[Value]) {
    for (question, answer) in questions.iter().zip(python::ask("rates.py", questions)) {
        let error = answer.as_f64().unwrap();
        assert!(error < bound(question), "{question} is off by {error:e}");
    }
}

/// Random numbers for cases that nobody chose.
struct Cases(ChaCha8Rng);

impl Cases {
    fn new(start: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(start))
    }

    /// Returns a number from 0 to 1.
    fn part(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / f64::from(u32::MAX)
    }

    /// Returns a number between two, spread evenly over its logarithm.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        libm::exp(libm::log(low) + (libm::log(high) - libm::log(low)) * self.part())
    }

    fn below(&mut self, limit: u64) -> u64 {
        self.0.next_u64() % limit
    }
}

const SIZES: [f64; 13] = [1e-10, 1e-7, 1e-4, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5];

#[test]
fn normal_quantiles_and_tails_agree_with_mpmath() {
    let mut cases = Cases::new(1809);
    let mut shares: Vec<f64> = SIZES.iter().flat_map(|&p| [p, 1.0 - p]).collect();
    shares.extend((0..1000).map(|_| cases.between(1e-300, 0.5)));
    shares.extend((0..1000).map(|_| cases.part()).filter(|p| 0.0 < *p && *p < 1.0));
    shares.extend((0..200).map(|_| 0.5 + cases.between(1e-12, 0.1)));
    let quantile = |&p: &f64| json!({"kind": "normal quantile", "p": p, "z": normal::quantile(p).unwrap()});
    let tail = |&p: &f64| {
        let z = normal::quantile(p).unwrap();
        json!({"kind": "normal tail", "z": z, "tail": normal::lower_tail(z)})
    };
    let questions: Vec<Value> = shares.iter().map(quantile).chain(shares.iter().map(tail)).collect();
    assert!(questions.len() > 4000, "only {} cases", questions.len());
    assert_errors_below(|_| 1e-15, &questions);
}

/// Returns shapes and sizes of tails: a grid with every edge, and cases that nobody chose.
fn shapes_and_sizes() -> Vec<(f64, f64)> {
    let shapes = [
        0.01, 0.1, 0.3, 0.5, 0.8, 0.999, 1.0, 1.001, 1.5, 2.0, 2.5, 3.0, 5.0, 7.5, 10.0, 15.9, 16.1, 33.3, 50.0, 100.0,
        180.5, 365.0, 1000.0, 2190.0, 10_000.0, 123_456.5, 1e6,
    ];
    let mut cases = Cases::new(1936);
    let grid = shapes.into_iter().flat_map(|shape| SIZES.map(|size| (shape, size)));
    let others = (0..1000).map(|_| (cases.between(0.01, 20_000.0), cases.between(1e-10, 0.999)));
    grid.chain(others).collect()
}

#[test]
fn gamma_quantiles_agree_with_mpmath_to_shapes_of_a_million() {
    let mut questions = Vec::new();
    for (shape, size) in shapes_and_sizes() {
        for (tail, name) in [(Tail::Lower(size), "lower"), (Tail::Upper(size), "upper")] {
            let point = gamma::quantile(shape, tail).unwrap();
            // A smaller number has fewer digits.
            if point > f64::MIN_POSITIVE {
                questions.push(
                    json!({"kind": "gamma quantile", "shape": shape, "tail": name, "size": size, "point": point}),
                );
            }
        }
    }
    assert!(questions.len() > 2600, "only {} cases", questions.len());
    // A point that is the hundredth power of its tail loses two digits to it.
    let is_power = |question: &Value| question["shape"].as_f64().unwrap() < 0.5;
    assert_errors_below(|question| if is_power(question) { 3e-13 } else { 1e-14 }, &questions);
}

#[test]
fn gamma_tails_agree_with_mpmath_to_shapes_of_a_million() {
    let questions: Vec<Value> = shapes_and_sizes()
        .into_iter()
        .filter_map(|(shape, size)| {
            let x = gamma::quantile(shape, if size < 0.3 { Tail::Upper(size) } else { Tail::Lower(size) })?;
            let (lower, upper) = (gamma::lower_tail(shape, x)?, gamma::upper_tail(shape, x)?);
            Some(json!({"kind": "gamma tails", "shape": shape, "x": x, "lower": lower, "upper": upper}))
        })
        .collect();
    assert!(questions.len() > 1300, "only {} cases", questions.len());
    assert_errors_below(|_| 5e-14, &questions);
}

#[test]
fn beta_quantiles_agree_with_mpmath_to_a_million_checks() {
    let mut shapes = Vec::new();
    for n in [1, 2, 3, 10, 29, 180, 365, 1000, 10_000, 100_000, 1_000_000_u64] {
        for k in [0, 1, 2, 5, n / 100, n / 10, n / 3, n / 2] {
            shapes.extend([(k + 1, n - k.min(n - 1)), (n - k.min(n - 1), k + 1)]);
        }
    }
    shapes.sort();
    shapes.dedup();
    let mut cases = Cases::new(1934);
    let mut questions: Vec<(f64, u64, u64)> =
        shapes.into_iter().flat_map(|(a, b)| [1e-10, 0.001, 0.025, 0.25].map(|p| (p, a, b))).collect();
    questions.extend((0..1500).map(|_| {
        let a = cases.between(1.0, 20_000.0) as u64;
        (cases.between(1e-10, 0.5), a, cases.between(1.0, 20_000.0) as u64)
    }));
    assert!(questions.len() > 1900, "only {} cases", questions.len());
    let question = |(p, a, b)| {
        let found = beta_quantile(p, a, b).unwrap();
        json!({"kind": "beta quantile", "p": p, "a": a, "b": b, "value": found.value, "rest": found.rest})
    };
    assert_errors_below(|_| 1e-14, &questions.into_iter().map(question).collect::<Vec<_>>());
}

/// Returns how far two numbers are apart, as a share of the second.
fn relative_error(ours: f64, theirs: f64) -> f64 {
    if ours == theirs { 0.0 } else { ((ours - theirs) / theirs).abs() }
}

#[test]
fn limits_of_rates_agree_with_scipy() {
    let mut cases = Cases::new(28);
    let mut asked: Vec<(u64, f64, f64)> = Vec::new();
    for k in (0..=60).chain([100, 365, 1000, 10_000, 100_000, 1_000_000]) {
        asked.extend([0.5, 0.9, 0.95, 0.99, 0.998].map(|confidence| (k, 180.0, confidence)));
    }
    asked.extend((0..1000).map(|_| (cases.below(500), cases.between(0.1, 1e5), 0.5 + 0.4999 * cases.part())));
    let questions: Vec<Value> = asked
        .iter()
        .map(|(k, exposure, confidence)| {
            json!({"kind": "garwood", "k": k, "exposure": exposure, "confidence": confidence})
        })
        .collect();
    for ((k, exposure, confidence), answer) in asked.into_iter().zip(python::ask("rates.py", &questions)) {
        let ours = garwood(k, exposure, confidence).unwrap();
        for (ours, theirs) in [(ours.lower, &answer[0]), (ours.upper, &answer[1])] {
            let error = relative_error(ours, theirs.as_f64().unwrap());
            assert!(error < 1e-12, "{k} in {exposure} at {confidence}: {ours}, scipy {theirs}");
        }
    }
}

#[test]
fn score_limits_agree_with_statsmodels() {
    let mut asked: Vec<(u64, u64, f64)> = Vec::new();
    for n in (1..=30).chain([60, 180, 365, 1000, 100_000]) {
        for k in (0..=n.min(30)).chain([n / 10, n / 3, n / 2, n - 1, n]) {
            asked.extend([0.5, 0.9, 0.95, 0.998].map(|confidence| (k, n, confidence)));
        }
    }
    assert!(asked.len() > 2000, "only {} cases", asked.len());
    let questions: Vec<Value> = asked
        .iter()
        .map(|(k, n, confidence)| json!({"kind": "wilson", "k": k, "n": n, "confidence": confidence}))
        .collect();
    for ((k, n, confidence), answer) in asked.into_iter().zip(python::ask("rates.py", &questions)) {
        let ours = wilson(k, n, confidence).unwrap();
        let (lower, upper) = (answer[0].as_f64().unwrap(), answer[1].as_f64().unwrap());
        // Theirs takes the difference of two nearly equal numbers, and misses 0 and 1 by as much.
        let off = (ours.lower - lower).abs().max((ours.upper - upper).abs());
        assert!(off < 2e-15, "{k} of {n} at {confidence}: {ours:?}, statsmodels {answer}");
    }
}

#[test]
fn the_funnel_agrees_with_scipy() {
    let mut cases = Cases::new(2005);
    let asked: Vec<(u64, f64, f64, f64)> = (0..2000)
        .map(|_| {
            let (target, exposure) = (cases.between(1e-4, 0.5), cases.between(5.0, 2000.0));
            let k = (target * exposure * 3.0 * cases.part()) as u64 + cases.below(4);
            (k, target, exposure, [0.95, 0.998][cases.below(2) as usize])
        })
        .collect();
    let questions: Vec<Value> = asked
        .iter()
        .map(|(k, target, exposure, coverage)| {
            json!({"kind": "funnel", "k": k, "target": target, "exposure": exposure, "coverage": coverage})
        })
        .collect();
    let mut seen = [0; 3];
    for ((k, target, exposure, coverage), answer) in asked.into_iter().zip(python::ask("rates.py", &questions)) {
        let ours = funnel::limits(target, exposure, coverage).unwrap();
        for (ours, theirs) in [(ours.lower, &answer["limits"][0]), (ours.upper, &answer["limits"][1])] {
            let off = exposure * (ours - theirs.as_f64().unwrap()).abs();
            assert!(off < 1e-8, "{target} over {exposure} at {coverage}: {ours}, scipy {theirs}");
        }
        let unlikely = |tail: &Value| tail.as_f64().unwrap() <= (1.0 - coverage) / 2.0;
        let (side, at) = match (unlikely(&answer["tails"][0]), unlikely(&answer["tails"][1])) {
            (true, _) => (Side::Below, 0),
            (_, true) => (Side::Above, 1),
            _ => (Side::Within, 2),
        };
        seen[at] += 1;
        assert_eq!(funnel::outside(k, target, exposure, coverage), Some(side), "{k}: {target} over {exposure}");
    }
    assert!(seen.iter().all(|&seen| seen > 50), "below, above, within: {seen:?}");
}

#[test]
fn shrunken_rates_agree_with_a_general_minimiser() {
    let mut cases = Cases::new(1987);
    let fleets: Vec<Vec<(u64, f64)>> = (0..80)
        .map(|_| {
            let (units, rate, spread) = (2 + cases.below(40), cases.between(0.005, 0.2), cases.between(1.0, 6.0));
            let unit = |cases: &mut Cases| {
                let exposure = cases.between(20.0, 400.0);
                let own = rate * cases.between(1.0 / spread, spread);
                // Two random parts: counts that scatter about as much as chance makes them.
                (((cases.part() + cases.part()) * own * exposure).round() as u64, exposure)
            };
            let mut fleet: Vec<(u64, f64)> = (0..units).map(|_| unit(&mut cases)).collect();
            fleet[0].0 += 1;
            fleet
        })
        .collect();
    let ours: Vec<Shrunken> = fleets.iter().map(|fleet| shrunken(fleet, 0.95).unwrap()).collect();
    let questions: Vec<Value> = fleets
        .iter()
        .zip(&ours)
        .map(|(fleet, ours)| {
            let (shape, rate) = match ours {
                Shrunken::Prior { shape, rate, .. } => (Some(shape), Some(rate)),
                Shrunken::Pooled { .. } => (None, None),
            };
            json!({"kind": "shrunken", "counts": fleet, "shape": shape, "rate": rate, "confidence": 0.95})
        })
        .collect();
    let (mut pooled, mut apart) = (0, 0);
    for (ours, answer) in ours.into_iter().zip(python::ask("rates.py", &questions)) {
        let likely = |name: &str| answer[name].as_f64().unwrap();
        let Shrunken::Prior { shape, units, .. } = ours else {
            pooled += 1;
            assert!(likely("theirs") <= likely("pooled") + 1e-9, "not to be pooled: {answer}");
            continue;
        };
        apart += 1;
        assert!(likely("ours") >= likely("theirs") - 1e-9 && likely("ours") >= likely("pooled"), "{answer}");
        for (at, unit) in units.iter().enumerate() {
            let pairs = [("lower", unit.interval.lower), ("upper", unit.interval.upper)];
            for (name, ours) in pairs {
                let theirs = answer[name][at].as_f64().unwrap();
                assert!(relative_error(ours, theirs) < 1e-11, "{name} of unit {at}: {ours}, scipy {theirs}");
            }
            // Theirs stops where the likelihood no longer changes, at half the digits.
            let theirs = answer["means"][at].as_f64().unwrap();
            assert!(shape > 1e3 || relative_error(unit.mean, theirs) < 1e-5, "{}, theirs {theirs}", unit.mean);
        }
    }
    assert!(pooled > 5 && apart > 20, "{pooled} pooled, {apart} apart");
}
