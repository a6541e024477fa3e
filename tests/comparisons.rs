//! Exact comparisons against programs written by others: scipy for tests, limits and power, statsmodels for adjusted
//! p-values, mpmath for far tails, and whole numbers for runs.
//!
//! The questions go to `tests/outside/comparisons.py` as JSON lines and come back answered. Python is
//! `PININDEX_PYTHON`, or `python3`; without it or its packages these tests fail, not skip. Each test says
//! what it grants the other program for its own rounding.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test asks programs that are not ours")]

#[path = "outside/python.rs"]
mod python;
#[path = "outside/run.rs"]
mod run;

use pinindex::statistics::binomial::{at_least, at_most};
use pinindex::statistics::comparison::{benjamini_hochberg, holm, power_of_ratio, rates};
use pinindex::statistics::fisher::{Rareness, fisher, power, quiet_counts};
use pinindex::statistics::gaps::last_span;
use pinindex::statistics::pattern::longest_run_p;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

/// Returns each question with its answer by the Python program.
fn ask_outside(questions: Vec<Value>) -> Vec<(Value, Value)> {
    let answers = python::ask("comparisons.py", &questions);
    questions.into_iter().zip(answers).collect()
}

/// Returns a whole number of a question.
fn count(question: &Value, name: &str) -> u64 {
    question[name].as_u64().unwrap_or_else(|| panic!("{name} of {question}"))
}

/// Returns a number of a question or an answer.
fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("{name} of {value}"))
}

/// Stops if a number is further from the other than its `relative` part and what is next to nothing.
fn expect_near(ours: f64, theirs: f64, relative: f64, question: &Value) {
    assert!((ours - theirs).abs() <= relative * theirs + 1e-280, "{question}: {ours:e}, outside {theirs:e}");
}

fn expect_rareness(ours: Rareness, answer: &Value, relative: f64, question: &Value) {
    expect_near(ours.two_sided, number(answer, "two_sided"), relative, question);
    expect_near(ours.greater, number(answer, "greater"), relative, question);
    expect_near(ours.less, number(answer, "less"), relative, question);
}

/// Random whole and broken numbers for questions.
struct Draw(ChaCha8Rng);

impl Draw {
    fn from(start: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(start))
    }

    /// Returns a whole number below `limit`.
    fn below(&mut self, limit: u64) -> u64 {
        self.0.next_u64() % limit
    }

    /// Returns a number of 0 to 1, small ones as often as large ones.
    fn share(&mut self) -> f64 {
        let part = self.below(1_000_001) as f64 / 1e6;
        if self.below(2) == 0 { part } else { libm::pow(part, 4.0) }
    }

    /// Returns a group's size, of a month or of years.
    fn size(&mut self) -> u64 {
        let limit = [8, 40, 200, 3000, 100_000][self.below(5) as usize];
        1 + self.below(limit)
    }

    /// Returns a count of a group: none, all, few, or any.
    fn part_of(&mut self, n: u64) -> u64 {
        match self.below(8) {
            0 => 0,
            1 => n,
            2..=5 => self.below(12).min(n),
            _ => self.below(n + 1),
        }
    }
}

/// Counts of a million and less, tails down to 1e-300: the far ones are what a table of factorials would lose.
#[test]
fn tails_agree_with_fifty_digits() {
    let mut draw = Draw::from(1956);
    let mut questions = Vec::new();
    for n in [1, 2, 7, 30, 180, 2190, 100_000, 1_000_000] {
        for share in [1e-6, 0.001, 0.02, 0.3, 0.5, 0.97] {
            let (mean, sd) = (n as f64 * share, (n as f64 * share * (1.0 - share)).sqrt());
            for deviation in [-12.0, -5.0, -2.0, -0.5, 0.0, 0.5, 2.0, 5.0, 12.0, 25.0] {
                let k = (mean + deviation * sd).clamp(0.0, n as f64) as u64;
                questions.push(json!({"ask": "binomial", "k": k, "n": n, "share": share}));
            }
            questions.push(json!({"ask": "binomial", "k": draw.below(n.min(40) + 1), "n": n, "share": share}));
        }
    }
    let mut worst = 0.0_f64;
    for (question, answer) in ask_outside(questions) {
        let (k, n, share) = (count(&question, "k"), count(&question, "n"), number(&question, "share"));
        for (name, ours) in [("less", at_most(k, n, share)), ("greater", at_least(k, n, share))] {
            let (ours, theirs) = (ours.unwrap(), number(&answer, name));
            if theirs > 1e-300 {
                worst = worst.max((ours / theirs - 1.0).abs());
                assert!(worst < 1e-11, "{name} of {question}: {ours:e}, at 50 digits {theirs:e}");
            } else {
                assert!(ours < 1.001e-300);
            }
        }
    }
    assert!(worst > 0.0, "nothing was compared");
}

#[test]
fn fisher_agrees_with_scipy() {
    let mut draw = Draw::from(1935);
    let mut questions = Vec::new();
    for n in 1..=6_u64 {
        for (k1, k2) in (0..=n).flat_map(|k1| (0..=4).map(move |k2| (k1, k2))) {
            questions.push(json!({"ask": "fisher", "k1": k1, "n1": n, "k2": k2, "n2": 4}));
        }
    }
    for _ in 0..2500 {
        let (n1, n2) = (draw.size(), draw.size());
        questions.push(json!({"ask": "fisher", "k1": draw.part_of(n1), "n1": n1, "k2": draw.part_of(n2), "n2": n2}));
    }
    for (question, answer) in ask_outside(questions) {
        let [k1, n1, k2, n2] = ["k1", "n1", "k2", "n2"].map(|name| count(&question, name));
        // scipy's own probabilities come from logarithms of factorials and are off by 1e-10 at a hundred thousand.
        expect_rareness(fisher(k1, n1, k2, n2).unwrap(), &answer, 1e-8, &question);
    }
}

#[test]
fn limits_of_the_strip_agree_with_scipy() {
    let mut draw = Draw::from(1924);
    let mut questions = Vec::new();
    for _ in 0..60 {
        let total = 13 * (20 + draw.below(200));
        let n = 1 + draw.below(total / 6);
        let level = [0.005, 0.01, 0.05][draw.below(3) as usize];
        questions
            .push(json!({"ask": "quiet", "failed": draw.below(50).min(total), "total": total, "n": n, "level": level}));
    }
    for (question, answer) in ask_outside(questions) {
        let [failed, total, n] = ["failed", "total", "n"].map(|name| count(&question, name));
        let ours = quiet_counts(failed, total, n, number(&question, "level")).unwrap();
        assert_eq!(json!([ours.low, ours.high]), json!([answer["low"], answer["high"]]), "{question}");
        // A tail that is not there at all is 1e-13 for scipy.
        assert!((ours.false_alarm - number(&answer, "false_alarm")).abs() < 1e-11, "{question}: {ours:?}, {answer}");
    }
}

#[test]
fn power_agrees_with_summing_all_pairs() {
    let mut questions = Vec::new();
    for (n1, n2) in [(20, 240), (180, 2160), (180, 3000), (60, 300), (2000, 500)] {
        for share in [0.002, 0.02, 0.3] {
            for ratio in [0.0, 0.5, 1.0, 2.0, 5.0] {
                let level = if n1 == 180 { 0.005 } else { 0.05 };
                questions.push(json!({
                    "ask": "power", "n1": n1, "n2": n2, "share": share, "ratio": ratio, "level": level,
                }));
            }
        }
    }
    for (question, answer) in ask_outside(questions) {
        let [share, ratio, level] = ["share", "ratio", "level"].map(|name| number(&question, name));
        let ours = power(count(&question, "n1"), count(&question, "n2"), share, ratio, level).unwrap();
        assert!((ours - number(&answer, "power")).abs() < 1e-10, "{question}: {ours}, {answer}");
    }
}

#[test]
fn rates_agree_with_scipy() {
    let mut draw = Draw::from(1940);
    let mut questions = Vec::new();
    for _ in 0..1200 {
        let limit = [4, 20, 400, 20_000][draw.below(4) as usize];
        let time = |draw: &mut Draw| 0.5 + draw.below(100_000) as f64 / 16.0;
        let (t1, t2) = (time(&mut draw), time(&mut draw));
        let confidence = [0.5, 0.9, 0.95, 0.998][draw.below(4) as usize];
        let (k1, k2) = (draw.below(limit), draw.below(limit));
        questions.push(json!({"ask": "rates", "k1": k1, "t1": t1, "k2": k2, "t2": t2, "confidence": confidence}));
    }
    for (question, answer) in ask_outside(questions) {
        let [t1, t2, confidence] = ["t1", "t2", "confidence"].map(|name| number(&question, name));
        let ours = rates(count(&question, "k1"), t1, count(&question, "k2"), t2, confidence).unwrap();
        // scipy's tails and limits are off by 1e-10 at some thousand events.
        expect_near(ours.p, number(&answer, "p"), 1e-8, &question);
        expect_near(ours.lower, number(&answer, "lower"), 1e-8, &question);
        assert_eq!(ours.upper.is_none(), answer["upper"].is_null(), "{question}: {ours:?}");
        if let Some(upper) = ours.upper {
            expect_near(upper, number(&answer, "upper"), 1e-8, &question);
        }
    }
}

#[test]
fn power_of_a_ratio_agrees_with_summing_all_pairs() {
    let mut questions = Vec::new();
    for (rate, t1, t2) in [(0.01, 365.0, 1825.0), (0.002, 30.0, 330.0), (0.1, 365.0, 1825.0), (0.01, 900.0, 100.0)] {
        for ratio in [0.0, 0.5, 1.0, 2.0, 3.0, 5.0] {
            for level in [0.05, 0.05 / 6.0, 0.001] {
                questions
                    .push(json!({"ask": "ratio", "rate": rate, "t1": t1, "t2": t2, "ratio": ratio, "level": level}));
            }
        }
    }
    for (question, answer) in ask_outside(questions) {
        let [rate, t1, t2, ratio, level] = ["rate", "t1", "t2", "ratio", "level"].map(|name| number(&question, name));
        let ours = power_of_ratio(rate, t1, t2, ratio, level).unwrap();
        assert!((ours - number(&answer, "power")).abs() < 1e-10, "{question}: {ours}, {answer}");
    }
}

#[test]
fn adjusted_values_agree_with_statsmodels() {
    let mut draw = Draw::from(1979);
    let mut questions = vec![json!({"ask": "adjust", "p": [0.0]}), json!({"ask": "adjust", "p": [1.0, 1.0, 0.0, 0.5]})];
    for _ in 0..1500 {
        // Few steps, so that many values are equal.
        let steps = [4, 20, 1_000_000][draw.below(3) as usize];
        let p: Vec<f64> =
            (0..1 + draw.below(30)).map(|_| draw.below(steps + 1) as f64 / steps as f64 * draw.share()).collect();
        questions.push(json!({"ask": "adjust", "p": p}));
    }
    for (question, answer) in ask_outside(questions) {
        let numbers = |value: &Value| value.as_array().unwrap().iter().map(|p| p.as_f64().unwrap()).collect::<Vec<_>>();
        let p = numbers(&question["p"]);
        for (ours, name) in [(holm(&p), "holm"), (benjamini_hochberg(&p), "hochberg")] {
            let theirs = numbers(&answer[name]);
            assert_eq!(ours.len(), theirs.len());
            for (ours, theirs) in ours.into_iter().zip(theirs) {
                expect_near(ours, theirs, 1e-14, &question);
            }
        }
    }
}

#[test]
fn spans_agree_with_scipy() {
    let mut draw = Draw::from(1966);
    let mut questions = Vec::new();
    for _ in 0..1000 {
        let (last, before) = (1 + draw.below(6), 1 + draw.below(200));
        let (span, exposure) = (0.1 + draw.share() * 100.0, 0.1 + draw.share() * 2000.0);
        questions.push(json!({"ask": "span", "last": last, "span": span, "before": before, "exposure": exposure}));
    }
    for (question, answer) in ask_outside(questions) {
        let (last, before) = (count(&question, "last"), count(&question, "before"));
        let ours = last_span(last, number(&question, "span"), before, number(&question, "exposure"));
        expect_near(ours.unwrap(), number(&answer, "p"), 1e-9, &question);
    }
}

#[test]
fn runs_agree_with_counting_in_whole_numbers() {
    let mut draw = Draw::from(2009);
    let sets: [&[u64]; 6] = [&[9, 5, 2], &[60, 1, 1], &[40, 30], &[15, 10, 6], &[5, 5, 5, 5], &[3, 3, 3, 3, 3]];
    let mut sets: Vec<Vec<u64>> = sets.iter().map(|set| set.to_vec()).collect();
    for _ in 0..80 {
        let values = 1 + draw.below(4);
        let most = [0, 60, 40, 9, 4][values as usize];
        sets.push((0..values).map(|_| 1 + draw.below(most)).collect());
    }
    let questions: Vec<Value> = sets
        .iter()
        .flat_map(|counts| (3..=9).step_by(2).map(move |run| json!({"ask": "runs", "counts": counts, "run": run})))
        .collect();
    let (mut exact, mut bounds) = (0, 0);
    for (question, answer) in ask_outside(questions) {
        let counts: Vec<u64> = question["counts"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()).collect();
        let (ours, theirs) = (longest_run_p(&counts, count(&question, "run")).unwrap(), number(&answer, "p"));
        // Where rounding spoils the sum a bound is given, which happens only for runs that are hardly avoidable.
        if (ours - theirs).abs() <= 1e-9 * theirs {
            exact += 1;
        } else {
            assert!(ours == 1.0 && theirs > 0.99, "{question}: {ours}, counted {theirs}");
            bounds += 1;
        }
    }
    assert!(exact > 250, "{exact} exact, {bounds} bounds");
}
