//! The gamma distribution against values of fifty digits, closed forms and properties.

use super::*;
use proptest::prelude::*;

/// Shape, x, lower and upper tail: the f64 nearest to what mpmath 1.4.1 gave at 60 digits.
const TAILS: [(f64, f64, f64, f64); 18] = [
    (0.01, 1e-05, 0.8963367982671973, 0.1036632017328028),
    (0.01, 0.7, 0.9962340091703982, 0.003765990829601872),
    (0.01, 3.0, 0.9998670286434298, 0.0001329713565701555),
    (1e-06, 0.5, 0.9999994402261119, 5.597738881556345e-07),
    (0.5, 1e-12, 1.1283791670951364e-06, 0.9999988716208329),
    (0.5, 0.3, 0.5614219739190002, 0.4385780260809999),
    (0.5, 8.0, 0.9999366575163338, 6.334248366623985e-05),
    (0.99, 0.99, 0.6327636182557719, 0.36723638174422807),
    (1.5, 0.2, 0.05975750516063926, 0.9402424948393607),
    (3.0, 3.0, 0.5768099188731565, 0.42319008112684353),
    (3.0, 40.0, 0.9999999999999964, 3.572865928700226e-15),
    (7.25, 2.0, 0.0032149107178667115, 0.9967850892821333),
    (100.5, 60.0, 1.135702927314961e-06, 0.9999988642970726),
    (100.5, 150.0, 0.9999926686456304, 7.3313543696104784e-06),
    (10000.0, 10300.0, 0.9985295051036143, 0.0014704948963856813),
    (123456.75, 122000.0, 1.581135026594362e-05, 0.999984188649734),
    (1000000.0, 1000000.0, 0.5001329807608725, 0.4998670192391274),
    (1000000.0, 1005000.0, 0.999999701250986, 2.987490140114635e-07),
];

/// Shape, tail and point, from the same source by a search at 60 digits.
const QUANTILES: [(f64, Tail, f64); 18] = [
    (0.01, Tail::Lower(0.025), 3.5226859973137924e-161),
    (0.01, Tail::Upper(0.025), 0.047137958431590445),
    (0.5, Tail::Lower(0.025), 0.000491034558587628),
    (0.5, Tail::Upper(1e-10), 20.910728182380648),
    (0.8, Tail::Lower(1e-10), 2.893415694251749e-13),
    (1.0, Tail::Lower(0.025), 0.025317807984289876),
    (1.0, Tail::Upper(0.025), 3.6888794541139363),
    (2.0, Tail::Lower(0.001), 0.04540201776948956),
    (3.0, Tail::Lower(0.025), 0.6186721228956013),
    (4.0, Tail::Upper(0.025), 8.767273069742325),
    (10.0, Tail::Lower(0.5), 9.668714614714132),
    (100.0, Tail::Lower(0.025), 81.36399125092314),
    (101.0, Tail::Upper(0.025), 121.62679379242638),
    (1000.5, Tail::Upper(1e-10), 1215.0497972191508),
    (10000.0, Tail::Lower(1e-10), 9376.961682044388),
    (123456.5, Tail::Upper(0.0005), 124615.94872994264),
    (1000000.0, Tail::Lower(0.025), 998040.9833402939),
    (1000000.0, Tail::Upper(1e-10), 1006374.5023623948),
];

fn relative_error(found: f64, expected: f64) -> f64 {
    ((found - expected) / expected).abs()
}

#[test]
fn tails_agree_with_fifty_digits() {
    for (shape, x, lower, upper) in TAILS {
        let found = (lower_tail(shape, x).unwrap(), upper_tail(shape, x).unwrap());
        let worst = relative_error(found.0, lower).max(relative_error(found.1, upper));
        assert!(worst < 1e-12, "shape {shape}, x = {x}: {found:?} is off by {worst:e}");
    }
}

#[test]
fn quantiles_agree_with_fifty_digits() {
    for (shape, tail, expected) in QUANTILES {
        let found = quantile(shape, tail).unwrap();
        let worst = relative_error(found, expected);
        // At shape 0.01 the point is the hundredth power of the tail.
        let tolerance = if shape < 0.1 { 2e-13 } else { 1e-14 };
        assert!(worst < tolerance, "shape {shape}, {tail:?}: {found} is off by {worst:e}");
    }
}

#[test]
fn printed_chi_square_tables_come_out() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.4, upper critical values of the
    // chi-square distribution; the digits are quoted from memory.
    for (degrees, upper, printed) in [
        (1, 0.05, "3.841"),
        (2, 0.05, "5.991"),
        (4, 0.025, "11.143"),
        (10, 0.05, "18.307"),
        (20, 0.01, "37.566"),
        (100, 0.05, "124.342"),
    ] {
        let found = chi_square_quantile(degrees, Tail::Upper(upper)).unwrap();
        assert_eq!(format!("{found:.3}"), printed, "{degrees} degrees of freedom, {upper}");
    }
}

#[test]
fn ends_and_nonsense_are_told_apart() {
    assert_eq!((lower_tail(2.5, 0.0), upper_tail(2.5, 0.0)), (Some(0.0), Some(1.0)));
    assert_eq!((lower_tail(2.5, f64::INFINITY), upper_tail(2.5, f64::INFINITY)), (Some(1.0), Some(0.0)));
    for shape in [0.0, -1.0, f64::NAN, f64::INFINITY, 2.0 * LARGEST_SHAPE] {
        assert_eq!((lower_tail(shape, 1.0), upper_tail(shape, 1.0)), (None, None), "shape {shape}");
        assert_eq!(quantile(shape, Tail::Lower(0.1)), None, "shape {shape}");
    }
    for x in [-1.0, f64::NAN, f64::NEG_INFINITY] {
        assert_eq!((lower_tail(1.0, x), upper_tail(1.0, x)), (None, None), "x = {x}");
    }
    for size in [0.0, 1.0, -0.1, f64::NAN, f64::INFINITY] {
        assert_eq!((quantile(1.5, Tail::Lower(size)), quantile(1.5, Tail::Upper(size))), (None, None), "{size}");
    }
    // 0.025^100000 is smaller than every f64.
    assert_eq!(quantile(1e-5, Tail::Lower(0.025)), Some(0.0));
}

#[test]
fn the_largest_shape_is_answered_with_sense() {
    // Cornish-Fisher: a + z sqrt(a) + (z^2 - 1)/3, whose error is of the order 1/sqrt(a).
    let z = 1.959_963_984_540_054_f64;
    for (tail, z) in [(Tail::Lower(0.025), -z), (Tail::Upper(0.025), z)] {
        let expected = LARGEST_SHAPE + z * LARGEST_SHAPE.sqrt() + (z * z - 1.0) / 3.0;
        let found = quantile(LARGEST_SHAPE, tail).unwrap();
        assert!((found - expected).abs() < 1e-3, "{tail:?}: {found}, expected {expected}");
    }
}

/// Returns shapes spread evenly over their logarithm.
fn shapes() -> impl Strategy<Value = f64> {
    (-3.0..5.0_f64).prop_map(|exponent| libm::pow(10.0, exponent))
}

proptest! {
    #[test]
    fn the_tail_at_a_quantile_is_what_was_asked(shape in shapes(), exponent in -12.0..-0.0001_f64) {
        let size = libm::pow(10.0, exponent);
        let of_lower = quantile(shape, Tail::Lower(size)).unwrap();
        let of_upper = quantile(shape, Tail::Upper(size)).unwrap();
        // A point too small for an f64 with all its digits has no tail to compare.
        if of_lower > 1e-300 {
            let lower = lower_tail(shape, of_lower).unwrap();
            prop_assert!(relative_error(lower, size) < 1e-11, "{of_lower} has the tail {lower}, not {size}");
        }
        if of_upper > 1e-300 {
            let upper = upper_tail(shape, of_upper).unwrap();
            prop_assert!(relative_error(upper, size) < 1e-11, "{of_upper} has the tail {upper}, not {size}");
        }
    }

    #[test]
    fn both_tails_add_up_to_one(shape in shapes(), times in 0.0..4.0_f64) {
        let x = shape * times;
        let sum = lower_tail(shape, x).unwrap() + upper_tail(shape, x).unwrap();
        prop_assert!((sum - 1.0).abs() < 1e-13, "the sum is {sum}");
    }

    #[test]
    fn neighbouring_shapes_differ_by_one_term(shape in 0.01..200.0_f64, times in 0.1..3.0_f64) {
        // P(a, x) - P(a + 1, x) = x^a e^-x / Gamma(a + 1) (DLMF 8.8.5).
        let x = shape * times;
        let term = libm::exp(shape * libm::log(x) - x - libm::lgamma(shape + 1.0));
        let difference = lower_tail(shape, x).unwrap() - lower_tail(shape + 1.0, x).unwrap();
        prop_assert!((difference - term).abs() < 1e-12, "{difference}, expected {term}");
    }

    #[test]
    fn no_input_gives_anything_but_a_probability_or_a_finite_point(shape: f64, x: f64, size in 0.0..1.0_f64) {
        for shape in [shape, shape % 1e4] {
            for tail in [lower_tail(shape, x), upper_tail(shape, x)].into_iter().flatten() {
                prop_assert!((0.0..=1.0).contains(&tail), "{tail}");
            }
            for tail in [Tail::Lower(size), Tail::Upper(size), Tail::Lower(x), Tail::Upper(x)] {
                let point = quantile(shape, tail);
                prop_assert!(point.is_none_or(|point| point.is_finite() && point >= 0.0), "{point:?}");
            }
        }
    }
}
