//! Whether two shares differ more than chance explains, how large a count in a group may be before
//! it says so, and how likely a true difference is to be found.
//!
//! Takes counts, gives exact probabilities: with the totals of a two-by-two table held still, the
//! failures of one group are drawn from all without putting back. All three answers rest on the
//! same table of probabilities, so a limit drawn in a picture and the test beside it cannot
//! disagree. Leaves out which groups are compared and how many comparisons are made
//! (`comparison::holm`).

use super::outcomes::{FAR, NEAR, Outcomes, signal};
use super::special::LARGEST_SHAPE_SUM;

/// How rare a count is if nothing differs, one way and both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rareness {
    /// The probability of all counts that are no likelier than the observed one.
    pub two_sided: f64,
    /// The probability of the observed count or more.
    pub greater: f64,
    /// The probability of the observed count or less.
    pub less: f64,
}

/// The counts of a group at which Fisher's test does not signal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuietCounts {
    /// The lowest count without a signal; 0 when no count is too low.
    pub low: u64,
    /// The highest count without a signal; when no count is too high, the most there can be.
    pub high: u64,
    /// The probability of a signal when nothing differs, at most the level.
    pub false_alarm: f64,
}

/// Returns how rare `k1` failures of `n1` are, if `k2` of `n2` have the same true share: Fisher's
/// exact test.
///
/// R. A. Fisher 1935, "The logic of inductive inference", Journal of the Royal Statistical Society
/// 98:39-82. Given all k1 + k2 failures among n1 + n2, those in the first group have the
/// hypergeometric distribution C(K, k) C(N-K, n1-k) / C(N, n1), whatever the common share is, so
/// the uncertainty of both groups is in the answer. `greater` is the probability of k1 or more,
/// `less` of k1 or fewer, `two_sided` of all counts no likelier than k1, with the allowance for
/// rounding that R and scipy have too, 1e-7. A probability below 1e-290 of the likeliest one's is
/// given as 0.
///
/// None when a group is empty, a count is above its number, or both groups together hold a thousand
/// million or more.
///
/// ```
/// use pinindex::statistics::fisher::fisher;
///
/// // Fisher's cups of tea: 3 of 4 named rightly.
/// let tea = fisher(3, 4, 1, 4).unwrap();
/// assert!((tea.greater - 17.0 / 70.0).abs() < 1e-15);
/// assert!((tea.two_sided - 34.0 / 70.0).abs() < 1e-15);
///
/// assert_eq!(fisher(0, 0, 1, 4), None);
/// ```
pub fn fisher(k1: u64, n1: u64, k2: u64, n2: u64) -> Option<Rareness> {
    let total = n1.checked_add(n2).filter(|&total| total < LARGEST_SHAPE_SUM)?;
    if n1 == 0 || n2 == 0 || k1 > n1 || k2 > n2 {
        return None;
    }
    let outcomes = Outcomes::hypergeometric(total, k1 + k2, n1, FAR);
    Some(Rareness { two_sided: outcomes.no_likelier(k1), greater: outcomes.at_least(k1), less: outcomes.at_most(k1) })
}

/// Returns the counts of failures in a group of `n` at which the two-sided test of [`fisher`] against
/// all others has p at or above `level`, when there are `total_failed` failures among `total_n`.
///
/// They are the exact limits of a strip of months: a count outside them is one that the test calls
/// different from the other months at that level, and no other is. The counts inside have no gap.
/// Where the data cannot give a signal at all, the limits are as wide as what can happen and the
/// false alarm is 0.
///
/// None when the group is empty or nothing is left to compare it with, `total_failed` is above
/// `total_n`, `level` is not strictly between 0 and 1, or `total_n` is a thousand million or more.
///
/// ```
/// use pinindex::statistics::fisher::{fisher, quiet_counts};
///
/// // 24 failures among 2340 checks of thirteen months, 180 of them in the month asked about.
/// let quiet = quiet_counts(24, 2340, 180, 0.005).unwrap();
/// assert_eq!((quiet.low, quiet.high), (0, 6));
/// assert!(fisher(6, 180, 18, 2160).unwrap().two_sided >= 0.005);
/// assert!(fisher(7, 180, 17, 2160).unwrap().two_sided < 0.005);
/// assert!(quiet.false_alarm < 0.005);
/// ```
pub fn quiet_counts(total_failed: u64, total_n: u64, n: u64, level: f64) -> Option<QuietCounts> {
    let possible = total_failed <= total_n && n > 0 && n < total_n && total_n < LARGEST_SHAPE_SUM;
    if !possible || !is_level(level) {
        return None;
    }
    let outcomes = Outcomes::hypergeometric(total_n, total_failed, n, FAR);
    let (low, high) = outcomes.quiet(level);
    let below = low.checked_sub(1).map_or(0.0, |count| outcomes.at_most(count));
    Some(QuietCounts { low, high, false_alarm: below + outcomes.at_least(high + 1) })
}

/// Returns the probability that [`fisher`] finds p below `level` when the true share of a group of
/// `n1` is `ratio` times `share`, and the true share of the other `n2` is `share`.
///
/// The exact sum over all pairs of counts, k1 of Bin(n1, ratio * share) and k2 of Bin(n2, share),
/// of those pairs whose p is below the level; pairs that add nothing to sixteen digits are left out.
/// A share above 1 is taken as 1. With a ratio of 1 it is the true size of the test. The time it
/// takes grows with the product of the two standard deviations; a month against a year of a small
/// hospital is about a millisecond.
///
/// None when a group is empty, `share` is not from 0 to 1, `ratio` is below 0 or not finite, `level`
/// is not strictly between 0 and 1, or both groups together hold more than 300,000.
///
/// ```
/// use pinindex::statistics::fisher::power;
///
/// // A month twice as bad as the year before it would hardly ever be told by the test.
/// let found = power(180, 2160, 0.01, 2.0, 0.005).unwrap();
/// assert!(found < 0.1);
/// ```
pub fn power(n1: u64, n2: u64, share: f64, ratio: f64, level: f64) -> Option<f64> {
    let total = n1.checked_add(n2).filter(|&total| total <= MOST_FOR_POWER)?;
    let sensible = n1 > 0 && n2 > 0 && (0.0..=1.0).contains(&share) && ratio >= 0.0 && ratio.is_finite();
    if !sensible || !is_level(level) {
        return None;
    }
    let first = Outcomes::binomial(n1, (ratio * share).min(1.0), NEAR);
    let second = Outcomes::binomial(n2, share, NEAR);
    let quiet = |failed| Outcomes::hypergeometric(total, failed, n1, level * NEAR).quiet(level);
    Some(signal(&first, &second, quiet))
}

/// The most trials for which the power is computed, so that it takes a second at the worst.
const MOST_FOR_POWER: u64 = 300_000;

fn is_level(level: f64) -> bool {
    level > 0.0 && level < 1.0
}

#[cfg(test)]
mod tests;
