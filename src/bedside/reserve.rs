//! What is left in a spare cylinder, and for how long, in words.

use crate::gas::cylinder::{Contents, contents, lasts};
use crate::procedure::Item;
use crate::record::{Answer, Measure, Quantity};
use crate::register::{Cylinder, Machine, Site};
use uom::si::f64::{Time, Volume};
use uom::si::time::minute;
use uom::si::volume::liter;

/// Returns the gas and the cylinder whose gauge an item reads: an item that is asked only where that cylinder is.
pub fn cylinder_of<'a>(item: &'a Item, machine: &'a Machine) -> Option<(&'a str, &'a Cylinder)> {
    let gas = item.only_if.as_ref()?.cylinder.as_deref()?;
    Some((gas, machine.cylinders.get(gas)?))
}

/// What a reading of a cylinder's gauge means: `about 434 L, 217 min at 2 L/min`.
#[derive(Clone, Debug, PartialEq)]
pub struct Reserve {
    pub words: String,
    /// Where the numbers of the cylinder come from; nothing when none was used.
    pub source: Option<String>,
}

/// Returns what a reading of a cylinder's gauge means, with its source: `about 434 L, 217 min at 2 L/min (label of the
/// supplier)`.
///
/// Nothing for another answer, and nothing where the gauge does not tell.
pub fn words(item: &Item, machine: &Machine, site: &Site, answer: &Answer) -> Option<String> {
    let Reserve { words, source } = of(item, machine, site, answer)?;
    Some(source.map_or(words.clone(), |source| format!("{words} ({source})")))
}

/// Returns what a reading of a cylinder's gauge means, and the source of the cylinder's numbers.
///
/// Nothing for another answer, and nothing where the gauge does not tell. Rounded down: a reserve is never shown larger
/// than it is.
pub fn of(item: &Item, machine: &Machine, site: &Site, answer: &Answer) -> Option<Reserve> {
    let (gas, cylinder) = cylinder_of(item, machine)?;
    let Answer::Reading(reading) = answer else { return None };
    let Measure::GaugePressure(pressure) = reading.measure() else { return None };
    let volume = match contents(gas, cylinder, pressure) {
        Contents::Left(volume) => volume,
        Contents::MoreThanFull => {
            let words = "more than a full cylinder shows; read the gauge again".to_owned();
            return Some(Reserve { words, source: None });
        }
        Contents::NotShownByGauge | Contents::NotKnown => return None,
    };
    let litres = format!("about {:.0} L", rounded_down(volume.value / Volume::new::<liter>(1.0).value));
    let flow = site.planning_flow.as_ref().filter(|_| gas == "oxygen");
    let minutes = flow.and_then(|flow| Some((flow, minutes(volume, flow)?)));
    let words = match minutes {
        Some((flow, minutes)) => format!("{litres}, {minutes:.0} min at {flow}"),
        None => litres,
    };
    Some(Reserve { words, source: Some(cylinder.source.clone()) })
}

fn minutes(volume: uom::si::f64::Volume, flow: &Quantity) -> Option<f64> {
    let Measure::Flow(rate) = flow.measure() else { return None };
    Some(rounded_down(lasts(volume, rate)?.value / Time::new::<minute>(1.0).value))
}

/// Returns a number rounded down, past the noise of the conversion: 348 litres stay 348 when the last bit is missing.
fn rounded_down(number: f64) -> f64 {
    (number + 1e-6).floor()
}
