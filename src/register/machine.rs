//! A machine: its identity, what is fitted to it, and its maker's own limits.

use super::Limit;
use crate::record::{Date, Quantity, place};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// `machines/ID.yaml`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Machine {
    pub name: String,
    pub asset: String,
    pub serial: String,
    pub location: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub spare: bool,
    pub in_use: InUse,
    /// Gases that reach the machine by pipeline.
    pub gases: Vec<String>,
    /// Spare cylinders on the machine, by gas.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub cylinders: BTreeMap<String, Cylinder>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vaporizers: Vec<String>,
    pub scavenging: String,
    /// Further features that items of a procedure may ask for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fitted: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compliance: Option<Quantity>,
    /// The maker's limits by item; each takes the place of the procedure's limit of the same thing.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub limits: BTreeMap<String, Vec<Limit>>,
    /// The smallest step that can be read off the gauge of an item, by item or by item and gas or vaporizer.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub finest_step: BTreeMap<String, Quantity>,
    /// How it was before, so that older checks are judged by the machine as it was then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<Before>,
}

/// What was different until and with a day; what is left out was as it is now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Before {
    pub until: Date,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gases: Option<Vec<String>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinders: Option<BTreeMap<String, Cylinder>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vaporizers: Option<Vec<String>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scavenging: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fitted: Option<Vec<String>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compliance: Option<Quantity>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<BTreeMap<String, Vec<Limit>>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finest_step: Option<BTreeMap<String, Quantity>>,
}

/// The days between which a machine belongs to the hospital's machines in use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct InUse {
    pub from: Date,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
}

/// A spare cylinder as its supplier's label states it. Sources disagree on such numbers, so none is built in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Cylinder {
    /// The gas it holds when full.
    pub capacity: Quantity,
    /// The gauge pressure when full.
    pub full: Quantity,
    pub source: String,
}

impl Machine {
    /// Returns the machine as it was on earlier days: each with the last day on which it was so, the oldest first.
    pub fn earlier(&self) -> Vec<(Date, Machine)> {
        let mut before: Vec<&Before> = self.before.iter().collect();
        before.sort_by_key(|b| std::cmp::Reverse(b.until));
        let mut machine = self.clone();
        let mut earlier = Vec::new();
        // Backwards in time, each change is undone on top of the later ones.
        for b in before {
            let Before { until, gases, cylinders, vaporizers, scavenging, fitted, compliance, limits, finest_step } =
                b.clone();
            machine.gases = gases.unwrap_or(machine.gases);
            machine.cylinders = cylinders.unwrap_or(machine.cylinders);
            machine.vaporizers = vaporizers.unwrap_or(machine.vaporizers);
            machine.scavenging = scavenging.unwrap_or(machine.scavenging);
            machine.fitted = fitted.unwrap_or(machine.fitted);
            machine.compliance = compliance.or(machine.compliance);
            machine.limits = limits.unwrap_or(machine.limits);
            machine.finest_step = finest_step.unwrap_or(machine.finest_step);
            earlier.insert(0, (until, machine.clone()));
        }
        earlier
    }

    /// Returns the smallest step that the gauge of an item shows, for one of its gases or vaporizers if these differ.
    pub fn finest_step(&self, item: &str, each: Option<&str>) -> Option<&Quantity> {
        let own = each.and_then(|each| self.finest_step.get(&place(item, Some(each))));
        own.or_else(|| self.finest_step.get(item))
    }

    /// Returns whether the machine belongs to the machines in use on a day.
    pub fn in_use_on(&self, date: Date) -> bool {
        self.in_use.from <= date && self.in_use.until.is_none_or(|until| date <= until)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_machine_is_remembered_as_it_was() {
        let machine: Machine = serde_json::from_value(json!({
            "name": "Theatre 1", "asset": "1", "serial": "1", "location": "here", "in-use": {"from": "2025-01-01"},
            "gases": ["oxygen"], "vaporizers": ["desflurane", "sevoflurane"], "scavenging": "active",
            "before": [
                {"until": "2025-12-31", "gases": ["oxygen", "air"], "finest-step": {"pipeline-pressure": "2 psi"}},
                {"until": "2026-05-31", "vaporizers": ["isoflurane", "sevoflurane"]},
            ],
            "finest-step": {"pipeline-pressure": "1 psi", "pipeline-pressure/air": "5 psi"},
        }))
        .unwrap();
        let earlier = machine.earlier();
        let seen: Vec<(String, usize, &str)> =
            earlier.iter().map(|(until, m)| (until.to_string(), m.gases.len(), m.vaporizers[0].as_str())).collect();
        assert_eq!(seen, [("2025-12-31".to_owned(), 2, "isoflurane"), ("2026-05-31".to_owned(), 1, "isoflurane")]);
        let step = |m: &Machine, gas| m.finest_step("pipeline-pressure", Some(gas)).map(ToString::to_string);
        assert_eq!(step(&earlier[0].1, "air").as_deref(), Some("2 psi"));
        assert_eq!(
            (step(&machine, "air").as_deref(), step(&machine, "oxygen").as_deref()),
            (Some("5 psi"), Some("1 psi"))
        );
        assert_eq!(machine.finest_step("suction", None), None);
    }
}
