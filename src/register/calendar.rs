//! The days on which each machine is expected in use: without it there is no honest number of checks expected.

use crate::record::Date;
use chrono::{Datelike, Weekday};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// `calendar/YEAR.yaml`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Calendar {
    pub year: i32,
    /// The days of the week on which each machine is expected in use.
    pub weekly: BTreeMap<String, Vec<String>>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Also>,
}

/// Days on which machines are not expected in use after all.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Except {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<Date>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Date>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
    /// The machines it is about; all of them when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub machines: Vec<String>,
    pub because: String,
}

/// Extra days on which machines are expected in use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Also {
    pub on: Date,
    pub machines: Vec<String>,
    pub because: String,
}

impl Calendar {
    /// Returns whether a machine is expected in use on a day of the calendar's year.
    pub fn expects(&self, machine: &str, date: Date) -> bool {
        let extra = self.also.iter().any(|a| a.on == date && a.machines.iter().any(|m| m == machine));
        let weekday = self.weekly.get(machine).is_some_and(|days| days.iter().any(|d| d == short(date.0.weekday())));
        extra || (weekday && !self.except.iter().any(|e| e.covers(machine, date)))
    }
}

impl Except {
    fn covers(&self, machine: &str, date: Date) -> bool {
        let machine = self.machines.is_empty() || self.machines.iter().any(|m| m == machine);
        let day = match (self.on, self.from, self.until) {
            (Some(on), _, _) => on == date,
            (None, Some(from), Some(until)) => from <= date && date <= until,
            _ => false,
        };
        machine && day
    }
}

fn short(day: Weekday) -> &'static str {
    match day {
        Weekday::Mon => "mon",
        Weekday::Tue => "tue",
        Weekday::Wed => "wed",
        Weekday::Thu => "thu",
        Weekday::Fri => "fri",
        Weekday::Sat => "sat",
        Weekday::Sun => "sun",
    }
}
