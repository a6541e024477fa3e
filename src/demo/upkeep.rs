//! Planned maintenance: twice a year for each machine, and a small round in the maintenance week.
//!
//! A service is done in the afternoon, and a complete check proves the machine before the next morning. One machine's
//! last service is left out, so that it is overdue on the last day.

use super::Settings;
use super::book::record;
use super::calendar::is_maintenance;
use super::case::{PROOF_LASTS, instrument};
use super::clock::{after, at, day, days_later, hm, is_working_day};
use super::elsewhere::ELSEWHERE;
use super::planted::Planted;
use super::walk::Walk;
use crate::record::kinds::Instrument;
use crate::record::{Body, Date, FoundDuring, Service};
use crate::register::Role;
use chrono::{Datelike, NaiveDate};

/// Days from one service to the next; the due day leaves some more for holidays.
const EVERY: i64 = 178;

/// How many days after its planned day a service falls due.
const GRACE: i64 = 5;

/// How many days before the last day the service fell due that was left out.
const OVERDUE: i64 = 12;

/// Returns the planned days of a machine's services, beyond the last day too.
pub fn days(settings: &Settings, planted: &Planted, machine: &str) -> Vec<NaiveDate> {
    let (first, last) = (planted.first_day.0, settings.last_day.0);
    // A service stands on the very day on which the drifting oxygen cell was new.
    let back = if planted.drift.0 == machine {
        (last - planted.drift.2.0).num_days() % EVERY
    } else if planted.service_overdue.as_deref() == Some(machine) {
        OVERDUE + GRACE
    } else {
        25 + machine.bytes().map(i64::from).sum::<i64>() * 37 % 140
    };
    let rounds = (last - first).num_days() / EVERY + 1;
    (-2..=rounds).rev().map(|n| days_later(last, -back - n * EVERY)).filter(|day| *day >= first).collect()
}

impl Walk<'_> {
    /// Does the planned maintenance whose day has come.
    pub fn services(&mut self, today: NaiveDate) {
        if !is_working_day(today) {
            return;
        }
        for m in 0..self.units.len() {
            let begins = at(today, hm(13, 30));
            let busy = self.machines.get(m).is_none_or(|state| state.open.is_some());
            if busy || self.is_away(m, begins) || self.is_away(m, after(begins, 5 * 3600)) {
                continue;
            }
            let planned = self.machines.get(m).and_then(|state| state.services.first().copied());
            let left_out = self.planted.service_overdue.as_deref() == Some(self.id(m))
                && planned.is_some_and(|day| (self.settings.last_day.0 - day).num_days() == OVERDUE + GRACE);
            match planned {
                Some(planned) if planned <= today && !left_out => self.service(m, today, planned),
                _ if is_maintenance(today) && today.weekday().num_days_from_monday() as usize == m % 5 => {
                    self.small_round(m, today);
                }
                _ => {}
            }
        }
    }

    fn service(&mut self, m: usize, today: NaiveDate, planned: NaiveDate) {
        let mut chance = self.chance("service", m, today);
        let is_drift_cell = self.planted.drift.0 == self.id(m);
        let Some(state) = self.machines.get_mut(m) else { return };
        state.services.remove(0);
        let next = state.services.first().copied().unwrap_or_else(|| days_later(planned, EVERY));
        let new_cell = match is_drift_cell {
            true => {
                planned == self.planted.drift.2.0
                    || (planned < self.planted.drift.2.0 && state.gauges.cell_age(today) > 300)
            }
            false => state.gauges.cell_age(today) > 300,
        };
        if new_cell {
            state.gauges.change_cell(today);
        }
        let started = at(today, chance.between(hm(13, 30), hm(14, 0)));
        let finished = after(started, chance.between(95, 150) * 60);
        let biomed = self.person(Role::Biomed, today, &mut chance);
        let half = (self.settings.last_day.0 - self.planted.first_day.0).num_days() / 2;
        let late = self.overdue_instrument && (today - self.planted.first_day.0).num_days() >= half;
        self.overdue_instrument &= !late;
        let cell = if new_cell { " Oxygen cell replaced." } else { "" };
        let mut service = Service {
            started,
            finished,
            work: format!(
                "Half-yearly service by the maker's list. Seals and filters changed, flows and pressures measured.{cell}"
            ),
            next_due: Date(days_later(next, GRACE)),
            instruments: vec![instrument(0, today), if late { overdue(today) } else { instrument(1, today) }],
            proved_by: None,
        };
        let finds = chance.in_thousand(120) && !self.is_quiet(m, today);
        if finds && let Some(elsewhere) = ELSEWHERE.iter().find(|e| e.way == "planned-maintenance") {
            let recorded = after(finished, chance.between(60, 600));
            let during = FoundDuring { check: None, items: Vec::new(), way: Some(elsewhere.way.to_owned()) };
            self.book.add(record(self.id(m), recorded, vec![biomed.clone()], Body::Service(service)));
            self.open_elsewhere(m, elsewhere, during, after(started, 1800), vec![biomed], &mut chance);
            return;
        }
        let proof = after(finished, chance.between(300, 900));
        if let Some(state) = self.machines.get_mut(m) {
            state.away.push((started, after(proof, PROOF_LASTS)));
        }
        let Some((path, proved)) = self.prove(m, proof, &biomed, &mut chance) else { return };
        service.proved_by = Some(path);
        let recorded = after(proved, chance.between(120, 900));
        self.book.add(record(self.id(m), recorded, vec![biomed], Body::Service(service)));
    }

    /// A look at wheels, cables and hoses in the maintenance week; the next service stays where it was.
    fn small_round(&mut self, m: usize, today: NaiveDate) {
        let mut chance = self.chance("small round", m, today);
        let Some(next) = self.machines.get(m).and_then(|state| state.services.first().copied()) else { return };
        let started = at(today, chance.between(hm(13, 30), hm(15, 0)));
        let finished = after(started, chance.between(25, 50) * 60);
        let service = Service {
            started,
            finished,
            work: "Maintenance week: castors, cables and hoses looked over, hoses dated, machine cleaned.".to_owned(),
            next_due: Date(days_later(next, GRACE)),
            instruments: Vec::new(),
            proved_by: None,
        };
        let by = vec![self.person(Role::Biomed, day(started), &mut chance)];
        let recorded = after(finished, chance.between(60, 600));
        self.book.add(record(self.id(m), recorded, by, Body::Service(service)));
    }
}

/// Returns the flow analyser with the calibration of the year before.
fn overdue(on: NaiveDate) -> Instrument {
    let good = instrument(1, on);
    let ended = good.calibration_due.0.with_year(good.calibration_due.0.year() - 1).unwrap_or(on);
    Instrument { id: good.id, calibration_due: Date(ended) }
}
