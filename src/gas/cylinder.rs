//! What a spare cylinder holds and how long it lasts.

use crate::record::quantity::{GaugePressure, Measure};
use crate::register::Cylinder;
use uom::si::f64::{Time, Volume, VolumeRate};

/// The contents of a cylinder, as far as its gauge shows them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contents {
    /// The gas left, as it would be at room pressure.
    Left(Volume),
    /// The gauge does not show it: the gas is stored as a liquid, and the gauge stays at its vapour pressure
    /// until the liquid is gone. Its contents are found by weighing.
    NotShownByGauge,
    /// The gauge shows more than a full cylinder can hold, so that it was misread or miswritten.
    MoreThanFull,
    /// The cylinder's data are not a volume and a gauge pressure above zero.
    NotKnown,
}

/// Returns the gas left in a cylinder at a gauge pressure.
///
/// `V = capacity · P / P_full` for a gas that is not liquefied (oxygen, air): proportional to gauge pressure, without
/// the compressibility of the gas, which is good enough for a reserve check. Capacity and full pressure are those
/// of the supplier's label: published tables disagree on them. Never less than nothing, and no number at all where the
/// gauge shows more than a full cylinder can.
pub fn contents(gas: &str, cylinder: &Cylinder, pressure: GaugePressure) -> Contents {
    if is_liquefied(gas) {
        return Contents::NotShownByGauge;
    }
    if beyond_full(gas, cylinder, pressure) {
        return Contents::MoreThanFull;
    }
    match (cylinder.capacity.measure(), cylinder.full.measure()) {
        (Measure::Volume(capacity), Measure::GaugePressure(full)) if full.0.value > 0.0 => {
            let share = (pressure.0.value / full.0.value).max(0.0);
            Contents::Left(capacity * share)
        }
        _ => Contents::NotKnown,
    }
}

/// A full cylinder shows more than its label on a warm day, but not by this factor (our own choice).
const BEYOND_FULL: f64 = 1.25;
/// The pressure over a liquid rises faster with the warmth: of nitrous oxide from 745 psi at 20 °C to about 1000 psi at
/// 32 °C (from memory; the factor is our own choice).
const BEYOND_FULL_OF_LIQUID: f64 = 2.0;

/// Returns how many times the pressure of its label a full cylinder can show; nothing when the label names no pressure.
pub fn most_shown(gas: &str, cylinder: &Cylinder) -> Option<f64> {
    let Measure::GaugePressure(full) = cylinder.full.measure() else { return None };
    let times = if is_liquefied(gas) { BEYOND_FULL_OF_LIQUID } else { BEYOND_FULL };
    (full.0.value > 0.0).then_some(times)
}

/// Returns whether a gas is a liquid in its cylinder, or may be one.
fn is_liquefied(gas: &str) -> bool {
    !matches!(gas, "oxygen" | "air")
}

fn beyond_full(gas: &str, cylinder: &Cylinder, pressure: GaugePressure) -> bool {
    match cylinder.full.measure() {
        Measure::GaugePressure(full) => {
            most_shown(gas, cylinder).is_some_and(|times| pressure.0.value > full.0.value * times)
        }
        _ => false,
    }
}

/// Returns how long an amount of gas lasts at a flow; nothing for a flow of zero or less.
///
/// `t = V / Q`. The flow must include the gas that drives the ventilator, where oxygen drives it (common practice).
pub fn lasts(left: Volume, flow: VolumeRate) -> Option<Time> {
    (flow.value > 0.0).then(|| left / flow)
}

#[cfg(test)]
mod tests {
    use super::*;
    use uom::si::pressure::{bar, kilopascal, psi};
    use uom::si::time::minute;
    use uom::si::volume::liter;
    use uom::si::volume_rate::liter_per_minute;

    fn cylinder(capacity: &str, full: &str) -> Cylinder {
        Cylinder { capacity: capacity.parse().unwrap(), full: full.parse().unwrap(), source: "test".to_owned() }
    }

    fn litres(gas: &str, cylinder: &Cylinder, pressure: uom::si::f64::Pressure) -> f64 {
        match contents(gas, cylinder, GaugePressure(pressure)) {
            Contents::Left(volume) => volume.get::<liter>(),
            other => panic!("{other:?}"),
        }
    }

    /// 0.28 L/psi is the factor for an E cylinder in respiratory-care teaching (common practice); 622 L at 2200 psi
    /// gives that factor. 1000 psi at 2 L/min then last 140 min, the worked example of that teaching.
    #[test]
    fn the_published_factor_gives_the_published_time() {
        let e = cylinder("616 L", "2200 psi");
        let left = uom::si::f64::Volume::new::<liter>(litres("oxygen", &e, uom::si::f64::Pressure::new::<psi>(1000.0)));
        let time = lasts(left, uom::si::f64::VolumeRate::new::<liter_per_minute>(2.0)).unwrap();
        assert!((time.get::<minute>() - 140.0).abs() < 1e-9);
    }

    /// Computed by hand from `capacity · P / P_full`.
    #[test]
    fn contents_are_proportional_to_gauge_pressure() {
        let e = cylinder("660 L", "1900 psi");
        assert!((litres("oxygen", &e, uom::si::f64::Pressure::new::<psi>(1000.0)) - 347.368_42).abs() < 1e-4);
        let other = cylinder("680 L", "13700 kPa");
        assert!(
            (litres("oxygen", &other, uom::si::f64::Pressure::new::<kilopascal>(10_000.0)) - 496.350_36).abs() < 1e-4
        );
        let other = cylinder("680 L", "137 bar");
        let left =
            uom::si::f64::Volume::new::<liter>(litres("oxygen", &other, uom::si::f64::Pressure::new::<bar>(70.0)));
        let time = lasts(left, uom::si::f64::VolumeRate::new::<liter_per_minute>(6.0)).unwrap();
        assert!((time.get::<minute>() - 57.9075).abs() < 1e-3);
        assert_eq!(litres("oxygen", &e, uom::si::f64::Pressure::new::<psi>(-5.0)), 0.0);
    }

    #[test]
    fn more_than_full_gives_no_litres() {
        let e = cylinder("660 L", "1900 psi");
        let at = |p| contents("oxygen", &e, GaugePressure(uom::si::f64::Pressure::new::<psi>(p)));
        assert!(matches!(at(2375.0), Contents::Left(_)));
        assert_eq!(at(2376.0), Contents::MoreThanFull);
    }

    #[test]
    fn litres_of_nitrous_oxide_are_refused() {
        let cylinder = cylinder("1590 L", "745 psi");
        let gauge = GaugePressure(uom::si::f64::Pressure::new::<psi>(745.0));
        assert_eq!(contents("nitrous-oxide", &cylinder, gauge), Contents::NotShownByGauge);
        assert_eq!(
            lasts(uom::si::f64::Volume::new::<liter>(1.0), uom::si::f64::VolumeRate::new::<liter_per_minute>(0.0)),
            None
        );
    }
}
