//! How likely it is that things repeat by chance: so many of them, or so many in a row.
//!
//! Takes the chance of each repeat and how many were seen; gives the chance of at least so many. Both are sums of
//! positive terms over a chain with an absorbing state, so that a very small chance keeps its digits.

/// Returns the chance that at least `seen` of some independent events happen, each with its own chance.
///
/// The upper tail of the Poisson binomial distribution (Le Cam 1960, Pacific J Math 10: 1181–1197, gives its Poisson
/// limit), by the usual recurrence over the events. Takes chances from 0 to 1; anything else counts as 1, which never
/// makes a small result smaller. Gives a number from 0 to 1.
///
/// ```
/// use pinindex::statistics::repeats::at_least;
/// // Two fair coins.
/// assert_eq!([0, 1, 2, 3].map(|seen| at_least(&[0.5, 0.5], seen)), [1.0, 0.75, 0.25, 0.0]);
/// ```
pub fn at_least(chances: &[f64], seen: usize) -> f64 {
    if seen > chances.len() {
        return 0.0;
    }
    // The chance of each number of events below `seen`, and at the end that of `seen` or more.
    let mut states = vec![0.0; seen + 1];
    states[0] = 1.0;
    for chance in chances.iter().map(|p| probability(*p)) {
        if let Some(moved) = seen.checked_sub(1).map(|last| states[last] * chance) {
            states[seen] += moved;
        }
        for n in (0..seen).rev() {
            let arriving = if n == 0 { 0.0 } else { states[n - 1] * chance };
            states[n] = states[n] * (1.0 - chance) + arriving;
        }
    }
    states[seen].clamp(0.0, 1.0)
}

/// Returns the chance that somewhere at least `length` events happen one after another, each with its own chance
/// whatever came before it.
///
/// For equal chances this is the chance of a run of successes (Feller 1968, An Introduction to Probability Theory, volume
/// 1, XIII.7), here by its exact recurrence. A row of readings that each equal the one before has one event less than
/// readings. A chance that is none counts as 1. Gives a number from 0 to 1.
///
/// ```
/// use pinindex::statistics::repeats::in_a_row;
/// // Two heads in a row among three fair coins: 3 of 8.
/// assert_eq!(in_a_row(&[0.5; 3], 2), 0.375);
/// assert_eq!((in_a_row(&[0.5; 3], 0), in_a_row(&[0.5; 3], 4)), (1.0, 0.0));
/// ```
pub fn in_a_row(chances: &[f64], length: usize) -> f64 {
    if length == 0 {
        return 1.0;
    }
    if length > chances.len() {
        return 0.0;
    }
    // The chance of each number of events in a row up to now, and at the end that there was such a row.
    let mut states = vec![0.0; length + 1];
    states[0] = 1.0;
    for chance in chances.iter().map(|p| probability(*p)) {
        let broken: f64 = states[..length].iter().sum::<f64>() * (1.0 - chance);
        states[length] += states[length - 1] * chance;
        for n in (1..length).rev() {
            states[n] = states[n - 1] * chance;
        }
        states[0] = broken;
    }
    states[length].clamp(0.0, 1.0)
}

/// Returns the share of repeats to reckon with after `k` among `n`: never none, and a little more than was seen.
///
/// The rule of succession with the next one taken as a repeat, `(k + 1) / (n + 1)`. Nothing of nothing is 1.
pub fn repeat_share(k: usize, n: usize) -> f64 {
    (k.min(n) + 1) as f64 / (n + 1) as f64
}

fn probability(p: f64) -> f64 {
    if (0.0..=1.0).contains(&p) { p } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Counts over all outcomes of the trials, each weighed by its chance.
    fn over_all(chances: &[f64], counts: impl Fn(u32) -> bool) -> f64 {
        let weight = |bits: u32| -> f64 {
            let factor = |(at, p): (usize, &f64)| if bits >> at & 1 == 1 { *p } else { 1.0 - p };
            chances.iter().enumerate().map(factor).product()
        };
        (0..1u32 << chances.len()).filter(|bits| counts(*bits)).map(weight).sum()
    }

    fn longest(bits: u32, n: usize) -> usize {
        let mut best = 0;
        let mut now = 0;
        for at in 0..n {
            now = if bits >> at & 1 == 1 { now + 1 } else { 0 };
            best = best.max(now);
        }
        best
    }

    proptest! {
        #[test]
        fn both_agree_with_counting_over_all_outcomes(
            chances in prop::collection::vec(0.0..=1.0f64, 0..11), seen in 0usize..13,
        ) {
            let counted = over_all(&chances, |bits| bits.count_ones() as usize >= seen);
            prop_assert!((at_least(&chances, seen) - counted).abs() < 1e-12);
            let counted = over_all(&chances, |bits| longest(bits, chances.len()) >= seen);
            prop_assert!((in_a_row(&chances, seen) - counted).abs() < 1e-12);
        }

        #[test]
        fn no_input_gives_anything_but_a_chance(
            chances in prop::collection::vec(prop::num::f64::ANY, 0..40), seen in 0usize..60, n in 0usize..60,
        ) {
            for p in [at_least(&chances, seen), in_a_row(&chances, seen), repeat_share(seen, n)] {
                prop_assert!((0.0..=1.0).contains(&p));
            }
        }
    }

    #[test]
    fn a_very_small_chance_keeps_its_digits() {
        let copies = at_least(&[1e-9; 5], 5);
        assert!((copies / 1e-45 - 1.0).abs() < 1e-12, "{copies}");
        let long = in_a_row(&[1e-2; 60], 60);
        assert!((long / 1e-120 - 1.0).abs() < 1e-12, "{long}");
    }

    /// Counted one by one: 520 of the 1024 outcomes of ten tosses of a coin hold three heads in a row.
    #[test]
    fn three_heads_in_a_row_among_ten() {
        assert_eq!(in_a_row(&[0.5; 10], 3), 520.0 / 1024.0);
    }
}
