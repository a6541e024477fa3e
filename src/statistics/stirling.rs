//! The error of Stirling's formula, with which factorials and gamma functions of any size keep their digits.
//!
//! Takes a count or a positive number, gives ln Gamma(a + 1) minus (a + 1/2) ln a - a + ln(2 pi)/2. The kernels of the
//! beta, gamma and Poisson distributions rest on it. Leaves out the formula itself, whose large parts cancel in them.

/// From here on the asymptotic series is used.
const SERIES_FROM: f64 = 16.0;

/// The error for n = 1 to 15, from its definition at 40 digits.
const OF_COUNTS: [f64; 15] = [
    0.081_061_466_795_327_26,
    0.041_340_695_955_409_3,
    0.027_677_925_684_998_34,
    0.020_790_672_103_765_093,
    0.016_644_691_189_821_193,
    0.013_876_128_823_070_748,
    0.011_896_709_945_891_77,
    0.010_411_265_261_972_096,
    0.009_255_462_182_712_733,
    0.008_330_563_433_362_87,
    0.007_573_675_487_951_841,
    0.006_942_840_107_209_53,
    0.006_408_994_188_004_207,
    0.005_951_370_112_758_847_5,
    0.005_554_733_551_962_801,
];

/// Returns the error for a count of 1 or more.
pub(super) fn error_of_count(n: u64) -> f64 {
    let known = n.checked_sub(1).and_then(|at| OF_COUNTS.get(usize::try_from(at).ok()?));
    known.copied().unwrap_or_else(|| error(n as f64))
}

/// Returns the error for a number above 0.
pub(super) fn error(a: f64) -> f64 {
    // From one number to the next the error falls by (a + 1/2) ln(1 + 1/a) - 1.
    let mut fallen = 0.0;
    let mut n = a;
    while n < SERIES_FROM {
        fallen += (n + 0.5) * libm::log1p(1.0 / n) - 1.0;
        n += 1.0;
    }
    // The first omitted term of the asymptotic series (DLMF 5.11.1) is below 2e-16 for n >= 16.
    let n_squared = n * n;
    let tail = 1.0 / 1680.0 - 1.0 / 1188.0 / n_squared;
    let tail = 1.0 / 1260.0 - tail / n_squared;
    let tail = 1.0 / 360.0 - tail / n_squared;
    fallen + (1.0 / 12.0 - tail / n_squared) / n
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    #[test]
    fn counts_and_numbers_have_the_same_error() {
        for n in 1..=100 {
            assert!((error_of_count(n) - error(n as f64)).abs() < 1e-15, "{n}");
        }
    }

    proptest! {
        #[test]
        fn it_is_what_its_name_says(a in 0.001..100.0_f64) {
            let formula = (a + 0.5) * libm::log(a) - a + 0.5 * libm::log(2.0 * PI);
            prop_assert!((libm::lgamma(a + 1.0) - formula - error(a)).abs() < 1e-12);
        }
    }
}
