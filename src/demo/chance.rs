//! Chance from a seed: the same on every platform.
//!
//! Every question has a stream of its own, named by purpose, machine and day, so that one more question asked on one
//! day moves nothing on another. Whole numbers only.

use chrono::{Datelike, NaiveDate};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A stream of random numbers for one purpose.
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// Returns the stream for a purpose, whom it is about, and a day.
    pub fn of(seed: u64, purpose: &str, whom: &str, day: NaiveDate) -> Chance {
        // FNV-1a: short, well known, and written out here so that no library can change it.
        let day = day.num_days_from_ce().to_le_bytes();
        let bytes = purpose.bytes().chain([0]).chain(whom.bytes()).chain([0]).chain(day);
        let name = bytes
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
        Chance(ChaCha8Rng::seed_from_u64(name ^ seed.wrapping_mul(0x9e37_79b9_7f4a_7c15)))
    }

    /// Returns a whole number from `low` to `high`, both included; `low` when they are the wrong way round.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        let span = u128::from(high.abs_diff(low)) + 1;
        // The high half of a product: even to one part in 2^64 / span, far below anything a logbook shows.
        let step = (u128::from(self.0.next_u64()) * span) >> 64;
        if high <= low { low } else { low + i64::try_from(step).unwrap_or(0) }
    }

    /// Returns true in so many cases out of a thousand.
    pub fn in_thousand(&mut self, cases: i64) -> bool {
        self.between(1, 1000) <= cases
    }

    /// Returns one of several things; nothing when there is none.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        let last = i64::try_from(from.len()).unwrap_or(i64::MAX) - 1;
        let at = self.between(0, last.max(0));
        from.get(usize::try_from(at).unwrap_or(0))
    }

    /// Returns one of several texts; an empty one when there is none.
    pub fn word(&mut self, from: &[&'static str]) -> &'static str {
        self.pick(from).copied().unwrap_or_default()
    }

    /// Returns one of several things by their weights; nothing when there is none.
    pub fn weighted<'a, T>(&mut self, from: &'a [T], weight: impl Fn(&T) -> i64) -> Option<&'a T> {
        let total: i64 = from.iter().map(&weight).sum();
        let mut left = self.between(1, total.max(1));
        from.iter().find(|thing| {
            left -= weight(thing);
            left <= 0
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chance(purpose: &str) -> Chance {
        Chance::of(7, purpose, "theatre-1", NaiveDate::from_ymd_opt(2026, 11, 25).unwrap())
    }

    #[test]
    fn the_same_question_has_the_same_answer() {
        let numbers = |purpose| {
            let mut chance = chance(purpose);
            (0..8).map(|_| chance.between(0, 999)).collect::<Vec<_>>()
        };
        assert_eq!(numbers("check"), numbers("check"));
        assert_ne!(numbers("check"), numbers("fault"));
    }

    #[test]
    fn numbers_stay_within_their_bounds_and_reach_both() {
        let mut chance = chance("bounds");
        let numbers: Vec<i64> = (0..500).map(|_| chance.between(-2, 3)).collect();
        assert_eq!((numbers.iter().min(), numbers.iter().max()), (Some(&-2), Some(&3)));
        assert_eq!(chance.between(5, 5), 5);
        assert_eq!(chance.between(5, 1), 5);
    }

    #[test]
    fn weights_count() {
        let mut chance = chance("weights");
        let heavy = (0..1000).filter(|_| chance.weighted(&[1, 9], |w| *w) == Some(&9)).count();
        assert!((850..950).contains(&heavy), "{heavy}");
        assert_eq!(chance.weighted(&[] as &[i64], |w| *w), None);
        assert_eq!(chance.pick(&[] as &[i64]), None);
    }
}
