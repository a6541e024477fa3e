//! What people write for each item: the usual answer, or the answer of an item that fails.
//!
//! Takes an item with the limits in force for a machine and what its gauges show. Readings have the resolution of their
//! gauge. An item that is not known here by its id is answered from its kind and its limits.

use super::chance::Chance;
use super::gauges::Gauges;
use super::machines::scaled;
use crate::procedure::item::Meaning;
use crate::procedure::judgement::limits_in_force;
use crate::procedure::{AnswerKind, Item, Verdict, judge_answer};
use crate::record::{Answer, Quantity};
use crate::register::{Limit, LimitOf, Machine};
use chrono::NaiveDate;

/// A machine as somebody finds it.
pub struct Look<'a> {
    pub seed: u64,
    pub machine: &'a Machine,
    pub gauges: &'a Gauges,
    pub day: NaiveDate,
    /// Whether its label says that it is restricted.
    pub restricted: bool,
}

/// Usual readings: item, smallest, largest and step in the last decimal place, decimals, unit.
const USUAL: [(&str, i64, i64, i64, u32, &str); 9] = [
    ("suction-vacuum", -520, -430, 10, 0, "mmHg"),
    ("suction-flow", 42, 56, 1, 0, "L/min"),
    ("battery", 30, 36, 1, 0, "min"),
    ("oxygen-failure-alarm", 8, 14, 1, 0, "s"),
    ("oxygen-flush", 44, 62, 1, 0, "L/min"),
    ("hypoxic-guard", 25, 28, 1, 0, "%"),
    ("vaporizer-output", 18, 22, 1, 1, "%"),
    ("low-pressure-leak-flow", 10, 40, 10, 0, "mL/min"),
    ("circuit-leak-flow", 20, 130, 10, 0, "mL/min"),
];

/// Returns an answer that passes.
pub fn passing(item: &Item, each: Option<&str>, look: &Look<'_>, chance: &mut Chance) -> Answer {
    let limits = limits_in_force(item, look.machine);
    match item.answer {
        AnswerKind::Confirm => Answer::Pass,
        AnswerKind::Choice => Answer::Choice(word(item, Meaning::Pass, look.restricted, chance)),
        AnswerKind::Hold => {
            let more = chance.pick(&[0, 0, 0, 0, 1, 2, 5]).copied().unwrap_or(0);
            Answer::Held(seconds(least(&limits, LimitOf::Held), 10, more))
        }
        AnswerKind::PressureHeld => pressure_held(&limits, look, chance, false),
        AnswerKind::Reading => {
            let usual = usual(item, each, look, chance).map(Answer::Reading);
            let fits = |answer: &Answer| judge_answer(item, &limits, answer) == Verdict::Pass;
            match usual {
                // The cylinder is what it is; whether that is enough is judged later.
                Some(answer) if item.id == "spare-oxygen-cylinder" || fits(&answer) => answer,
                _ => Answer::Reading(within(item, &limits, chance)),
            }
        }
    }
}

/// Returns an answer that fails.
pub fn failing(item: &Item, look: &Look<'_>, chance: &mut Chance) -> Answer {
    let limits = limits_in_force(item, look.machine);
    let answer = match item.answer {
        AnswerKind::Confirm => Answer::Fail,
        AnswerKind::Choice => Answer::Choice(word(item, Meaning::Fail, false, chance)),
        AnswerKind::Hold => Answer::Held(scaled(chance.between(2, 7), 0, "s")),
        AnswerKind::PressureHeld => pressure_held(&limits, look, chance, true),
        AnswerKind::Reading => Answer::Reading(outside(item, &limits, chance)),
    };
    // A limit that this file does not foresee: the person then writes that the item failed, without a number.
    if judge_answer(item, &limits, &answer) == Verdict::Fail { answer } else { Answer::Fail }
}

/// Returns the seconds that an answer takes by itself.
pub fn seconds_of(answer: &Answer) -> i64 {
    match answer {
        Answer::Held(time) | Answer::PressureHeld { time, .. } | Answer::Reading(time) => time.seconds().unwrap_or(0),
        _ => 0,
    }
}

fn usual(item: &Item, each: Option<&str>, look: &Look<'_>, chance: &mut Chance) -> Option<Quantity> {
    match item.id.as_str() {
        "spare-oxygen-cylinder" => Some(scaled(look.gauges.cylinder_psi(), 0, "psi")),
        "oxygen-monitor-air" => Some(look.gauges.room_air(look.day, chance)),
        "oxygen-monitor-flush" => Some(look.gauges.after_flush(look.day, chance)),
        "pipeline-pressure" => Some(look.gauges.pipeline(look.seed, each.unwrap_or("oxygen"), look.day)),
        id => USUAL.iter().find(|usual| usual.0 == id).map(|(_, low, high, step, decimals, unit)| {
            let steps = chance.between(0, (high - low) / step);
            scaled(low + steps * step, *decimals, unit)
        }),
    }
}

fn word(item: &Item, meaning: Meaning, restricted: bool, chance: &mut Chance) -> String {
    let means = |word: &&String| item.choices.get(*word) == Some(&meaning);
    let words: Vec<&String> = item.choices.keys().filter(means).collect();
    let fitting: Vec<&String> = words.iter().copied().filter(|w| (*w == "restricted") == restricted).collect();
    let from = if fitting.is_empty() { &words } else { &fitting };
    chance.pick(from).map(|word| (*word).clone()).unwrap_or_default()
}

fn pressure_held(limits: &[&Limit], look: &Look<'_>, chance: &mut Chance, fails: bool) -> Answer {
    let from = least(limits, LimitOf::From);
    let fall = limits.iter().find(|l| l.of == LimitOf::Fall).and_then(|l| l.at_most.as_ref().or(l.below.as_ref()));
    let unit = from.or(fall).map_or("cmH2O", Quantity::symbol);
    // A cylinder's gauge has steps of 50 psi, that of a breathing system steps of 1 cmH2O.
    let (step, start) = match unit {
        "psi" => (50, look.gauges.cylinder_psi()),
        _ => (1, from.map_or(30, |q| hundredths(q) / 100) + chance.pick(&[0, 0, 0, 1, 2]).copied().unwrap_or(0)),
    };
    let allowed = fall.map_or(step, |q| hundredths(q) / 100) / step;
    let inclusive = limits.iter().any(|l| l.of == LimitOf::Fall && l.at_most.is_some());
    let steps = match fails {
        true => chance.between(allowed + 2, allowed + 9),
        false if inclusive => chance.between(-2, allowed).max(0),
        false => chance.between(-2, allowed - 1).max(0),
    };
    Answer::PressureHeld {
        from: scaled(start, 0, unit),
        to: scaled((start - steps * step).max(0), 0, unit),
        time: seconds(least(limits, LimitOf::In), 10, 0),
    }
}

/// Returns the smallest value that a limit allows for one part of an answer.
fn least<'a>(limits: &[&'a Limit], of: LimitOf) -> Option<&'a Quantity> {
    limits.iter().find(|limit| limit.of == of).and_then(|limit| limit.at_least.as_ref())
}

/// Returns a time some steps longer than the least, in the unit of the least.
fn seconds(least: Option<&Quantity>, otherwise: i64, more: i64) -> Quantity {
    match least {
        Some(q) => scaled(hundredths(q) / 100 + more, 0, q.symbol()),
        None => scaled(otherwise + more, 0, "s"),
    }
}

/// Returns the bounds of a reading in hundredths of their unit, with the unit.
fn bounds(item: &Item, limits: &[&Limit]) -> (Option<i64>, Option<i64>, &'static str) {
    let limit = limits.iter().find(|limit| limit.of == LimitOf::Reading);
    let low = limit.and_then(|l| l.at_least.as_ref().or(l.above.as_ref()));
    let high = limit.and_then(|l| l.at_most.as_ref().or(l.below.as_ref()));
    let unit = low.or(high).map(Quantity::symbol);
    let unit = unit.or_else(|| item.measures.and_then(|kind| kind.units().first().copied())).unwrap_or("s");
    (low.map(hundredths), high.filter(|q| q.symbol() == unit).map(hundredths), unit)
}

/// Returns the step of a gauge that shows this unit, in hundredths.
fn step(unit: &str, bound: i64) -> i64 {
    match unit {
        "mL/min" | "mmHg" => 1_000,
        "psi" if bound > 30_000 => 5_000,
        "%" if bound < 3_000 => 10,
        "V" => 10,
        _ => 100,
    }
}

fn within(item: &Item, limits: &[&Limit], chance: &mut Chance) -> Quantity {
    let (low, high, unit) = bounds(item, limits);
    let step = step(unit, low.or(high).unwrap_or(0));
    let value = match (low, high) {
        (Some(low), Some(high)) => low + (high - low) * chance.between(30, 70) / 100,
        (Some(low), None) => low + low.abs() * chance.between(3, 20) / 100 + step,
        (None, Some(high)) if high > 0 => high * chance.between(20, 75) / 100,
        (None, Some(high)) => high - high.abs() * chance.between(5, 25) / 100,
        (None, None) => chance.between(1, 9) * step,
    };
    tidy(value, step, unit)
}

fn outside(item: &Item, limits: &[&Limit], chance: &mut Chance) -> Quantity {
    let (low, high, unit) = bounds(item, limits);
    let step = step(unit, low.or(high).unwrap_or(0));
    let value = match (low, high) {
        (Some(low), _) => low - (low.abs() * chance.between(4, 14) / 100).max(step),
        (None, Some(high)) => high + (high.abs() * chance.between(6, 30) / 100).max(step),
        (None, None) => 0,
    };
    tidy(value, step, unit)
}

/// Rounds hundredths to the step of a gauge.
fn tidy(hundredths: i64, step: i64, unit: &str) -> Quantity {
    let value = (hundredths + hundredths.signum() * step / 2) / step * step;
    match step {
        10 => scaled(value / 10, 1, unit),
        _ => scaled(value / 100, 0, unit),
    }
}

/// Returns the number of a quantity in hundredths of its unit.
fn hundredths(quantity: &Quantity) -> i64 {
    let number = quantity.number();
    let (sign, digits) = number.strip_prefix('-').map_or((1, number), |rest| (-1, rest));
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let fraction: String = fraction.chars().chain("00".chars()).take(2).collect();
    sign * (whole.parse::<i64>().unwrap_or(0) * 100 + fraction.parse::<i64>().unwrap_or(0))
}
