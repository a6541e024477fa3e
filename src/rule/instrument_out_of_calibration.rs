//! A test instrument was used after the day until which its calibration was good.

use super::words::{days, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;

pub const RULE: Rule = Rule {
    name: "instrument-out-of-calibration",
    severity: Severity::Finding,
    page: include_str!("instrument_out_of_calibration.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for filed in facts.contents.counting() {
        let instruments = match &filed.record.body {
            Body::Repair(repair) => &repair.instruments,
            Body::Service(service) => &service.instruments,
            Body::Check(_) | Body::Fault(_) | Body::Release(_) | Body::Void(_) => continue,
        };
        let day = facts.day(filed.record.when());
        for (i, instrument) in instruments.iter().enumerate().filter(|(_, one)| one.calibration_due < day) {
            let headline = format!("{} used instrument `{}` after its calibration ran out", name(filed), instrument.id);
            let place = Place::value(&filed.path, format!("/instruments/{i}/calibration-due"));
            findings.push(
                Diagnostic::finding("instrument-out-of-calibration", place, headline)
                    .label(format!("{} over when it was used", days(instrument.calibration_due, day)))
                    .help("measure again with an instrument in calibration, and have this one calibrated"),
            );
        }
    }
    findings
}
