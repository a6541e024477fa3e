//! The rest of the day: checks before each patient, faults that show in use, and starts in an emergency.
//!
//! A machine that is away is left out, and the spare that stands in for it takes its cases.

use super::book::{checked, record};
use super::case::ShownBy;
use super::clock::{after, at, hm};
use super::elsewhere::ELSEWHERE;
use super::filling::timed;
use super::round::{Doing, StandIns};
use super::walk::{Course, Walk};
use crate::procedure::{Procedure, When};
use crate::record::result::Entry;
use crate::record::{Answer, Body, Check, Date, FoundDuring, ItemResult, Moment, Void};
use crate::register::Role;
use chrono::NaiveDate;
use std::sync::Arc;

/// The items that are done before an emergency; the others wait.
const CANNOT_WAIT: [&str; 5] = ["backup-ventilation", "suction", "power-on", "monitors", "gas-flow"];

impl Walk<'_> {
    /// Does the checks before each patient of a day.
    pub fn cases(&mut self, day: NaiveDate, mut stand_ins: StandIns) {
        let Some(procedure) = self.in_force(When::EachPatient, day) else { return };
        for (u, unit) in self.units.iter().enumerate() {
            if unit.machine.spare || !self.contents.expects(&unit.id, Date(day)).unwrap_or(false) {
                continue;
            }
            self.shows_in_use(u, day, &mut stand_ins);
            let mut chance = self.chance("cases", u, day);
            let cases = chance.between(unit.cases.0, unit.cases.1);
            let mut time = chance.between(hm(7, 50), hm(8, 20));
            for n in 0..cases {
                let begins = at(day, time);
                let away = self.is_away(u, begins) || self.is_away(u, after(begins, 900));
                let machine = if away { stand_ins.get(u).copied().flatten() } else { Some(u) };
                let used = machine.filter(|m| !away || !self.is_away(*m, begins));
                if let Some(m) = used {
                    let provider = self.provider(u);
                    self.patient(m, procedure, (day, n), provider, begins, &mut stand_ins);
                }
                time += chance.between(75 * 60, 160 * 60);
            }
        }
    }

    /// Does one check before a patient.
    fn patient(
        &mut self,
        m: usize,
        procedure: &Procedure,
        (day, n): (NaiveDate, i64),
        provider: String,
        started: Moment,
        stand_ins: &mut StandIns,
    ) {
        let mut chance = self.chance(&format!("patient {n}"), m, day);
        let mut by = vec![provider];
        if chance.in_thousand(350) {
            by.push(self.person(Role::Technician, day, &mut chance));
        }
        let trouble = self.breaks_by_chance(m, procedure, day, &mut chance);
        let broken = trouble.and_then(|trouble| self.broken_at(m, procedure, trouble.item, day, &mut chance));
        let mut results = self.fill(m, procedure, day, broken.as_ref(), &mut chance);
        if broken.is_none() {
            self.humanize(m, procedure, &mut results, day, &mut chance);
        }
        let least = timed(&results) + 6 * results.0.len() as i64;
        let finished = after(started, chance.between(110, 260).max(least));
        let check = checked(procedure, started, finished, results);
        let failed = self.failed(m, &check);
        // Once in a long while a technician signs for what only a provider may confirm.
        if failed.is_none() && by.len() > 1 && chance.in_thousand(3) {
            by.remove(0);
        }
        let finder = by.first().cloned().unwrap_or_default();
        let written = record(self.id(m), after(finished, chance.between(15, 90)), by, Body::Check(check));
        let recorded = written.common.recorded;
        let path = self.book.add(written.clone());
        if let Some(failed) = failed {
            let check = ShownBy { check: path, finished, recorded, finder };
            let found = self.open_from_check(m, check, failed, Course::Usual, &mut chance);
            self.step_in(m, day, found, stand_ins);
        } else if self.is_written_twice(m, day, n) {
            let mut twice = written;
            twice.common.recorded = after(twice.common.recorded, chance.between(60, 400));
            let (by, recorded) = (twice.common.by.clone(), after(twice.common.recorded, chance.between(120, 900)));
            let of = self.book.add(twice);
            let because = "written down twice, the first one counts".to_owned();
            self.book.add(record(self.id(m), recorded, by, Body::Void(Void { of, because })));
        }
    }

    /// Returns whether the check before a patient is written down twice: the first case of the first machine on a few
    /// days spread over the whole time.
    fn is_written_twice(&self, m: usize, day: NaiveDate, n: i64) -> bool {
        let days = (day - self.planted.first_day.0).num_days();
        m == 0 && n == 0 && days % 137 == 9
    }

    /// Lets a fault show that no check shows, now and then.
    fn shows_in_use(&mut self, m: usize, day: NaiveDate, stand_ins: &mut StandIns) {
        let mut chance = self.chance("in use", m, day);
        let Some(machine) = self.machine(m, day) else { return };
        let found = at(day, chance.between(hm(9, 30), hm(13, 0)));
        if !chance.in_thousand(4) || self.is_quiet(m, day) || self.is_away(m, found) {
            return;
        }
        let fits = |fitted: &str| fitted.is_empty() || machine.fitted.iter().any(|f| f == fitted);
        let Some(elsewhere) = chance.weighted(&ELSEWHERE, |e| if fits(e.fitted) { e.weight } else { 0 }) else {
            return;
        };
        let role = if elsewhere.way == "in-use" { Role::Provider } else { Role::Technician };
        let by = vec![self.person(role, day, &mut chance)];
        let during = FoundDuring { check: None, items: Vec::new(), way: Some(elsewhere.way.to_owned()) };
        self.open_elsewhere(m, elsewhere, during, found, by, &mut chance);
        self.step_in(m, day, found, stand_ins);
    }

    /// Starts in an emergency at night, now and then: a few items at once, the whole check when there is time.
    pub fn emergency(&mut self, day: NaiveDate) {
        let m = 0;
        let mut chance = self.chance("emergency", m, day);
        let started = at(day, chance.between(hm(0, 40), hm(4, 20)));
        let Some(procedure) = self.in_force(When::FirstCase, day) else { return };
        if !chance.in_thousand(14) || self.is_away(m, started) {
            return;
        }
        let by = vec![self.provider(m), self.person(Role::Technician, day, &mut chance)];
        let mut results = self.fill(m, procedure, day, None, &mut chance);
        for (item, entry) in &mut results.0 {
            if !CANNOT_WAIT.contains(&item.as_str()) {
                *entry = Entry::One(ItemResult::plain(Answer::NotDone("emergency start".to_owned())));
            }
        }
        let finished = after(started, timed(&results) + chance.between(60, 110));
        let check = Check {
            form: None,
            procedure: procedure.procedure.clone(),
            revision: procedure.revision,
            started,
            finished,
            emergency_start: true,
            results,
        };
        let recorded = after(finished, chance.between(2400, 5400));
        self.book.add(record(self.id(m), recorded, by.clone(), Body::Check(Arc::new(check))));
        let started = after(recorded, chance.between(300, 1800));
        let mut nobody = vec![None; self.units.len()];
        self.daily(m, procedure, day, Doing { by, started, lasts: (400, 760) }, &mut nobody);
    }
}
