//! The morning's round: the daily check of each machine that is expected in use, and of a spare for one that is away.
//!
//! Technicians go from machine to machine from half past six on, each with the provider of that machine. A check
//! that shows a fault opens it; what people forget or get wrong is told in [`super::slips`].

use super::book::{checked, record};
use super::case::ShownBy;
use super::chance::Chance;
use super::clock::{after, at, hm, of_day};
use super::filling::{Broken, one_result, timed};
use super::trouble::{TROUBLES, Trouble};
use super::walk::{Course, Walk};
use crate::procedure::{Procedure, When, asked};
use crate::record::{Body, Date, Moment, Results};
use crate::register::Role;
use chrono::NaiveDate;

/// For each machine, the spare that stands in for it today.
pub type StandIns = Vec<Option<usize>>;

/// What people write at the end of a check that went well.
const REMARKS: [&str; 12] = [
    "Absorbent changed after the check, next morning is due for a look.",
    "Mask for the bag was in the drawer below, put back.",
    "Suction tubing replaced before the test.",
    "Clock was two minutes fast, set.",
    "Handover from the night team, nothing special.",
    "Screen protector loose, biomed told by telephone.",
    "Water trap emptied.",
    "Sampling line replaced.",
    "Wheel brake stiff, still holds.",
    "Label of the hose hard to read, new one asked for.",
    "New colleague looked on.",
    "Printer out of paper.",
];

/// How a check is done: by whom, from when, for how many seconds at least and at most.
pub struct Doing {
    pub by: Vec<String>,
    pub started: Moment,
    pub lasts: (i64, i64),
}

impl<'a> Walk<'a> {
    /// Does the morning's round of a day and returns who stands in for whom.
    pub fn round(&mut self, day: NaiveDate) -> StandIns {
        let mut stand_ins = vec![None; self.units.len()];
        let Some(in_force) = self.in_force(When::FirstCase, day) else { return stand_ins };
        let seven = at(day, hm(7, 0));
        let mut machines = Vec::new();
        for m in 0..self.units.len() {
            let expected = self.contents.expects(self.id(m), Date(day)).unwrap_or(false);
            match (expected, self.is_away(m, seven)) {
                (true, false) if !machines.contains(&m) => machines.push(m),
                (true, true) => {
                    if let Some(spare) = self.free_spare(&stand_ins, seven) {
                        if let Some(stand_in) = stand_ins.get_mut(m) {
                            *stand_in = Some(spare);
                        }
                        if !machines.contains(&spare) {
                            machines.push(spare);
                        }
                    }
                }
                _ => {}
            }
        }
        let technicians = self.on_duty(day);
        let mut clocks: Vec<i64> = technicians
            .iter()
            .map(|id| hm(6, 30) + Chance::of(self.settings.seed, "arrival", id, day).between(0, 480))
            .collect();
        for (n, m) in machines.into_iter().enumerate() {
            if self.is_missed(m, day) {
                continue;
            }
            let copying = self.planted.copied.as_ref().filter(|c| self.copies(m, day) && c.machine == self.id(m));
            let t = copying
                .and_then(|c| technicians.iter().position(|id| *id == c.person))
                .unwrap_or(n % technicians.len().max(1));
            let (Some(technician), Some(clock)) = (technicians.get(t), clocks.get_mut(t)) else { continue };
            let started = at(day, *clock);
            let by = vec![(*technician).to_owned(), self.provider(m)];
            let finished = self.daily(m, in_force, day, Doing { by, started, lasts: (370, 760) }, &mut stand_ins);
            *clock += finished.seconds_since(started) + self.chance("walk", m, day).between(60, 240);
        }
        stand_ins
    }

    /// Returns the technicians who work on a day: all but one, who has the day off.
    fn on_duty(&self, day: NaiveDate) -> Vec<&'a str> {
        let mut technicians = self.staff(Role::Technician, day);
        // Whoever copies in the week of copied readings has no day off in it.
        let copier = self.planted.copied.as_ref().filter(|c| c.from.0 <= day && day <= c.until.0).map(|c| &c.person);
        if technicians.len() > 2
            && let Some(off) = technicians.iter().rposition(|id| Some(*id) != copier.map(String::as_str))
        {
            technicians.remove(off);
        }
        technicians
    }

    /// Returns whether this is a day of the week of copied readings on that machine.
    pub fn copies(&self, m: usize, day: NaiveDate) -> bool {
        let copied = self.planted.copied.as_ref();
        copied.is_some_and(|c| c.machine == self.id(m) && c.from.0 <= day && day <= c.until.0)
    }

    /// Returns a spare that is at hand and stands in for nobody yet.
    pub fn free_spare(&self, stand_ins: &StandIns, moment: Moment) -> Option<usize> {
        let spare = |m: &usize| self.units.get(*m).is_some_and(|unit| unit.machine.spare);
        (0..self.units.len()).filter(spare).find(|m| !stand_ins.contains(&Some(*m)) && !self.is_away(*m, moment))
    }

    /// Does one daily check with everything that may come of it, and returns when it was finished.
    pub fn daily(
        &mut self,
        m: usize,
        in_force: &Procedure,
        day: NaiveDate,
        doing: Doing,
        stand_ins: &mut StandIns,
    ) -> Moment {
        let procedure = self.followed(m, in_force, day);
        let mut chance = self.chance(&format!("daily {}", of_day(doing.started)), m, day);
        let broken = self.breaks(m, procedure, day);
        let course = broken.as_ref().map_or(Course::Usual, |(_, course)| *course);
        let mut results = self.fill(m, procedure, day, broken.as_ref().map(|(broken, _)| broken), &mut chance);
        if self.copies(m, day) {
            results = self.copy(m, results);
        } else if broken.is_none() {
            self.humanize(m, procedure, &mut results, day, &mut chance);
        }
        let (low, high) = if self.copies(m, day) { (360, 400) } else { doing.lasts };
        let least = timed(&results) + 8 * results.0.len() as i64;
        let finished = after(doing.started, chance.between(low, high).max(least));
        let check = checked(procedure, doing.started, finished, results);
        let failed = self.failed(m, &check);
        let recorded = after(finished, chance.between(20, 100));
        let finder = doing.by.first().cloned().unwrap_or_default();
        let mut written = record(self.id(m), recorded, doing.by, Body::Check(check));
        match failed {
            Some(failed) => {
                let check = ShownBy { check: self.book.add(written), finished, recorded, finder };
                let found = self.open_from_check(m, check, failed, course, &mut chance);
                self.step_in(m, day, found, stand_ins);
            }
            None => {
                if !self.copies(m, day) && !self.slip(m, day, &mut written) {
                    self.delay(day, &mut written, &mut chance);
                    if chance.in_thousand(40) && written.common.remarks.is_none() {
                        written.common.remarks = Some(chance.word(&REMARKS).to_owned());
                    }
                }
                self.book.add(written);
            }
        }
        finished
    }

    /// Returns the revision that is followed: on its first day one machine is still checked by the old one.
    fn followed<'p>(&self, m: usize, in_force: &'p Procedure, day: NaiveDate) -> &'p Procedure
    where
        'a: 'p,
    {
        let first_day = in_force.in_force_from.0 == day && m == 0;
        let before = self.contents.procedures.get(&(in_force.procedure.clone(), in_force.revision.wrapping_sub(1)));
        before.filter(|_| first_day).unwrap_or(in_force)
    }

    /// Returns what is broken at today's check, by plan or by chance.
    pub fn breaks(&mut self, m: usize, procedure: &Procedure, day: NaiveDate) -> Option<(Broken, Course)> {
        let mut chance = self.chance("breaks", m, day);
        let state = self.machines.get_mut(m)?;
        let planned = state.due.first().filter(|due| due.day <= day && state.open.is_none()).copied();
        let Some(due) = planned else {
            let trouble = self.breaks_by_chance(m, procedure, day, &mut chance)?;
            return Some((self.broken_at(m, procedure, trouble.item, day, &mut chance)?, Course::Usual));
        };
        state.due.remove(0);
        let planned = self.broken_at(m, procedure, due.item, day, &mut chance);
        // Not every machine has every item; each has a breathing system.
        let broken = planned.or_else(|| self.broken_at(m, procedure, "circuit-leak", day, &mut chance))?;
        Some((broken, due.course))
    }

    /// Returns the trouble that comes up by chance at a check, if one does.
    pub fn breaks_by_chance(
        &self,
        m: usize,
        procedure: &Procedure,
        day: NaiveDate,
        chance: &mut Chance,
    ) -> Option<&'static Trouble> {
        let worse = if self.planted.worst_machine == self.id(m) { 3 } else { 1 };
        let often = if procedure.when == When::FirstCase { 10 } else { 1 };
        if !chance.in_thousand(often * worse) || self.is_quiet(m, day) {
            return None;
        }
        let asked = asked(procedure, self.machine(m, day)?);
        // The planted drift is left alone: a new cell on that machine would hide it.
        let drifts = self.planted.drift.0 == self.id(m);
        chance.weighted(&TROUBLES, |trouble| {
            let here = asked.iter().any(|a| a.item.id == trouble.item);
            if here && !(drifts && trouble.item.starts_with("oxygen-monitor")) { trouble.weight } else { 0 }
        })
    }

    /// Takes the answers of the first day of the week of copied readings.
    fn copy(&mut self, m: usize, mut results: Results) -> Results {
        if let Some(result) = one_result(&mut results, "spare-oxygen-cylinder") {
            result.remark = None;
        }
        match self.machines.get_mut(m) {
            Some(state) => state.copied.get_or_insert(results).clone(),
            None => results,
        }
    }

    /// Brings a spare in for a machine that was withheld this moment.
    pub fn step_in(&mut self, m: usize, day: NaiveDate, found: Moment, stand_ins: &mut StandIns) {
        if !self.is_away(m, found) || self.units.get(m).is_none_or(|unit| unit.machine.spare) {
            return;
        }
        let mut chance = self.chance("stand-in", m, day);
        let (Some(spare), Some(procedure)) = (self.free_spare(stand_ins, found), self.in_force(When::FirstCase, day))
        else {
            return;
        };
        if let Some(stand_in) = stand_ins.get_mut(m) {
            *stand_in = Some(spare);
        }
        let technician = self.person(Role::Technician, day, &mut chance);
        let provider = self.provider(m);
        let started = after(found, chance.between(600, 1500));
        self.daily(
            spare,
            procedure,
            day,
            Doing { by: vec![technician, provider], started, lasts: (370, 600) },
            stand_ins,
        );
    }
}
