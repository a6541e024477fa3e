//! The days on which the invented hospital expects its machines in use: the usual week, closures, weekend lists.
//!
//! Takes the units and the span of days and gives one calendar a year.

use super::chance::Chance;
use super::clock::{days_later, holidays, monday_from};
use super::machines::Unit;
use crate::record::Date;
use crate::register::Calendar;
use crate::register::calendar::{Also, Except};
use chrono::{Datelike, NaiveDate};

/// Returns the calendars of every year that the demo touches.
pub fn calendars(seed: u64, units: &[Unit], first: NaiveDate, last: NaiveDate) -> Vec<Calendar> {
    (first.year()..=last.year()).map(|year| calendar(seed, units, year)).collect()
}

/// Returns whether a day lies in the maintenance week: Monday to Friday after the first Monday of July.
pub fn is_maintenance(day: NaiveDate) -> bool {
    maintenance(day.year()).is_some_and(|(from, until)| from <= day && day <= until)
}

fn maintenance(year: i32) -> Option<(NaiveDate, NaiveDate)> {
    let from = days_later(monday_from(NaiveDate::from_ymd_opt(year, 7, 1)?), 7);
    Some((from, days_later(from, 4)))
}

fn calendar(seed: u64, units: &[Unit], year: i32) -> Calendar {
    let weekly = units.iter().map(|unit| (unit.id.clone(), unit.weekly.iter().map(|d| (*d).to_owned()).collect()));
    let mut except: Vec<Except> = holidays(year)
        .into_iter()
        .map(|(on, name)| Except {
            on: Some(Date(on)),
            from: None,
            until: None,
            machines: Vec::new(),
            because: name.to_owned(),
        })
        .collect();
    if let Some((from, until)) = maintenance(year) {
        // The delivery suite never closes; its machine is served by day as any other.
        let closing = units.iter().filter(|unit| !unit.machine.spare && unit.id != "delivery-suite");
        except.push(Except {
            on: None,
            from: Some(Date(from)),
            until: Some(Date(until)),
            machines: closing.map(|unit| unit.id.clone()).collect(),
            because: "maintenance week, no planned lists".to_owned(),
        });
    }
    Calendar { year, weekly: weekly.collect(), except, also: weekend_lists(seed, units, year) }
}

/// A few Saturdays a year with a list in the first theatre, or the first two.
fn weekend_lists(seed: u64, units: &[Unit], year: i32) -> Vec<Also> {
    let mut lists = Vec::new();
    let machines: Vec<String> = units.iter().filter(|u| !u.machine.spare).take(2).map(|u| u.id.clone()).collect();
    for month in [2, 4, 6, 9, 10, 11] {
        let Some(middle) = NaiveDate::from_ymd_opt(year, month, 8) else { continue };
        let mut chance = Chance::of(seed, "weekend list", "", middle);
        let saturday = days_later(monday_from(middle), 5);
        let both = if chance.in_thousand(400) { 2 } else { 1 };
        if holidays(year).iter().all(|(on, _)| *on != saturday) {
            let machines = machines.iter().take(both).cloned().collect();
            lists.push(Also {
                on: Date(saturday),
                machines,
                because: "extra list to shorten the waiting time".to_owned(),
            });
        }
    }
    lists
}
