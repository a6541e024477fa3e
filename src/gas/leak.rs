//! How big a leak is, from the fall of a pressure.

use crate::record::quantity::Compliance;
use uom::si::f64::{Pressure, Time, VolumeRate};

/// Returns the mean leak flow while a pressure fell; nothing when no time passed.
///
/// `Q = C · ΔP / Δt`, with the compliance `C` of the breathing system at the test pressure. It is the leak at about the
/// mean of the two pressures, so it understates the leak at the higher one. Without a known compliance there is no
/// flow to be had from a fall in pressure: a holding test on a coarse gauge can hide 100 mL/min and more.
pub fn flow(compliance: Compliance, fall: Pressure, time: Time) -> Option<VolumeRate> {
    if time.value <= 0.0 {
        return None;
    }
    Some(VolumeRate::new::<uom::si::volume_rate::cubic_meter_per_second>(compliance.0 * fall.value / time.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Measure, Quantity};
    use uom::si::pressure::centimeter_of_water;
    use uom::si::time::second;
    use uom::si::volume_rate::liter_per_minute;

    fn leak(compliance: &str, fall: f64, seconds: f64) -> f64 {
        let quantity: Quantity = compliance.parse().unwrap();
        let Measure::Compliance(c) = quantity.measure() else { panic!() };
        flow(c, Pressure::new::<centimeter_of_water>(fall), Time::new::<second>(seconds))
            .unwrap()
            .get::<liter_per_minute>()
            * 1000.0
    }

    /// Computed by hand: 7 mL/cmH2O · 5 cmH2O / 10 s · 60 s/min = 210 mL/min.
    #[test]
    fn a_fall_and_a_compliance_give_a_flow() {
        assert!((leak("7 mL/cmH2O", 5.0, 10.0) - 210.0).abs() < 1e-9);
        assert!((leak("6 mL/cmH2O", 6.0, 30.0) - 72.0).abs() < 1e-9);
        assert_eq!(flow(Compliance(1.0), Pressure::new::<centimeter_of_water>(1.0), Time::new::<second>(0.0)), None);
    }
}
