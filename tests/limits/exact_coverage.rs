//! How often an interval covers the true value, computed without chance: the probabilities of all counts
//! whose interval holds the truth are added up.
//!
//! Takes a method and a confidence, gives the least and the mean coverage. An interval covers a truth for a
//! run of counts, and coverage jumps where a count joins or leaves that run, which is at a limit of some
//! count. So besides an even grid of truths, those just beside every limit are tried: the least coverage
//! found is the least there is, but for what lies between two neighbouring numbers.

use pinindex::statistics::proportion::Interval;

/// How far beside a limit a truth is tried, relative to its size.
const BESIDE: f64 = 1e-10;

/// How often a method covers the truth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coverage {
    /// The least coverage over all truths.
    pub least: f64,
    /// The truth that is covered least.
    pub at: f64,
    /// The mean coverage over an even grid of truths.
    pub mean: f64,
}

/// Returns how often a method covers a true share, for `n` trials and truths from 0 to `largest`.
pub fn of_shares(limits: impl Fn(u64) -> Interval, n: u64, largest: f64) -> Coverage {
    let limits: Vec<Interval> = (0..=n).map(limits).collect();
    let factorials = ln_factorials(n);
    let probability = |k: u64, p: f64| {
        let ln_choose = factorials[n as usize] - factorials[k as usize] - factorials[(n - k) as usize];
        libm::exp(ln_choose + k as f64 * libm::log(p) + (n - k) as f64 * libm::log1p(-p))
    };
    over_truths(&limits, largest.min(1.0 - BESIDE), probability)
}

/// Returns how often a method covers a true mean count, for means from 0 to `largest`.
///
/// The method gives the limits of a mean for each count; counts are tried as far as they matter.
pub fn of_means(limits: impl Fn(u64) -> Interval, largest: f64) -> Coverage {
    // Counts above have a probability below 1e-30 in all.
    let most = (largest + 12.0 * largest.sqrt() + 80.0) as u64;
    let limits: Vec<Interval> = (0..=most).map(limits).collect();
    let factorials = ln_factorials(most);
    let probability = |k: u64, mean: f64| libm::exp(k as f64 * libm::log(mean) - mean - factorials[k as usize]);
    over_truths(&limits, largest, probability)
}

fn over_truths(limits: &[Interval], largest: f64, probability: impl Fn(u64, f64) -> f64) -> Coverage {
    let covered = |truth: f64| -> f64 {
        let holds = |interval: &Interval| interval.lower <= truth && truth <= interval.upper;
        limits.iter().enumerate().filter(|(_, own)| holds(own)).map(|(k, _)| probability(k as u64, truth)).sum()
    };
    let steps = 2000;
    let grid: Vec<f64> = (1..=steps).map(|step| largest * (f64::from(step) - 0.5) / f64::from(steps)).collect();
    let mean = grid.iter().map(|&truth| covered(truth)).sum::<f64>() / f64::from(steps);
    let edges = limits.iter().flat_map(|own| [own.lower, own.upper]);
    let beside = edges.flat_map(|edge| [edge * (1.0 - BESIDE), edge * (1.0 + BESIDE)]);
    let truths = grid.iter().copied().chain(beside.filter(|truth| 0.0 < *truth && *truth <= largest));
    let (least, at) =
        truths.map(|truth| (covered(truth), truth)).fold((1.0, 0.0), |a, b| if b.0 < a.0 { b } else { a });
    Coverage { least, at, mean }
}

/// Returns ln(k!) for k from 0 to `most`, added up.
fn ln_factorials(most: u64) -> Vec<f64> {
    let mut sum = 0.0;
    std::iter::once(0.0)
        .chain((1..=most).map(|k| {
            sum += libm::log(k as f64);
            sum
        }))
        .collect()
}
