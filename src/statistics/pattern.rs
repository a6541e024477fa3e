//! How often readings that were really taken look alike by chance: runs of one value.
//!
//! Takes how often each value occurs, gives probabilities. The values' own frequencies are the
//! yardstick, never an even spread: a gauge that hardly moves has long honest runs. Whether readings
//! end on a marked digit more often than elsewhere is asked of `fisher`, with the same item on
//! other machines as the second group, and only where readings scatter over five steps or more.
//! Leaves out what a long run means.

/// The most values for which runs are counted exactly; with more the bound is given.
const MOST_FOR_EXACT: u64 = 400;

/// How far rounding may have moved the exact answer, relative to it.
const NOISE: f64 = 1e-9;

/// Returns the probability that some value stands `run` or more times in a row, when each order of
/// the values is equally likely.
///
/// `counts` says how often each distinct value occurs. Exact by inclusion and exclusion: with W the
/// sum of x^1 to x^(run-1), the orders in which no value has such a run have the generating function
/// 1 / (1 - sum over the values of W/(1+W)), where W/(1+W) is the series (x - x^run) (1 + x^run +
/// x^(2 run) and so on). P. Flajolet and R. Sedgewick 2009, "Analytic Combinatorics", section III.7,
/// on Smirnov words.
///
/// Where its terms cancel too far (runs that are nearly certain) or there are more than 400 values,
/// the sum over the distinct values and over the places where a run can begin is given instead, at
/// most 1. That bound is never below the probability, so it never claims more than it should.
///
/// None when there is no value, `run` is 0, or there are ten million values or more.
///
/// ```
/// use pinindex::statistics::pattern::longest_run_p;
///
/// // aabb, abab, abba, baab, baba, bbaa: four of six have two alike in a row somewhere.
/// assert!((longest_run_p(&[2, 2], 2).unwrap() - 4.0 / 6.0).abs() < 1e-15);
/// assert_eq!(longest_run_p(&[2, 2], 3), Some(0.0));
/// assert_eq!(longest_run_p(&[], 3), None);
/// ```
pub fn longest_run_p(counts: &[u64], run: u64) -> Option<f64> {
    let total = counts.iter().try_fold(0_u64, |sum, &count| sum.checked_add(count))?;
    if total == 0 || total >= MOST_VALUES || run == 0 {
        return None;
    }
    if counts.iter().all(|&count| count < run) {
        return Some(0.0);
    }
    if run == 1 {
        return Some(1.0);
    }
    let exact = if total <= MOST_FOR_EXACT { exact_run_p(counts, total, run) } else { None };
    Some(exact.unwrap_or_else(|| run_bound(counts, total, run).min(1.0)))
}

/// Returns the exact probability of a run, or None if rounding may have spoilt it.
///
/// With d fewer blocks than values in all, a term is (N-d)!/N! times, for each value, n!/(n-d_i)!
/// times the coefficient of x^n in (W/(1+W))^(n - d_i). The term without any d is 1, and is left out:
/// the others then add up to minus the probability, which keeps its digits however small it is.
fn exact_run_p(counts: &[u64], total: u64, run: u64) -> Option<f64> {
    let factorials = Factorials::up_to(total);
    // By the number of blocks saved: the sum of terms, and of their sizes.
    let mut sums = vec![(1.0_f64, 1.0_f64)];
    for &count in counts.iter().filter(|&&count| count >= run) {
        let factors = savings(count, total, run, &factorials);
        let mut longer = vec![(0.0, 0.0); sums.len() + factors.len() - 1];
        for (saved, &(sum, size)) in sums.iter().enumerate() {
            for (more, &factor) in factors.iter().enumerate() {
                let place: &mut (f64, f64) = &mut longer[saved + more];
                place.0 += sum * factor;
                place.1 += size * factor.abs();
            }
        }
        sums = longer;
    }
    // The total to the power of d, divided by N! / (N-d)!, undoes the scale of `savings`.
    let (mut scale, mut probability, mut size) = (1.0, 0.0, 0.0);
    for (saved, (sum, sum_of_sizes)) in sums.into_iter().enumerate().skip(1) {
        scale *= total as f64 / (total - saved as u64 + 1) as f64;
        probability -= sum * scale;
        size += sum_of_sizes * scale;
    }
    let rounding = size * f64::EPSILON * total as f64;
    (rounding <= NOISE * probability && probability <= 1.0 + NOISE).then(|| probability.min(1.0))
}

/// Returns, for each number d of blocks saved, the coefficient of x^n in (W/(1+W))^(n-d) times
/// n!/(n-d)!, divided by the total to the power of d, for one value that occurs n times.
fn savings(count: u64, total: u64, run: u64, factorials: &Factorials) -> Vec<f64> {
    let mut factors = Vec::with_capacity(count as usize);
    let mut falling = 1.0;
    for saved in 0..count {
        // A block of the kind x^(run m) counts minus, one of the kind x^(run m + 1) plus. Of the n - d
        // blocks, a are of the first kind, saving run - 1 more than one of m = 0 of the second, and
        // all the m together are b.
        let blocks = count - saved;
        let coefficient: f64 = (0..=saved / (run - 1))
            .filter(|&minus| minus <= blocks && (saved - minus * (run - 1)).is_multiple_of(run))
            .map(|minus| {
                let sign = if minus % 2 == 0 { 1.0 } else { -1.0 };
                let repeats = (saved - minus * (run - 1)) / run;
                sign * factorials.choose(blocks, minus) * factorials.choose(blocks + repeats - 1, repeats)
            })
            .sum();
        factors.push(coefficient * falling);
        falling *= blocks as f64 / total as f64;
    }
    factors
}

/// Returns the sum, over the distinct values and the places where a run can begin, of the
/// probability that one begins there.
///
/// A run begins at the first place, or at a later one after another value. With f falling factors,
/// the probability is f(n, run) / f(N, run) there, times (N - n) / (N - run) elsewhere.
fn run_bound(counts: &[u64], total: u64, run: u64) -> f64 {
    let of_value = |count: u64| {
        let alike: f64 = (0..run).map(|i| (count - i) as f64 / (total - i) as f64).product();
        let later = (total - run) as f64;
        // N - run later places, each with another value before it: they cancel to N - n.
        if later > 0.0 { alike * (1.0 + (total - count) as f64) } else { alike }
    };
    counts.iter().filter(|&&count| count >= run).map(|&count| of_value(count)).sum()
}

/// The factorials i! / 150^i, a scale at which all up to 400! are numbers a computer holds.
struct Factorials(Vec<f64>);

impl Factorials {
    fn up_to(largest: u64) -> Self {
        let next = |factorial: &mut f64, i| {
            *factorial *= i as f64 / 150.0;
            Some(*factorial)
        };
        Self(std::iter::once(1.0).chain((1..=largest).scan(1.0, next)).collect())
    }

    /// Returns the number of ways to choose `part` of `whole`.
    fn choose(&self, whole: u64, part: u64) -> f64 {
        self.0[whole as usize] / self.0[part as usize] / self.0[(whole - part) as usize]
    }
}

/// More values than anybody records.
const MOST_VALUES: u64 = 10_000_000;

#[cfg(test)]
mod tests;
