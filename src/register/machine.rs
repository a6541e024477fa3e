//! A machine: its identity, what is fitted to it, and its maker's own limits.

use super::Limit;
use crate::record::{Date, Quantity};
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
    /// Returns whether the machine belongs to the machines in use on a day.
    pub fn in_use_on(&self, date: Date) -> bool {
        self.in_use.from <= date && self.in_use.until.is_none_or(|until| date <= until)
    }
}
