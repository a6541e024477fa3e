//! The machines of the invented hospital: what is fitted to each, and how much work each has.
//!
//! Takes how many there are and the first day, and gives units in the order of their lists: the spares come last. Makers
//! and types have no names here.

use super::clock::days_later;
use crate::record::{Date, Quantity};
use crate::register::machine::{Before, InUse};
use crate::register::{Cylinder, Limit, LimitOf, Machine, Standing};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A machine with its usual week.
#[derive(Clone, Debug)]
pub struct Unit {
    pub id: String,
    pub machine: Machine,
    /// The weekdays on which it is expected in use.
    pub weekly: &'static [&'static str],
    /// The fewest and the most cases of a day that have a check of their own.
    pub cases: (i64, i64),
}

/// What the units of one kind have in common.
struct Model {
    gases: &'static [&'static str],
    vaporizers: &'static [&'static str],
    scavenging: &'static str,
    fitted: &'static [&'static str],
    compliance: Option<i64>,
    own_limits: bool,
    weekly: &'static [&'static str],
    cases: (i64, i64),
}

const WEEKDAYS: &[&str] = &["mon", "tue", "wed", "thu", "fri"];

const MODELS: [Model; 5] = [
    Model {
        gases: &["oxygen", "nitrous-oxide", "air"],
        vaporizers: &["isoflurane", "sevoflurane"],
        scavenging: "active",
        fitted: &["battery", "ventilator", "common-gas-outlet"],
        compliance: Some(7),
        own_limits: false,
        weekly: WEEKDAYS,
        cases: (1, 3),
    },
    Model {
        gases: &["oxygen", "nitrous-oxide", "air"],
        vaporizers: &["sevoflurane", "desflurane"],
        scavenging: "active",
        fitted: &["battery", "ventilator", "common-gas-outlet"],
        compliance: Some(6),
        own_limits: false,
        weekly: WEEKDAYS,
        cases: (1, 3),
    },
    Model {
        gases: &["oxygen", "air"],
        vaporizers: &["sevoflurane"],
        scavenging: "active",
        fitted: &["battery", "ventilator", "self-test"],
        compliance: Some(5),
        own_limits: true,
        weekly: WEEKDAYS,
        cases: (0, 2),
    },
    Model {
        gases: &["oxygen", "air"],
        vaporizers: &["isoflurane"],
        scavenging: "passive",
        fitted: &["ventilator", "common-gas-outlet"],
        compliance: None,
        own_limits: false,
        weekly: &["mon", "tue", "wed", "thu"],
        cases: (0, 1),
    },
    Model {
        gases: &["oxygen", "air"],
        vaporizers: &["sevoflurane"],
        scavenging: "active",
        fitted: &["battery", "ventilator", "self-test"],
        compliance: Some(5),
        own_limits: false,
        weekly: &["mon", "wed", "fri"],
        cases: (0, 1),
    },
];

const SPARE: Model = Model {
    gases: &["oxygen", "air"],
    vaporizers: &["sevoflurane"],
    scavenging: "active",
    fitted: &["battery", "ventilator", "common-gas-outlet"],
    compliance: Some(7),
    own_limits: false,
    weekly: &["wed"],
    cases: (0, 0),
};

/// What the gauges of every machine can show: item, smallest step in the last decimal place, decimals, unit.
const STEPS: [(&str, i64, u32, &str); 10] = [
    ("circuit-leak", 1, 0, "cmH2O"),
    ("circuit-leak-flow", 10, 0, "mL/min"),
    ("cylinder-leak", 50, 0, "psi"),
    ("low-pressure-leak-flow", 10, 0, "mL/min"),
    ("oxygen-flush", 1, 0, "L/min"),
    ("oxygen-monitor-air", 1, 1, "%"),
    ("oxygen-monitor-flush", 1, 0, "%"),
    ("pipeline-pressure", 1, 0, "psi"),
    ("spare-oxygen-cylinder", 50, 0, "psi"),
    ("suction-vacuum", 10, 0, "mmHg"),
];

/// Returns so many units: from three machines on at least one of them is a spare.
///
/// The second one had another vaporizer until some day between the first and the last.
pub fn units(machines: usize, first: NaiveDate, last: NaiveDate) -> Vec<Unit> {
    let spares = if machines < 3 { 0 } else { 1 + machines / 10 };
    let regular = (0..machines - spares).zip(MODELS.iter().cycle());
    let regular = regular.map(|(n, model)| {
        let (id, name, location) = match n {
            3 => ("delivery-suite".to_owned(), "Delivery suite".to_owned(), "Delivery suite, first floor".to_owned()),
            4 => ("endoscopy".to_owned(), "Endoscopy".to_owned(), "Endoscopy room, ground floor".to_owned()),
            _ => {
                let number = if n < 3 { n + 1 } else { n - 1 };
                let name = format!("Theatre {number}");
                (format!("theatre-{number}"), name.clone(), format!("{name}, second floor"))
            }
        };
        let mut unit = unit(n, id, name, location, model, first);
        if n == 1 {
            unit.machine.before = vec![other_vaporizer(days_later(first, (last - first).num_days() * 60 / 100))];
        }
        unit
    });
    let spare = (0..spares).map(|n| {
        let (id, name) = (format!("spare-{}", n + 1), format!("Spare {}", n + 1));
        let mut unit = unit(machines - spares + n, id, name, "Equipment store, second floor".to_owned(), &SPARE, first);
        unit.machine.spare = true;
        unit
    });
    regular.chain(spare).collect()
}

fn unit(n: usize, id: String, name: String, location: String, model: &Model, first: NaiveDate) -> Unit {
    let owned = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
    let mut cylinders = BTreeMap::from([("oxygen".to_owned(), cylinder(660, 1900, "label of the supplier"))]);
    if model.gases.contains(&"nitrous-oxide") {
        let source = "textbook value, from memory; to be confirmed with the supplier";
        cylinders.insert("nitrous-oxide".to_owned(), cylinder(1590, 745, source));
    }
    let mut limits = BTreeMap::new();
    if model.own_limits {
        let at_most = |of, quantity, source: &str| Limit {
            of,
            at_least: None,
            at_most: Some(quantity),
            above: None,
            below: None,
            source: source.to_owned(),
            standing: Standing::Maker,
        };
        let fall = at_most(LimitOf::Fall, quantity(2, "cmH2O"), "maker's instructions for use, leak test");
        limits.insert("circuit-leak".to_owned(), vec![fall]);
        let flow = at_most(LimitOf::Reading, quantity(150, "mL/min"), "maker's service manual, breathing system");
        limits.insert("circuit-leak-flow".to_owned(), vec![flow]);
    }
    Unit {
        id,
        machine: Machine {
            name,
            asset: format!("{:05}", 417 + 53 * n),
            serial: format!("K{}-{:05}", n % 7 + 2, 20_881 + 1_013 * n),
            location,
            spare: false,
            in_use: InUse { from: Date(first), until: None },
            gases: owned(model.gases),
            cylinders,
            vaporizers: owned(model.vaporizers),
            scavenging: model.scavenging.to_owned(),
            fitted: owned(model.fitted),
            compliance: model.compliance.map(|c| quantity(c, "mL/cmH2O")),
            limits,
            finest_step: STEPS
                .iter()
                .map(|(item, number, decimals, unit)| ((*item).to_owned(), scaled(*number, *decimals, unit)))
                .collect(),
            before: Vec::new(),
        },
        weekly: model.weekly,
        cases: model.cases,
    }
}

fn other_vaporizer(until: NaiveDate) -> Before {
    Before {
        until: Date(until),
        gases: None,
        cylinders: None,
        vaporizers: Some(vec!["sevoflurane".to_owned(), "isoflurane".to_owned()]),
        scavenging: None,
        fitted: None,
        compliance: None,
        limits: None,
        finest_step: None,
    }
}

fn cylinder(litres: i64, psi: i64, source: &str) -> Cylinder {
    Cylinder { capacity: quantity(litres, "L"), full: quantity(psi, "psi"), source: source.to_owned() }
}

/// Returns a whole number of a unit.
pub fn quantity(number: i64, unit: &str) -> Quantity {
    scaled(number, 0, unit)
}

/// Returns a number given in tenths (`decimals` 1), hundredths (2) and so on of a unit.
pub fn scaled(number: i64, decimals: u32, unit: &str) -> Quantity {
    let step = 10_u64.pow(decimals);
    let (sign, size) = (if number < 0 { "-" } else { "" }, number.unsigned_abs());
    let text = match decimals {
        0 => format!("{sign}{size} {unit}"),
        _ => format!("{sign}{}.{:0places$} {unit}", size / step, size % step, places = decimals as usize),
    };
    text.parse().expect("a whole or decimal number and a unit that records know make a quantity")
}
