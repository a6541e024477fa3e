//! Whether a number can be true: what no gauge shows and nobody waits for is most likely a slip of the finger.
//!
//! Takes an item, its limits and the machine, and gives the range in which a number of its answers is believed. It is no
//! limit: a number outside fails nothing, it is asked once more. The page compares in the same way, by the same numbers.

use super::item::{AnswerKind, Each, Item};
use crate::gas::cylinder::most_shown;
use crate::record::{Answer, Kind, Quantity};
use crate::register::{Limit, LimitOf, Machine};
use serde::Serialize;

/// The range in which a number of an item's answers is believed.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Belief {
    pub lowest: Option<Edge>,
    pub highest: Option<Edge>,
    /// Nobody holds or watches for longer.
    pub longest: Option<Quantity>,
    /// The share of its start by which a pressure that is watched may rise.
    pub largest_rise: f64,
}

/// One end of the range.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Edge {
    pub at: Quantity,
    /// How many times `at` it is.
    pub times: f64,
    pub why: String,
    /// Whether a number beyond it most likely lacks its minus.
    pub lacks_minus: bool,
}

/// A number that is hard to believe.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// The field of the answer that holds it.
    pub field: &'static str,
    pub number: Quantity,
    pub why: String,
}

/// The pressure of the standard atmosphere, ISO 2533:1975: no vacuum is deeper than the air around it.
const WHOLE_VACUUM: &str = "-101.325 kPa";
/// The air's own pressure differs with the weather, by less than this factor.
const WEATHER: f64 = 1.1;
/// The usual pressure of a medical gas pipeline (common practice: 400 kPa, or 50 to 55 psi).
const PIPELINE: &str = "400 kPa";
/// No pipeline comes near this many times the usual pressure; 52 bar and 400 psi do (our own choice).
const BEYOND_PIPELINE: f64 = 5.0;
/// The highest pressure to which cylinders of medical gas are filled (common practice).
const FULLEST: &str = "300 bar";
/// A gauge beside a cylinder shows more on a warm day, but not by this factor (our own choice).
const WARM: f64 = 1.25;
/// Nobody pumps a breathing system up to this many times the pressure at which it is watched (our own choice).
const BEYOND_START: f64 = 5.0;
/// Nobody watches a leak for longer than this (our own choice).
const LONGEST_WATCH: &str = "1 h";
/// A pressure that rises by more than this share of its start was read or written wrongly (our own choice).
const LARGEST_RISE: f64 = 0.1;

impl Doubt {
    /// Returns the question that is asked before it is taken, in words.
    pub fn words(&self) -> String {
        format!("{}? It is hard to believe: {}", self.number, self.why)
    }
}

impl Belief {
    /// Returns the range for an item of a machine.
    pub fn of(item: &Item, limits: &[Limit], machine: &Machine) -> Belief {
        let (lowest, highest) = match item.answer {
            AnswerKind::Reading => of_gauge(item, limits, machine),
            AnswerKind::PressureHeld => (edge(WHOLE_VACUUM, WEATHER, VACUUM), watched_from(limits)),
            AnswerKind::Confirm | AnswerKind::Hold | AnswerKind::Choice => (None, None),
        };
        Belief { lowest, highest, longest: LONGEST_WATCH.parse().ok(), largest_rise: LARGEST_RISE }
    }

    /// Returns the first number of an answer that is hard to believe.
    pub fn doubt(&self, answer: &Answer) -> Option<Doubt> {
        match answer {
            Answer::Reading(reading) => self.outside("reading", reading),
            Answer::Held(time) => self.too_long("held", time),
            Answer::PressureHeld { from, to, time } => self
                .outside("from", from)
                .or_else(|| self.outside("to", to))
                .or_else(|| self.rise(from, to))
                .or_else(|| self.too_long("in", time)),
            Answer::Pass | Answer::Fail | Answer::NotFitted | Answer::Choice(_) | Answer::NotDone(_) => None,
        }
    }

    fn outside(&self, field: &'static str, number: &Quantity) -> Option<Doubt> {
        let beyond = |edge: &&Edge, sign: f64| {
            edge.at.kind() == number.kind() && (number.si() - edge.at.si() * edge.times) * sign > 0.0
        };
        let low = self.lowest.as_ref().filter(|edge| beyond(edge, -1.0));
        let edge = low.or(self.highest.as_ref().filter(|edge| beyond(edge, 1.0)))?;
        let why = if edge.lacks_minus { format!("{}: -{number}?", edge.why) } else { edge.why.clone() };
        Some(Doubt { field, number: number.clone(), why })
    }

    fn too_long(&self, field: &'static str, time: &Quantity) -> Option<Doubt> {
        let longest = self.longest.as_ref()?;
        let beyond = time.kind() == longest.kind() && time.si() > longest.si();
        beyond.then(|| Doubt { field, number: time.clone(), why: "longer than anybody watches".to_owned() })
    }

    fn rise(&self, from: &Quantity, to: &Quantity) -> Option<Doubt> {
        let (start, end) = (from.si(), to.si());
        let rises = from.kind() == to.kind() && start > 0.0 && end > start * (1.0 + self.largest_rise);
        let why = || format!("higher than the {from} at the start");
        rises.then(|| Doubt { field: "to", number: to.clone(), why: why() })
    }
}

const VACUUM: &str = "a perfect vacuum is -101.325 kPa, or -760 mmHg";

fn edge(at: &str, times: f64, why: &str) -> Option<Edge> {
    Some(Edge { at: at.parse().ok()?, times, why: why.to_owned(), lacks_minus: false })
}

/// What a gauge can show depends on what it is fitted to.
fn of_gauge(item: &Item, limits: &[Limit], machine: &Machine) -> (Option<Edge>, Option<Edge>) {
    if item.measures.is_some_and(|kind| kind != Kind::GaugePressure) {
        return (None, None);
    }
    let only_if = item.only_if.as_ref();
    if let Some(gas) = only_if.and_then(|only_if| only_if.cylinder.as_deref()) {
        let highest = machine.cylinders.get(gas).and_then(|cylinder| {
            let why = format!("a full cylinder shows {} ({})", cylinder.full, cylinder.source);
            Some(Edge { at: cylinder.full.clone(), times: most_shown(gas, cylinder)?, why, lacks_minus: false })
        });
        return (edge("0 kPa", 1.0, "the gauge of a cylinder shows nothing below zero"), highest.or(fullest()));
    }
    if item.each == Some(Each::Gas) || only_if.is_some_and(|only_if| only_if.gas.is_some()) {
        return (
            edge("0 kPa", 1.0, "the gauge of a pipeline shows nothing below zero"),
            edge(PIPELINE, BEYOND_PIPELINE, "a usual pipeline has about 400 kPa, 4 bar or 58 psi"),
        );
    }
    let vacuum = edge(WHOLE_VACUUM, WEATHER, VACUUM);
    match is_vacuum(limits) {
        true => {
            let above = edge("0 kPa", 1.0, "a vacuum is below zero");
            (vacuum, above.map(|edge| Edge { lacks_minus: true, ..edge }))
        }
        false => (vacuum, fullest()),
    }
}

fn fullest() -> Option<Edge> {
    edge(FULLEST, WARM, "no cylinder of medical gas is filled to more than 300 bar, or 4350 psi")
}

/// A gauge whose readings pass only below zero is that of a vacuum.
fn is_vacuum(limits: &[Limit]) -> bool {
    limits
        .iter()
        .filter(|limit| limit.of == LimitOf::Reading)
        .filter_map(|limit| limit.at_most.as_ref().or(limit.below.as_ref()))
        .any(|bound| bound.kind() == Kind::GaugePressure && bound.si() < 0.0)
}

/// Returns the highest pressure at which a leak is watched.
fn watched_from(limits: &[Limit]) -> Option<Edge> {
    let start = limits.iter().filter(|limit| limit.of == LimitOf::From).find_map(|limit| limit.at_least.clone());
    match start.filter(|start| start.si() > 0.0) {
        Some(start) => {
            let why = format!("it is watched from {start} on");
            Some(Edge { at: start, times: BEYOND_START, why, lacks_minus: false })
        }
        None => fullest(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(fields: &str) -> Item {
        let text = format!(
            "id: it\ntitle: It\ndo: Look.\nanswer: reading\nmeasures: gauge-pressure\nby: {{any-of: [provider]}}\n\
             fails: withhold\n{fields}"
        );
        serde_yaml::from_str(&text).unwrap()
    }

    fn machine() -> Machine {
        serde_yaml::from_str(
            "name: M\nasset: A\nserial: S\nlocation: L\nin-use: {from: 2026-01-01}\ngases: [oxygen]\nscavenging: active\n\
             cylinders:\n  oxygen: {capacity: 660 L, full: 1900 psi, source: label}\n  \
             nitrous-oxide: {capacity: 1590 L, full: 745 psi, source: label}",
        )
        .unwrap()
    }

    fn believes(fields: &str, reading: &str) -> bool {
        let item = item(fields);
        Belief::of(&item, &item.limits, &machine()).doubt(&Answer::Reading(reading.parse().unwrap())).is_none()
    }

    /// 1900 psi × 1.25 = 2375 psi; 1000 psi is what nitrous oxide shows at 32 °C; 400 kPa × 5 = 2000 kPa = 290.08 psi;
    /// 101.325 kPa × 1.1 = 111.4575 kPa; 300 bar × 1.25 = 375 bar.
    #[test]
    fn each_kind_of_gauge_has_its_range() {
        let oxygen = "only-if: {cylinder: oxygen}";
        let nitrous = "only-if: {cylinder: nitrous-oxide}";
        let vacuum = "limits: [{at-most: -400 mmHg, source: test, standing: local}]";
        for (fields, believed, doubted) in [
            (oxygen, ["0 psi", "2375 psi"], ["-1 psi", "2376 psi"]),
            (nitrous, ["745 psi", "1000 psi"], ["-0.1 bar", "1491 psi"]),
            ("each: gas", ["0 bar", "290 psi"], ["-51 psi", "291 psi"]),
            ("only-if: {gas: air}", ["55 psi", "2000 kPa"], ["52 bar", "40000 psi"]),
            (vacuum, ["0 mmHg", "-111 kPa"], ["520 mmHg", "-112 kPa"]),
            ("", ["-101 kPa", "375 bar"], ["-112 kPa", "376 bar"]),
        ] {
            assert_eq!(believed.map(|reading| believes(fields, reading)), [true; 2], "{fields} {believed:?}");
            assert_eq!(doubted.map(|reading| believes(fields, reading)), [false; 2], "{fields} {doubted:?}");
        }
    }

    #[test]
    fn a_vacuum_without_its_minus_is_told_with_it() {
        let item = item("limits: [{at-most: -400 mmHg, source: test, standing: local}]");
        let belief = Belief::of(&item, &item.limits, &machine());
        let doubt = belief.doubt(&Answer::Reading("520 mmHg".parse().unwrap())).unwrap();
        assert_eq!(doubt.words(), "520 mmHg? It is hard to believe: a vacuum is below zero: -520 mmHg?");
    }
}
