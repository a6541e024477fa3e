//! From what a person put in to an answer, forgiving in form and strict in meaning.
//!
//! A bare number gets the unit that was shown, a unit may be written in any case, and a decimal comma is a point; what
//! was understood is always shown back. What could mean two things is asked again. The page does the same in its own
//! language, and one table of cases holds the two together (`tests/page/`).

use super::step::Step;
use crate::procedure::answer::why_unfit;
use crate::record::quantity::{UNITS, nearest};
use crate::record::{Answer, Kind, Quantity};
use serde::{Deserialize, Serialize};

/// What was put in for one place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Typed {
    Pass,
    Fail,
    Choice(String),
    NotDone(String),
    Reading(String),
    Held(String),
    PressureHeld { from: String, to: String, time: String },
}

/// Returns the answer that was meant.
///
/// # Errors
/// In a sentence: what cannot be understood, or does not fit the item, and what to type instead.
pub fn answer(step: &Step<'_>, typed: &Typed) -> Result<Answer, String> {
    let answer = match typed {
        Typed::Pass => Answer::Pass,
        Typed::Fail => Answer::Fail,
        Typed::Choice(word) => Answer::Choice(word.clone()),
        Typed::NotDone(because) if because.trim().is_empty() => return Err("say why it was not done".to_owned()),
        Typed::NotDone(because) => Answer::NotDone(because.trim().to_owned()),
        Typed::Reading(text) => Answer::Reading(quantity(text, step.unit())?),
        Typed::Held(text) => Answer::Held(time(text, step.unit())?),
        Typed::PressureHeld { from, to, time: watched } => Answer::PressureHeld {
            from: of_kind(quantity(from, step.unit())?, Kind::GaugePressure)?,
            to: of_kind(quantity(to, step.unit())?, Kind::GaugePressure)?,
            time: time(watched, Some("s"))?,
        },
    };
    match why_unfit(step.item(), step.limits(), &answer) {
        None => Ok(answer),
        Some(why) => Err(why),
    }
}

/// Returns the length of time that was meant. A record takes no other quantity in its place, and none below zero.
fn time(text: &str, unit: Option<&str>) -> Result<Quantity, String> {
    let time = of_kind(quantity(text, unit)?, Kind::Duration)?;
    if time.number().starts_with('-') { Err("a time has no minus".to_owned()) } else { Ok(time) }
}

fn of_kind(quantity: Quantity, kind: Kind) -> Result<Quantity, String> {
    if quantity.kind() == kind {
        return Ok(quantity);
    }
    Err(format!("{quantity} is {}, not {}", quantity.kind().words(), kind.words()))
}

/// Returns the quantity that was meant; a bare number is one of `unit`.
///
/// # Errors
/// In a sentence: what cannot be understood, and what to type instead.
pub fn quantity(text: &str, unit: Option<&str>) -> Result<Quantity, String> {
    let text = text.trim().replace('\u{2212}', "-");
    let digits = text.strip_prefix('-').unwrap_or(&text);
    let whole = digits.bytes().take_while(u8::is_ascii_digit).count();
    if whole == 0 {
        return Err("a number is needed here".to_owned());
    }
    let (whole, rest) = digits.split_at(whole);
    let places = rest.strip_prefix([',', '.']).map_or("", |rest| {
        let places = rest.bytes().take_while(u8::is_ascii_digit).count();
        rest.get(..places).unwrap_or_default()
    });
    if rest.starts_with(',') && places.len() == 3 && whole != "0" {
        return Err(format!(
            "`{whole},{places}` could mean {whole}{places} or {whole}.{places}: write the one you mean"
        ));
    }
    if rest.starts_with([',', '.']) && places.is_empty() {
        return Err(format!("after `{whole}` a digit is missing"));
    }
    let rest = if places.is_empty() { rest } else { rest.get(1 + places.len()..).unwrap_or_default() };
    let written = rest.trim();
    let symbol = match (written, unit) {
        ("", Some(unit)) => unit,
        ("", None) => return Err("write the unit after the number, such as `1250 psi`".to_owned()),
        (written, _) => {
            let known = UNITS.iter().map(|unit| unit.symbol).find(|symbol| *symbol == written);
            known.or_else(|| nearest(written)).ok_or_else(|| format!("`{written}` is no unit known here"))?
        }
    };
    let sign = if text.starts_with('-') { "-" } else { "" };
    let point = if places.is_empty() { "" } else { "." };
    format!("{sign}{whole}{point}{places} {symbol}").parse().map_err(|_| "more digits than any gauge shows".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(text: &str) -> Result<String, String> {
        quantity(text, Some("psi")).map(|quantity| quantity.to_string())
    }

    #[test]
    fn what_people_type_is_understood() {
        for (typed, meant) in [
            ("1250", "1250 psi"),
            (" 1250 PSI ", "1250 psi"),
            ("86bar", "86 bar"),
            ("86,5 Bar", "86.5 bar"),
            ("0,125 kpa", "0.125 kPa"),
            ("\u{2212}53 kPa", "-53 kPa"),
            ("1250 psig", "1250 psi"),
            ("30.0 cmh20", "30.0 cmH2O"),
        ] {
            assert_eq!(q(typed).as_deref(), Ok(meant), "{typed}");
        }
    }

    #[test]
    fn a_time_is_a_time_and_not_below_zero() {
        assert_eq!(time("10", Some("s")).map(|time| time.to_string()).as_deref(), Ok("10 s"));
        assert_eq!(time("-5", Some("s")).unwrap_err(), "a time has no minus");
        assert_eq!(time("12 psi", None).unwrap_err(), "12 psi is a gauge pressure, not a time");
    }

    #[test]
    fn what_could_mean_two_things_is_asked_again() {
        assert_eq!(q("1,250 psi").unwrap_err(), "`1,250` could mean 1250 or 1.250: write the one you mean");
        assert_eq!(q("").unwrap_err(), "a number is needed here");
        assert_eq!(q("psi").unwrap_err(), "a number is needed here");
        assert_eq!(q("12.").unwrap_err(), "after `12` a digit is missing");
        assert_eq!(q("12 furlongs").unwrap_err(), "`furlongs` is no unit known here");
        assert_eq!(q("1234567890123456").unwrap_err(), "more digits than any gauge shows");
        assert_eq!(quantity("12", None).unwrap_err(), "write the unit after the number, such as `1250 psi`");
    }
}
