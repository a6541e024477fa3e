//! What was put into the demo on purpose, so that whoever looks for patterns knows what is there to be found.
//!
//! | planted | what it looks like |
//! |---|---|
//! | drift | one machine's oxygen cell reads 21 % in room air when new and loses about 1.6 % in a year; still within its limit on the last day |
//! | worst machine | its items fail about three times as often as those of the others |
//! | worsening month | the last full month has about three times the usual failures, most of them on the worst machine |
//! | copied readings | in one week one person writes the same numbers each day on one machine |
//! | repeat failure | a fault that could not be found again comes back on the same item within 30 days |
//! | open fault | one machine is withheld on the last day, waiting for a part |
//! | open restriction | one restriction is open on the last day and ends two days later |
//! | expired restriction | one restriction ended five days or more before the machine was released |
//! | overdue service | one machine's service fell due twelve days before the last day |
//! | overdue instrument | one measurement was made with an instrument whose calibration had run out |
//! | wrong revision | one check followed the old revision on the day the new one came into force |
//! | missed checks | one machine misses more checks than the others, and all miss more on Mondays |
//!
//! Takes the settings and gives machines, days and people; a short logbook or one of few machines has not all of them.

use super::Settings;
use super::clock::{days_later, monday_from, months_before};
use super::machines::{Unit, units};
use super::people;
use crate::record::Date;
use crate::register::Role;
use chrono::{Datelike, NaiveDate};

/// What was put into a demo on purpose.
#[derive(Clone, Debug, PartialEq)]
pub struct Planted {
    pub first_day: Date,
    /// The day on which the second revision of the daily check comes into force.
    pub new_revision: Date,
    /// Machine and item of the drift, and the day on which the oxygen cell was new.
    pub drift: (String, String, Date),
    pub worst_machine: String,
    /// The first day of the month that is worse than the others.
    pub worsening_month: Date,
    pub copied: Option<Copied>,
    /// Machine and item, and the day of the first failure.
    pub repeat: Option<(String, String, Date)>,
    pub open_fault: Option<String>,
    pub open_restriction: Option<String>,
    /// The machine, and the last day of its restriction.
    pub expired_restriction: Option<(String, Date)>,
    pub service_overdue: Option<String>,
    pub instrument_overdue: String,
    pub often_missed: String,
}

/// A week of copied readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Copied {
    pub machine: String,
    pub person: String,
    /// A Monday.
    pub from: Date,
    /// The Friday after it.
    pub until: Date,
}

/// How many days of a logbook there are before the things that need a quiet history are put in.
const ROOM: i64 = 100;

/// Returns what is put into the demo of these settings.
pub fn planted(settings: &Settings) -> Planted {
    let last = settings.last_day.0;
    let first = months_before(last, settings.months);
    let length = (last - first).num_days();
    let units = units(settings.machines, first, last);
    let regular: Vec<&Unit> = units.iter().filter(|unit| !unit.machine.spare).collect();
    let id = |n: usize| regular.get(n % regular.len().max(1)).map(|u| u.id.clone()).unwrap_or_default();
    let alone = regular.len() < 4;
    let new_revision = monday_from(days_later(first, length * 35 / 100));
    Planted {
        first_day: Date(first),
        new_revision: Date(new_revision),
        drift: (id(0), "oxygen-monitor-air".to_owned(), Date(days_later(last, -DRIFT_DAYS))),
        worst_machine: id(1),
        worsening_month: Date(months_before(last, 1)),
        copied: (length > ROOM && !alone).then(|| copied(settings, first, id(2))).flatten(),
        repeat: (length > 2 * ROOM)
            .then(|| (id(1), "circuit-leak".to_owned(), Date(days_later(first, length * 55 / 100)))),
        open_fault: Some(id(3)),
        open_restriction: (!alone).then(|| id(2)),
        expired_restriction: (length > ROOM && !alone)
            .then(|| (id(2), Date(days_later(expiring_found(first, length), EXPIRING_DAYS)))),
        service_overdue: (length > 2 * ROOM && !alone).then(|| id(4)),
        instrument_overdue: "BT-07 flow analyser".to_owned(),
        often_missed: id(4),
    }
}

/// How long before the last day the drifting oxygen cell was new.
pub const DRIFT_DAYS: i64 = 365;

/// How long the restriction was meant to last that then expired.
pub const EXPIRING_DAYS: i64 = 7;

/// Returns the day on which the restriction began that then expired.
pub fn expiring_found(first: NaiveDate, length: i64) -> NaiveDate {
    monday_from(days_later(first, length * 45 / 100))
}

/// Finds the last quiet week that ends well before the worsening month, and who copies.
fn copied(settings: &Settings, first: NaiveDate, machine: String) -> Option<Copied> {
    let quiet = |monday: &NaiveDate| {
        let week = (0..5).map(|n| days_later(*monday, n));
        let holidays = super::clock::holidays(monday.year());
        week.clone().all(|day| holidays.iter().all(|(on, _)| *on != day) && !super::calendar::is_maintenance(day))
    };
    let latest = monday_from(days_later(months_before(settings.last_day.0, 1), -21));
    let monday = (0..8).map(|n| days_later(latest, -7 * n)).find(|m| *m > days_later(first, 30) && quiet(m))?;
    let people = people::all(settings.machines, first, settings.last_day.0);
    let person = people::there(&people, Role::Technician, monday).last().map(|id| (*id).to_owned())?;
    Some(Copied { machine, person, from: Date(monday), until: Date(days_later(monday, 4)) })
}
