//! What people forget and get wrong: checks that do not come, that are written down late, that hold a mistake.
//!
//! A mistake is put right by a second record; the first one stays.

use super::chance::Chance;
use super::clock::{after, at, hm, next_working_day};
use super::filling::one_result;
use super::machines::quantity;
use super::walk::Walk;
use crate::record::{Answer, Body, Correction, Record};
use crate::register::Role;
use chrono::{Datelike, NaiveDate, Weekday};
use std::sync::Arc;

impl Walk<'_> {
    /// Returns whether a check that is expected does not come.
    pub fn is_missed(&self, m: usize, day: NaiveDate) -> bool {
        if self.copies(m, day) || self.machines.get(m).is_some_and(|s| s.due.iter().any(|due| due.day == day)) {
            return false;
        }
        let monday = if day.weekday() == Weekday::Mon { 11 } else { 0 };
        let often = if self.planted.often_missed == self.id(m) { 35 } else { 0 };
        self.chance("missed", m, day).in_thousand(7 + monday + often)
    }

    /// Writes a check down a working day later, now and then; a Friday's then comes after the weekend.
    pub fn delay(&self, day: NaiveDate, written: &mut Record, chance: &mut Chance) {
        if chance.in_thousand(20) {
            let next = next_working_day(day);
            written.common.recorded = at(next, chance.between(hm(7, 30), hm(9, 30)));
            if chance.in_thousand(400) {
                let other = self.person(Role::Technician, next, chance);
                written.common.recorded_by = Some(other).filter(|id| !id.is_empty());
            }
            if chance.in_thousand(500) {
                written.common.remarks =
                    Some("Done in the morning, written down later from the slip of paper.".to_owned());
            }
        }
    }

    /// Makes a mistake in a record when one is to be made, adds it, and turns `written` into its correction.
    pub fn slip(&mut self, m: usize, day: NaiveDate, written: &mut Record) -> bool {
        let mut chance = self.chance("slip", m, day);
        let due = self.machines.get(m).and_then(|state| state.slips.first()).is_some_and(|slip| *slip <= day);
        let mut mistaken = written.clone();
        let Body::Check(check) = &mut mistaken.body else { return false };
        if !due {
            return false;
        }
        let reading = one_result(&mut Arc::make_mut(check).results, "spare-oxygen-cylinder");
        let because = match reading.map(|result| (&mut result.answer, chance.in_thousand(600))) {
            Some((Answer::Reading(psi), true)) => {
                // A nought goes missing: 1450 becomes 145.
                let short = psi.number().strip_suffix('0').and_then(|number| number.parse().ok()).unwrap_or(0);
                *psi = quantity(short, "psi");
                "a nought was missing in the cylinder pressure"
            }
            _ => {
                let other = self
                    .staff(Role::Technician, day)
                    .into_iter()
                    .find(|id| !mistaken.common.by.contains(&(*id).to_owned()));
                let (Some(other), Some(first)) = (other, mistaken.common.by.first_mut()) else { return false };
                *first = other.to_owned();
                "wrong name picked from the list"
            }
        };
        if let Some(state) = self.machines.get_mut(m) {
            state.slips.remove(0);
        }
        let record = self.book.add(mistaken);
        written.common.recorded = after(written.common.recorded, chance.between(240, 2400));
        written.common.corrects = Some(Correction { record, because: because.to_owned() });
        true
    }
}
