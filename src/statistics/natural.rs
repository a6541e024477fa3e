//! Whole numbers without an upper size, for products of many counts that must be compared exactly.
//!
//! Takes factors, gives an ordering. Does nothing else: no addition, no division, no printing.

use std::cmp::Ordering;

/// A whole number that can be multiplied and compared.
///
/// The digits are in base 2^64, the least significant first, without leading zeros; zero has no
/// digit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Natural {
    digits: Vec<u64>,
}

impl Natural {
    /// Returns the number one.
    pub(super) fn one() -> Self {
        Self { digits: vec![1] }
    }

    /// Returns this number times `factor`.
    pub(super) fn times(&self, factor: u64) -> Self {
        if factor == 0 {
            return Self { digits: Vec::new() };
        }
        let mut digits = Vec::with_capacity(self.digits.len() + 1);
        let mut carry = 0_u64;
        for &digit in &self.digits {
            // The product of two digits plus a carry is at most 2^128 - 2^64, so it always fits.
            let sum = u128::from(digit) * u128::from(factor) + u128::from(carry);
            digits.push(sum as u64);
            carry = (sum >> 64) as u64;
        }
        if carry > 0 {
            digits.push(carry);
        }
        Self { digits }
    }
}

impl PartialOrd for Natural {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Natural {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_length = self.digits.len().cmp(&other.digits.len());
        by_length.then_with(|| self.digits.iter().rev().cmp(other.digits.iter().rev()))
    }
}

#[cfg(test)]
mod tests {
    use super::Natural;
    use proptest::prelude::*;

    fn product(factors: &[u64]) -> Natural {
        factors.iter().fold(Natural::one(), |number, &factor| number.times(factor))
    }

    #[test]
    fn a_factor_of_zero_gives_zero_for_good() {
        assert!(product(&[u64::MAX, 0, 7]) < Natural::one());
        assert_eq!(product(&[0]), product(&[5, 0]));
    }

    #[test]
    fn neighbours_beyond_128_bits_are_told_apart() {
        // (m + 1)(m - 1) = m^2 - 1, so the two products below differ by m in about m^3.
        let m = u64::MAX - 1;
        assert!(product(&[m + 1, m - 1, m]) < product(&[m, m, m]));
    }

    proptest! {
        #[test]
        fn order_agrees_with_u128(a: u64, b: u64, c: u64, d: u64) {
            let expected = (u128::from(a) * u128::from(b)).cmp(&(u128::from(c) * u128::from(d)));
            prop_assert_eq!(product(&[a, b]).cmp(&product(&[c, d])), expected);
        }

        #[test]
        fn the_order_of_factors_does_not_matter(factors in prop::collection::vec(1_u64.., 0..12)) {
            let backwards: Vec<u64> = factors.iter().rev().copied().collect();
            prop_assert_eq!(product(&factors), product(&backwards));
        }
    }
}
