//! How often the intervals of shares, rates and ratios of rates cover the truth: the probabilities of all counts, added
//! up without chance.

use super::block::{Block, at_least};
use super::exact_coverage::{Coverage, of_means, of_shares};
use pinindex::statistics::comparison::rates;
use pinindex::statistics::proportion::{clopper_pearson, wilson};
use pinindex::statistics::rate::garwood;

const CONFIDENCE: f64 = 0.95;

/// A method over a grid of truths.
pub struct Covered {
    pub what: String,
    /// Whether the method promises never to cover less than it says.
    pub exact: bool,
    pub coverage: Coverage,
}

/// Returns every method with its coverage.
pub fn covered() -> Vec<Covered> {
    let mut all = Vec::new();
    let row = |what: String, exact, coverage| Covered { what, exact, coverage };
    for n in [10, 30, 180, 365] {
        let coverage = of_shares(|k| clopper_pearson(k, n, CONFIDENCE).unwrap(), n, 1.0);
        all.push(row(format!("share of {n} checks (Clopper–Pearson)"), true, coverage));
    }
    let rare = of_shares(|k| clopper_pearson(k, 180, CONFIDENCE).unwrap(), 180, 0.08);
    all.push(row("share of 180 checks up to 8 % (Clopper–Pearson)".to_owned(), true, rare));
    let rare = of_shares(|k| wilson(k, 180, CONFIDENCE).unwrap(), 180, 0.08);
    all.push(row("share of 180 checks up to 8 % (Wilson, on request)".to_owned(), false, rare));
    for most in [5.0, 30.0, 120.0] {
        let coverage = of_means(|k| garwood(k, 1.0, CONFIDENCE).unwrap(), most);
        all.push(row(format!("rate, up to {most} faults expected (Garwood)"), true, coverage));
    }
    for times in [5.0, 39.0] {
        let what = format!("rate of one machine to that of {times} others (exact conditional)");
        all.push(row(what, true, of_ratios(times)));
    }
    all
}

/// Returns how often the limits of a ratio of rates cover it, when the others are watched `times` as long.
///
/// The machine has from a tenth to ten times the others' rate; the others together have 1 to 40 faults to expect.
fn of_ratios(times: f64) -> Coverage {
    let ratios: Vec<f64> = (-20..=20).map(|step| libm::pow(10.0, f64::from(step) / 20.0)).collect();
    let means = [1.0, 2.0, 5.0, 10.0, 20.0, 40.0];
    let most = |mean: f64| (mean + 8.0 * mean.sqrt() + 12.0) as u64;
    let (most_own, most_others) = (most(10.0 * 40.0 / times), most(40.0));
    let limits: Vec<Vec<(f64, f64)>> = (0..=most_own)
        .map(|own| {
            let of = |others| rates(own, 1.0, others, times, CONFIDENCE).unwrap();
            (0..=most_others).map(of).map(|found| (found.lower, found.upper.unwrap_or(f64::INFINITY))).collect()
        })
        .collect();
    let (mut least, mut at, mut sum) = (1.0, 0.0, 0.0);
    for mean in means {
        let others = poisson(mean, most_others);
        for &ratio in &ratios {
            let own = poisson(mean / times * ratio, most_own);
            let covered: f64 = own
                .iter()
                .zip(&limits)
                .map(|(p, limits)| {
                    let holds = |&(lower, upper): &(f64, f64)| lower <= ratio && ratio <= upper;
                    p * others.iter().zip(limits).filter(|(_, own)| holds(own)).map(|(q, _)| q).sum::<f64>()
                })
                .sum();
            sum += covered;
            if covered < least {
                (least, at) = (covered, ratio);
            }
        }
    }
    Coverage { least, at, mean: sum / (means.len() * ratios.len()) as f64 }
}

/// Returns the probabilities of the counts from 0 to `most`.
fn poisson(mean: f64, most: u64) -> Vec<f64> {
    let next = |p: &f64, k: u64| p * mean / k as f64;
    let mut all = vec![libm::exp(-mean)];
    for k in 1..=most {
        all.push(next(&all[k as usize - 1], k));
    }
    all
}

/// Returns the table.
pub fn block(covered: &[Covered]) -> Block {
    let row = |one: &Covered| {
        let promise = if one.exact { "never below 95 %" } else { "95 % on average" };
        let Coverage { least, mean, .. } = one.coverage;
        vec![one.what.clone(), promise.to_owned(), at_least(least), at_least(mean)]
    };
    Block {
        title: "How often an interval holds the truth",
        meaning: "Whatever the true share or rate is, the intervals printed in a binder hold it in at least 95 of 100 reports; they are a little too wide rather than too narrow. The probabilities of all counts are added up, and truths just beside every limit are tried, so that the least is the least there is (for the ratios: on a grid). Numbers are rounded down.".to_owned(),
        columns: vec!["interval at 95 %", "promise", "least", "mean"],
        rows: covered.iter().map(row).collect(),
    }
}
