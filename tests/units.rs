//! Every unit a record may use against the published factors, and conversions worked out beforehand.
//!
//! The factors are those of NIST Special Publication 811 (2008), Appendix B.8, with the digits printed there. A factor that
//! is rounded there must agree to half a unit of its last digit; one that is exact must agree to the precision of the
//! arithmetic. Factors that B.8 does not list are marked as derived, with what they are derived from.

#![cfg(test)]

use pinindex::record::quantity::{Kind, UNITS};
use pinindex::record::{Measure, Quantity};
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// A factor to the unit of the SI, as printed.
enum Factor {
    Exact(&'static str),
    Rounded(&'static str),
}

use Factor::{Exact, Rounded};

/// Units of all measures but temperature, which has an offset. A pressure has the same factor above the room's and above
/// vacuum.
const FACTORS: [(&str, Factor); 24] = [
    // Pound-force per square inch (psi) to pascal.
    ("psi", Rounded("6.894757E+03")),
    ("psi absolute", Rounded("6.894757E+03")),
    // The prefix kilo.
    ("kPa", Exact("1.0E+03")),
    ("kPa absolute", Exact("1.0E+03")),
    ("bar", Exact("1.0E+05")),
    ("bar absolute", Exact("1.0E+05")),
    ("mbar", Exact("1.0E+02")),
    ("mbar absolute", Exact("1.0E+02")),
    // The prefix hecto.
    ("hPa", Exact("1.0E+02")),
    ("hPa absolute", Exact("1.0E+02")),
    // Centimetre of water, conventional.
    ("cmH2O", Exact("9.80665E+01")),
    ("cmH2O absolute", Exact("9.80665E+01")),
    // Millimetre of mercury, conventional.
    ("mmHg", Rounded("1.333224E+02")),
    ("mmHg absolute", Rounded("1.333224E+02")),
    ("L", Exact("1.0E-03")),
    // The prefix milli.
    ("mL", Exact("1.0E-06")),
    ("min", Exact("6.0E+01")),
    ("h", Exact("3.6E+03")),
    ("d", Exact("8.64E+04")),
    ("s", Exact("1.0E+00")),
    ("V", Exact("1.0E+00")),
    // Section 7.10.2: the symbol % stands for the number 0.01.
    ("%", Exact("1.0E-02")),
    // Derived: litre and minute.
    ("L/min", Rounded("1.666667E-05")),
    ("mL/min", Rounded("1.666667E-08")),
];

/// Derived from millilitre and conventional centimetre of water: 1.0E-06 / 9.80665E+01.
const COMPLIANCE: (&str, Factor) = ("mL/cmH2O", Rounded("1.019716E-08"));

fn quantity(text: &str) -> Quantity {
    text.parse().unwrap_or_else(|why| panic!("`{text}`: {why}"))
}

fn measure(text: &str) -> Measure {
    quantity(text).measure()
}

/// Returns half a unit of the last digit of a number such as `6.894757E+03`.
fn half_a_unit(printed: &str) -> f64 {
    let (digits, exponent) = printed.split_once('E').expect("a number with its power of ten");
    let places = digits.split_once('.').map_or(0, |(_, places)| places.len() as i32);
    0.5 * libm::pow(10.0, f64::from(exponent.parse::<i32>().expect("a power of ten") - places))
}

#[test]
fn every_factor_is_the_published_one() {
    for (unit, factor) in FACTORS.iter().chain([&COMPLIANCE]) {
        let ours = measure(&format!("1 {unit}")).si();
        let (printed, tolerance) = match factor {
            Exact(printed) => (printed, 4.0 * f64::EPSILON * ours),
            Rounded(printed) => (printed, half_a_unit(printed)),
        };
        let published: f64 = printed.parse().unwrap();
        assert!((ours - published).abs() <= tolerance, "1 {unit} is {ours} of the SI, published {printed}");
        // A factor is a factor: no unit but that of temperature has an offset.
        assert_eq!(measure(&format!("0 {unit}")).si(), 0.0, "{unit}");
    }
}

#[test]
fn celsius_has_the_published_offset() {
    // SP 811, B.8: T/K = t/°C + 273.15.
    for unit in ["°C", "degC"] {
        for (celsius, kelvin) in [("0", 273.15), ("-273.15", 0.0), ("21.1", 294.25), ("100", 373.15)] {
            let ours = measure(&format!("{celsius} {unit}")).si();
            assert!((ours - kelvin).abs() < 1e-9, "{celsius} {unit} is {ours} K");
        }
    }
}

#[test]
fn no_unit_is_without_a_published_factor() {
    let published: BTreeSet<&str> =
        FACTORS.iter().chain([&COMPLIANCE]).map(|(unit, _)| *unit).chain(["°C", "degC"]).collect();
    let known: BTreeSet<&str> = UNITS.iter().map(|unit| unit.symbol).collect();
    assert_eq!(known, published);
    assert_eq!(known.len(), UNITS.len(), "a unit stands twice in the list");
}

/// Conversions computed beforehand from the factors above, with the digits that were written down.
const COMPUTED: [(&str, &str); 21] = [
    ("50 psi", "344.738 kPa"),
    ("50 psi", "3.44738 bar"),
    ("45 psi", "310.264 kPa"),
    ("55 psi", "379.212 kPa"),
    ("1000 psi", "6894.757 kPa"),
    ("1000 psi", "68.9476 bar"),
    ("1900 psi", "13100.04 kPa"),
    ("2200 psi", "15168.47 kPa"),
    ("745 psi", "5136.594 kPa"),
    ("745 psi", "51.366 bar"),
    ("10000 kPa", "1450.377 psi"),
    ("400 kPa", "58.015 psi"),
    ("500 kPa", "72.519 psi"),
    ("30 cmH2O", "2.941995 kPa"),
    ("30 cmH2O", "22.0668 mmHg"),
    ("30 cmH2O", "0.426700 psi"),
    ("3 kPa", "30.5915 cmH2O"),
    ("53 kPa", "397.53 mmHg"),
    ("500 mmHg", "66.661 kPa"),
    ("400 mmHg", "53.329 kPa"),
    ("150 mL/min", "0.150 L/min"),
];

#[test]
fn conversions_give_the_computed_digits() {
    for (from, to) in COMPUTED {
        let (number, unit) = to.split_once(' ').unwrap();
        let places = number.split_once('.').map_or(0, |(_, places)| places.len());
        let converted = measure(from).si() / measure(&format!("1 {unit}")).si();
        assert_eq!(format!("{converted:.places$}"), number, "{from} in {unit}");
    }
}

#[test]
fn only_one_kind_of_measure_compares_with_itself() {
    for one in UNITS {
        for other in UNITS {
            let order = quantity(&format!("1 {}", one.symbol)).compare(&quantity(&format!("1 {}", other.symbol)));
            assert_eq!(order.is_some(), one.kind == other.kind, "{} with {}", one.symbol, other.symbol);
        }
    }
    // The case this is for: a barometer and a gauge, in the same unit and of the same number.
    assert_eq!(quantity("101.325 kPa").compare(&quantity("101.325 kPa absolute")), None);
    assert!(
        UNITS.iter().any(|u| u.kind == Kind::GaugePressure) && UNITS.iter().any(|u| u.kind == Kind::AbsolutePressure)
    );
}

#[test]
fn a_reading_at_a_limit_meets_it_in_every_unit() {
    let same = [
        // As published, with seven digits; no gauge shows more.
        ("50 psi", "344.73785 kPa"),
        ("750 mmHg", "99.9918 kPa"),
        ("30 cmH2O", "2.941995 kPa"),
        ("1 bar", "1000 mbar"),
        ("1 hPa", "1 mbar"),
        ("2 L/min", "2000 mL/min"),
        ("72 h", "3 d"),
        ("90 s", "1.5 min"),
    ];
    for (one, other) in same {
        assert_eq!(quantity(one).compare(&quantity(other)), Some(Ordering::Equal), "{one} and {other}");
    }
    let less = [("49.99 psi", "344.73785 kPa"), ("30 cmH2O", "3 kPa"), ("-54 kPa", "-400 mmHg"), ("9.9 s", "10 s")];
    for (one, other) in less {
        assert_eq!(quantity(one).compare(&quantity(other)), Some(Ordering::Less), "{one} and {other}");
        assert_eq!(quantity(other).compare(&quantity(one)), Some(Ordering::Greater), "{other} and {one}");
    }
}

/// The line of a unit is what others compute with; it must lead to what the library of units says.
#[test]
fn the_line_of_a_unit_is_its_factor() {
    for unit in UNITS {
        for number in ["0", "1", "-3.7", "29.5", "999999"] {
            let quantity = quantity(&format!("{number} {}", unit.symbol));
            let (by_line, by_library) = (quantity.si(), quantity.measure().si());
            assert!((by_line - by_library).abs() <= 1e-15 * by_library.abs(), "{quantity}: {by_line}, {by_library}");
        }
    }
}
