//! Readings: a number with its unit, as written, and what it measures.
//!
//! Dimensions and factors come from `uom`, whose factors are those of NIST SP 811; the pressures of the trade are
//! conventional ones (mmHg and cmH2O at standard gravity). A gauge pressure and an absolute pressure are
//! different types, so that a barometer can never be compared with a pipeline gauge.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;
use uom::si::{
    electric_potential::volt,
    f64 as si,
    pressure::{bar, centimeter_of_water, hectopascal, kilopascal, millibar, millimeter_of_mercury, psi},
    ratio::percent,
    thermodynamic_temperature::degree_celsius,
    time::{day, hour, minute, second},
    volume::{liter, milliliter},
    volume_rate::liter_per_minute,
};

/// A pressure above (or, negative, below) that of the room.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct GaugePressure(pub si::Pressure);

/// A pressure above vacuum.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct AbsolutePressure(pub si::Pressure);

/// The volume a breathing system takes up for each step of pressure, in m³ per pascal.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Compliance(pub f64);

/// What a quantity measures, in units of the SI.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub enum Measure {
    GaugePressure(GaugePressure),
    AbsolutePressure(AbsolutePressure),
    Flow(si::VolumeRate),
    Volume(si::Volume),
    Share(si::Ratio),
    Duration(si::Time),
    Voltage(si::ElectricPotential),
    Temperature(si::ThermodynamicTemperature),
    Compliance(Compliance),
}

/// The kinds of measure, by the names procedures use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    GaugePressure,
    AbsolutePressure,
    Flow,
    Volume,
    Share,
    Duration,
    Voltage,
    Temperature,
    Compliance,
}

impl Kind {
    /// Returns the kind in words, with its article.
    pub fn words(self) -> &'static str {
        match self {
            Kind::GaugePressure => "a gauge pressure",
            Kind::AbsolutePressure => "an absolute pressure",
            Kind::Flow => "a flow",
            Kind::Volume => "a volume",
            Kind::Share => "a percentage",
            Kind::Duration => "a time",
            Kind::Voltage => "a voltage",
            Kind::Temperature => "a temperature",
            Kind::Compliance => "a compliance",
        }
    }

    /// Returns the units of this kind, the most usual one first.
    pub fn units(self) -> Vec<&'static str> {
        UNITS.iter().filter(|u| u.kind == self).map(|u| u.symbol).collect()
    }
}

/// A unit that may be written in a record.
#[derive(Debug)]
pub struct Unit {
    pub symbol: &'static str,
    pub kind: Kind,
    measure: fn(f64) -> Measure,
}

impl Unit {
    /// Returns the unit as a line, `si = factor · number + offset`: whoever takes these two numbers, on whatever
    /// machine and in whatever language, comes to the same value to the last bit.
    pub fn line(&self) -> (f64, f64) {
        let offset = (self.measure)(0.0).si();
        ((self.measure)(1.0).si() - offset, offset)
    }
}

macro_rules! units {
    ($($symbol:literal $kind:ident $make:expr;)*) => {
        /// Every unit a record may use. A pressure unit means gauge pressure; ` absolute` after it, absolute pressure.
        pub const UNITS: &[Unit] = &[$(Unit { symbol: $symbol, kind: Kind::$kind, measure: |v| Measure::$kind($make(v)) }),*];
    };
}

units! {
    "psi" GaugePressure |v| GaugePressure(si::Pressure::new::<psi>(v));
    "kPa" GaugePressure |v| GaugePressure(si::Pressure::new::<kilopascal>(v));
    "bar" GaugePressure |v| GaugePressure(si::Pressure::new::<bar>(v));
    "mbar" GaugePressure |v| GaugePressure(si::Pressure::new::<millibar>(v));
    "hPa" GaugePressure |v| GaugePressure(si::Pressure::new::<hectopascal>(v));
    "cmH2O" GaugePressure |v| GaugePressure(si::Pressure::new::<centimeter_of_water>(v));
    "mmHg" GaugePressure |v| GaugePressure(si::Pressure::new::<millimeter_of_mercury>(v));
    "psi absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<psi>(v));
    "kPa absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<kilopascal>(v));
    "bar absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<bar>(v));
    "mbar absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<millibar>(v));
    "hPa absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<hectopascal>(v));
    "cmH2O absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<centimeter_of_water>(v));
    "mmHg absolute" AbsolutePressure |v| AbsolutePressure(si::Pressure::new::<millimeter_of_mercury>(v));
    "L/min" Flow si::VolumeRate::new::<liter_per_minute>;
    "mL/min" Flow |v| si::Volume::new::<milliliter>(v) / si::Time::new::<minute>(1.0);
    "L" Volume si::Volume::new::<liter>;
    "mL" Volume si::Volume::new::<milliliter>;
    "%" Share si::Ratio::new::<percent>;
    "s" Duration si::Time::new::<second>;
    "min" Duration si::Time::new::<minute>;
    "h" Duration si::Time::new::<hour>;
    "d" Duration si::Time::new::<day>;
    "V" Voltage si::ElectricPotential::new::<volt>;
    "°C" Temperature si::ThermodynamicTemperature::new::<degree_celsius>;
    "degC" Temperature si::ThermodynamicTemperature::new::<degree_celsius>;
    "mL/cmH2O" Compliance |v| Compliance(v * si::Volume::new::<milliliter>(1.0).value
        / si::Pressure::new::<centimeter_of_water>(1.0).value);
}

impl Measure {
    /// Returns what kind of measure this is.
    pub fn kind(self) -> Kind {
        match self {
            Measure::GaugePressure(_) => Kind::GaugePressure,
            Measure::AbsolutePressure(_) => Kind::AbsolutePressure,
            Measure::Flow(_) => Kind::Flow,
            Measure::Volume(_) => Kind::Volume,
            Measure::Share(_) => Kind::Share,
            Measure::Duration(_) => Kind::Duration,
            Measure::Voltage(_) => Kind::Voltage,
            Measure::Temperature(_) => Kind::Temperature,
            Measure::Compliance(_) => Kind::Compliance,
        }
    }

    /// Returns the value in the unit of the SI (Pa, m³/s, m³, 1, s, V, K, m³/Pa).
    pub fn si(self) -> f64 {
        match self {
            Measure::GaugePressure(GaugePressure(p)) | Measure::AbsolutePressure(AbsolutePressure(p)) => p.value,
            Measure::Flow(q) => q.value,
            Measure::Volume(v) => v.value,
            Measure::Share(r) => r.value,
            Measure::Duration(t) => t.value,
            Measure::Voltage(u) => u.value,
            Measure::Temperature(t) => t.value,
            Measure::Compliance(c) => c.0,
        }
    }
}

/// The most characters of a number; no gauge shows more.
const LONGEST: usize = 15;

/// A quantity as it was written, with its measure.
///
/// The digits lie in it and not beside it: a logbook holds millions of them.
#[derive(Clone)]
pub struct Quantity {
    digits: [u8; LONGEST],
    length: u8,
    value: f64,
    unit: &'static Unit,
}

impl Quantity {
    /// Returns what it measures.
    pub fn measure(&self) -> Measure {
        (self.unit.measure)(self.value)
    }

    /// Returns the number as written.
    pub fn number(&self) -> &str {
        let written = self.digits.get(..usize::from(self.length)).and_then(|digits| std::str::from_utf8(digits).ok());
        written.expect("the digits were copied from a text of at most so many bytes")
    }

    /// Returns the unit's symbol as written.
    pub fn symbol(&self) -> &'static str {
        self.unit.symbol
    }

    /// Returns the value in the unit of the SI, by the line of its unit.
    pub fn si(&self) -> f64 {
        let (factor, offset) = self.unit.line();
        factor * self.value + offset
    }

    /// Compares two quantities of one kind; gives nothing for different kinds.
    ///
    /// Values that differ by less than one part in 10⁹ are equal: that is the rounding of a unit conversion,
    /// far below what any gauge shows, and a reading exactly at a limit must meet it in every unit.
    pub fn compare(&self, other: &Quantity) -> Option<Ordering> {
        if self.unit.kind != other.unit.kind {
            return None;
        }
        let (a, b) = (self.si(), other.si());
        if (a - b).abs() <= 1e-9 * a.abs().max(b.abs()) { Some(Ordering::Equal) } else { a.partial_cmp(&b) }
    }

    /// Returns what it measures, as a kind.
    pub fn kind(&self) -> Kind {
        self.unit.kind
    }

    /// Returns how much one of its unit is in the unit of the SI.
    pub fn factor(&self) -> f64 {
        self.unit.line().0
    }

    /// Returns another number with the same unit; nothing for a text that no record could hold as a number.
    pub fn same_unit(&self, number: &str) -> Option<Quantity> {
        match split(number) {
            Ok((number, "")) => Quantity::of(number, self.unit).ok(),
            _ => None,
        }
    }

    fn of(number: &str, unit: &'static Unit) -> Result<Quantity, NotAQuantity> {
        let value: f64 = number.parse().map_err(|_| NotAQuantity::NoNumber)?;
        let mut digits = [0; LONGEST];
        digits.get_mut(..number.len()).ok_or(NotAQuantity::TooLong)?.copy_from_slice(number.as_bytes());
        Ok(Quantity { digits, length: number.len() as u8, value, unit })
    }

    /// Returns a duration in seconds, rounded to the nearest; nothing for another kind, and nothing for more than
    /// three centuries, with which nobody can count.
    pub fn seconds(&self) -> Option<i64> {
        match self.measure() {
            Measure::Duration(t) if t.value.abs() <= 1e10 => Some(t.value.round() as i64),
            _ => None,
        }
    }
}

/// Two quantities are equal when they are written alike.
impl PartialEq for Quantity {
    fn eq(&self, other: &Quantity) -> bool {
        self.number() == other.number() && self.symbol() == other.symbol()
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.number(), self.symbol())
    }
}

impl fmt::Debug for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotAQuantity {
    /// There is no number at the front.
    NoNumber,
    /// The number is written with a comma.
    DecimalComma,
    /// The number has no unit after it.
    NoUnit,
    /// The unit is none that records know; with the nearest known one, if there is a near one.
    UnknownUnit { unit: String, nearest: Option<&'static str> },
    /// The number is too long to be a reading.
    TooLong,
}

impl fmt::Display for NotAQuantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotAQuantity::NoNumber => write!(f, "no number at the front"),
            NotAQuantity::DecimalComma => write!(f, "a decimal comma; write a point"),
            NotAQuantity::NoUnit => write!(f, "no unit after the number"),
            NotAQuantity::UnknownUnit { unit, nearest: Some(nearest) } => {
                write!(f, "`{unit}` is no unit known here; did you mean `{nearest}`?")
            }
            NotAQuantity::UnknownUnit { unit, nearest: None } => write!(f, "`{unit}` is no unit known here"),
            NotAQuantity::TooLong => write!(f, "more digits than any gauge shows"),
        }
    }
}

impl std::error::Error for NotAQuantity {}

impl FromStr for Quantity {
    type Err = NotAQuantity;

    fn from_str(text: &str) -> Result<Quantity, NotAQuantity> {
        let (number, unit) = split(text.trim())?;
        if unit.is_empty() {
            return Err(NotAQuantity::NoUnit);
        }
        let unit = UNITS
            .iter()
            .find(|u| u.symbol == unit)
            .ok_or_else(|| NotAQuantity::UnknownUnit { unit: unit.to_owned(), nearest: nearest(unit) })?;
        Quantity::of(number, unit)
    }
}

/// Splits a text into its number and what stands after it.
fn split(text: &str) -> Result<(&str, &str), NotAQuantity> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let whole = digits.bytes().take_while(u8::is_ascii_digit).count();
    if whole == 0 {
        return Err(NotAQuantity::NoNumber);
    }
    let mut end = text.len() - digits.len() + whole;
    let rest = &text[end..];
    if rest.starts_with(',') && rest[1..].starts_with(|c: char| c.is_ascii_digit()) {
        return Err(NotAQuantity::DecimalComma);
    }
    if let Some(fraction) = rest.strip_prefix('.') {
        let places = fraction.bytes().take_while(u8::is_ascii_digit).count();
        if places == 0 {
            return Err(NotAQuantity::NoNumber);
        }
        end += 1 + places;
    }
    if end > LONGEST {
        return Err(NotAQuantity::TooLong);
    }
    Ok((&text[..end], text[end..].trim_start()))
}

/// How people spell units, in small letters, and the unit they mean.
pub const SPELLINGS: &[(&str, &str)] = &[
    ("psig", "psi"),
    ("lbf/in2", "psi"),
    ("psis", "psi"),
    ("psia", "psi absolute"),
    ("cmh20", "cmH2O"),
    ("cmwater", "cmH2O"),
    ("cmwg", "cmH2O"),
    ("torr", "mmHg"),
    ("lpm", "L/min"),
    ("l/m", "L/min"),
    ("liter/min", "L/min"),
    ("litre/min", "L/min"),
    ("ml/m", "mL/min"),
    ("cc/min", "mL/min"),
    ("cc", "mL"),
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("mins", "min"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("day", "d"),
    ("days", "d"),
    ("percent", "%"),
    ("pct", "%"),
    ("c", "°C"),
    ("celsius", "°C"),
    ("volt", "V"),
    ("volts", "V"),
];

/// Returns the known unit a mistyped one probably means: the same letters in another case, or a common spelling.
pub fn nearest(unit: &str) -> Option<&'static str> {
    let plain: String = unit.to_lowercase().chars().filter(|c| c.is_alphanumeric() || *c == '/' || *c == '%').collect();
    let spelled = SPELLINGS.iter().find(|(spelling, _)| *spelling == plain).map(|(_, symbol)| *symbol);
    spelled.or_else(|| UNITS.iter().map(|u| u.symbol).find(|s| s.to_lowercase() == plain))
}

impl Serialize for Quantity {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Quantity {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Quantity, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(text: &str) -> Quantity {
        text.parse().unwrap()
    }

    #[test]
    fn keeps_what_was_written() {
        assert_eq!(q("1250psi").to_string(), "1250 psi");
        assert_eq!(q("20.90 %").number(), "20.90");
        assert_eq!(q("-53 kPa").to_string(), "-53 kPa");
    }

    #[test]
    fn another_number_keeps_the_unit() {
        assert_eq!(q("1 cmH2O").same_unit("-12.5").unwrap().to_string(), "-12.5 cmH2O");
        assert_eq!(q("123456789012345 s").number(), "123456789012345");
        for no_number in ["", "-", "inf", "NaN", "1e3", "1 psi", "1.", "1234567890123456"] {
            assert_eq!(q("1 cmH2O").same_unit(no_number), None, "{no_number}");
        }
    }

    #[test]
    fn says_what_is_wrong() {
        assert_eq!("1250".parse::<Quantity>(), Err(NotAQuantity::NoUnit));
        assert_eq!("12,5 kPa".parse::<Quantity>(), Err(NotAQuantity::DecimalComma));
        assert_eq!("psi".parse::<Quantity>(), Err(NotAQuantity::NoNumber));
        assert_eq!("1e400 psi".parse::<Quantity>().unwrap_err().to_string(), "`e400 psi` is no unit known here");
        assert_eq!(
            "1250 PSIG".parse::<Quantity>().unwrap_err().to_string(),
            "`PSIG` is no unit known here; did you mean `psi`?"
        );
        assert_eq!(
            "30 cmh2o".parse::<Quantity>().unwrap_err().to_string(),
            "`cmh2o` is no unit known here; did you mean `cmH2O`?"
        );
        assert_eq!("1234567890123456 psi".parse::<Quantity>(), Err(NotAQuantity::TooLong));
    }

    #[test]
    fn gauge_and_absolute_do_not_compare() {
        assert_eq!(q("101.325 kPa").compare(&q("101.325 kPa absolute")), None);
    }

    #[test]
    fn thirty_centimetres_of_water_are_not_three_kilopascals() {
        assert_eq!(q("30 cmH2O").compare(&q("3 kPa")), Some(Ordering::Less));
        assert_eq!(q("30 cmH2O").compare(&q("30.0 cmH2O")), Some(Ordering::Equal));
        assert_eq!(q("60 s").compare(&q("1 min")), Some(Ordering::Equal));
    }
}
