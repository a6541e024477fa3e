//! The probabilities of counts that have one peak: of k in n trials, of k among those drawn, of k
//! in a time.
//!
//! Takes the numbers that make the distribution and how far from the peak to go, gives each
//! probability and both its tails. The probabilities come from the peak outward, each from its
//! neighbour by an exact ratio, and are divided by their sum, so no factorial is ever taken and a
//! tail is a sum of positive terms without cancellation. Leaves out single tails of a large n, which
//! `binomial` finds without a table.

/// As far from the peak as numbers go: what is left out is below 1e-290 of the peak.
pub(super) const FAR: f64 = 1e-290;

/// How far from the peak a sum goes that is good to sixteen digits.
pub(super) const NEAR: f64 = 1e-20;

/// How much more likely than the observed count another may be and still counts as equally likely.
///
/// Two counts of exactly the same probability differ by rounding when they are computed. R and
/// scipy use the same allowance.
const TIE: f64 = 1e-7;

/// The longest table. Only hundreds of millions of trials would ask for more.
const MOST_OUTCOMES: usize = 4_000_000;

/// The probabilities of neighbouring counts, those next to nothing left out.
#[derive(Debug, Clone)]
pub(super) struct Outcomes {
    /// The count that the first entry is about.
    first: u64,
    /// Where the peak is.
    peak: usize,
    probability: Vec<f64>,
    /// The probability of at most this count.
    at_most: Vec<f64>,
    /// The probability of at least this count.
    at_least: Vec<f64>,
}

impl Outcomes {
    /// Returns the counts of failures in `n` trials that fail with probability `share`, down to
    /// `reach` of the peak. The share lies between 0 and 1.
    pub(super) fn binomial(n: u64, share: f64, reach: f64) -> Self {
        if share <= 0.0 || share >= 1.0 {
            return Self::certain(if share <= 0.0 { 0 } else { n });
        }
        let odds = share / (1.0 - share);
        let peak = ((n as f64 + 1.0) * share) as u64;
        Self::around(peak.min(n), 0, n, reach, |k| (n - k) as f64 / (k + 1) as f64 * odds)
    }

    /// Returns the counts of marked ones when `drawn` of `total` are drawn without putting back and
    /// `marked` of the total are marked, down to `reach` of the peak. Neither is above the total.
    pub(super) fn hypergeometric(total: u64, marked: u64, drawn: u64, reach: f64) -> Self {
        let lowest = (marked + drawn).saturating_sub(total);
        let highest = marked.min(drawn);
        let peak = u128::from(marked + 1) * u128::from(drawn + 1) / u128::from(total + 2);
        let peak = (peak as u64).clamp(lowest, highest);
        // Below the highest count, `total + k + 1` is above `marked + drawn`: nothing goes below 0.
        Self::around(peak, lowest, highest, reach, |k| {
            let (marked_left, draws_left) = ((marked - k) as f64, (drawn - k) as f64);
            marked_left * draws_left / ((k + 1) as f64 * (total + k + 1 - marked - drawn) as f64)
        })
    }

    /// Returns the counts of events where `mean` are expected, down to `reach` of the peak. The
    /// mean is 0 or more and below the largest table's square.
    pub(super) fn poisson(mean: f64, reach: f64) -> Self {
        if mean <= 0.0 {
            return Self::certain(0);
        }
        Self::around(mean as u64, 0, u64::MAX - 1, reach, |k| mean / (k + 1) as f64)
    }

    fn certain(count: u64) -> Self {
        Self { first: count, peak: 0, probability: vec![1.0], at_most: vec![1.0], at_least: vec![1.0] }
    }

    /// Builds the table from `peak` to both sides; `ratio(k)` is how many times as likely k + 1 is
    /// as k.
    fn around(peak: u64, lowest: u64, highest: u64, reach: f64, ratio: impl Fn(u64) -> f64) -> Self {
        let mut below = Vec::new();
        let (mut weight, mut k) = (1.0, peak);
        while k > lowest && below.len() < MOST_OUTCOMES {
            k -= 1;
            weight /= ratio(k);
            if weight < reach {
                break;
            }
            below.push(weight);
        }
        let first = peak - below.len() as u64;
        let peak_at = below.len();
        let mut probability: Vec<f64> = below.into_iter().rev().collect();
        probability.push(1.0);
        (weight, k) = (1.0, peak);
        while k < highest && probability.len() - peak_at < MOST_OUTCOMES {
            weight *= ratio(k);
            k += 1;
            if weight < reach {
                break;
            }
            probability.push(weight);
        }

        let at_most = running_sums(probability.iter());
        let mut at_least = running_sums(probability.iter().rev());
        at_least.reverse();
        // Each half is summed from its small end.
        let sum = at_most[peak_at] + at_least.get(peak_at + 1).copied().unwrap_or(0.0);
        let divided = |sums: Vec<f64>| sums.into_iter().map(|part| (part / sum).min(1.0)).collect();
        Self {
            first,
            peak: peak_at,
            probability: divided(probability),
            at_most: divided(at_most),
            at_least: divided(at_least),
        }
    }

    /// Returns the first and the last count of the table.
    fn range(&self) -> (u64, u64) {
        (self.first, self.first + (self.probability.len() - 1) as u64)
    }

    /// Returns the probability of this count, 0 if it is left out.
    fn probability(&self, count: u64) -> f64 {
        self.index(count).map_or(0.0, |index| self.probability[index])
    }

    /// Returns the probability of at most `count`.
    pub(super) fn at_most(&self, count: u64) -> f64 {
        match self.index(count) {
            Some(index) => self.at_most[index],
            None if count < self.first => 0.0,
            None => 1.0,
        }
    }

    /// Returns the probability of at least `count`.
    pub(super) fn at_least(&self, count: u64) -> f64 {
        match self.index(count) {
            Some(index) => self.at_least[index],
            None if count < self.first => 1.0,
            None => 0.0,
        }
    }

    /// Returns the probability of all counts that are no likelier than this one, itself included.
    pub(super) fn no_likelier(&self, count: u64) -> f64 {
        self.index(count).map_or(0.0, |index| self.no_likelier_at(index))
    }

    /// Returns the counts from the first to the last for which [`Self::no_likelier`] is at least
    /// `level`. They have no gap, since that number rises to the peak, where it is 1, and falls
    /// after it.
    pub(super) fn quiet(&self, level: f64) -> (u64, u64) {
        let first = first_where(0, self.peak, |index| self.no_likelier_at(index) >= level);
        let after = first_where(self.peak + 1, self.probability.len(), |index| self.no_likelier_at(index) < level);
        (self.first + first as u64, self.first + after as u64 - 1)
    }

    /// Returns the counts from the first to the last for which twice the smaller tail is at least
    /// `level`. The median is always one of them.
    pub(super) fn quiet_by_doubling(&self, level: f64) -> (u64, u64) {
        let last = self.probability.len() - 1;
        let first = first_where(0, last, |index| 2.0 * self.at_most[index] >= level);
        let after = first_where(first + 1, last + 1, |index| 2.0 * self.at_least[index] < level);
        (self.first + first as u64, self.first + after as u64 - 1)
    }

    fn no_likelier_at(&self, index: usize) -> f64 {
        let most = self.probability[index] * (1.0 + TIE);
        if most >= self.probability[self.peak] {
            return 1.0;
        }
        let lower = first_where(0, self.peak, |index| self.probability[index] > most);
        let upper = first_where(self.peak + 1, self.probability.len(), |index| self.probability[index] <= most);
        let below = lower.checked_sub(1).map_or(0.0, |last| self.at_most[last]);
        let above = self.at_least.get(upper).copied().unwrap_or(0.0);
        (below + above).min(1.0)
    }

    fn index(&self, count: u64) -> Option<usize> {
        let index = usize::try_from(count.checked_sub(self.first)?).ok()?;
        (index < self.probability.len()).then_some(index)
    }
}

/// Returns the probability that two independent counts give a signal, where `quiet` is asked for
/// the counts of the first that give none, from the lowest to the highest, when both make a total.
pub(super) fn signal(first: &Outcomes, second: &Outcomes, quiet: impl Fn(u64) -> (u64, u64)) -> f64 {
    let ((first_low, first_high), (second_low, second_high)) = (first.range(), second.range());
    let mut found = 0.0;
    for total in first_low + second_low..=first_high + second_high {
        let (low, high) = quiet(total);
        // The counts of the first that the second can bring to this total.
        let from = first_low.max(total.saturating_sub(second_high));
        let to = first_high.min(total - second_low);
        let too_low = from..low.min(to + 1);
        let too_high = from.max(high + 1)..to + 1;
        for count in too_low.chain(too_high) {
            found += first.probability(count) * second.probability(total - count);
        }
    }
    found.min(1.0)
}

/// Returns the sums of the first one, the first two and so on.
fn running_sums<'a>(weights: impl Iterator<Item = &'a f64>) -> Vec<f64> {
    weights
        .scan(0.0, |sum, weight| {
            *sum += weight;
            Some(*sum)
        })
        .collect()
}

/// Returns the first index from `start` on for which the condition holds, or `end`; once it holds it
/// goes on holding.
fn first_where(start: usize, end: usize, holds: impl Fn(usize) -> bool) -> usize {
    let (mut start, mut end) = (start, end);
    while start < end {
        let middle = start + (end - start) / 2;
        if holds(middle) {
            end = middle;
        } else {
            start = middle + 1;
        }
    }
    start
}

#[cfg(test)]
mod tests;
