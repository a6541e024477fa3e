//! The days of the invented hospital, one after another.
//!
//! Takes the hospital's own files, read back as a logbook's contents, and what is to be planted; gives the records. What
//! happens on a day is told in the files beside this one: the morning's round, the cases, upkeep, and the way of a fault.

use super::book::Book;
use super::case::Open;
use super::chance::Chance;
use super::clock::{at, days_later, hm};
use super::gauges::Gauges;
use super::machines::Unit;
use super::people::there;
use super::planted::{Planted, expiring_found};
use super::upkeep;
use super::{Planned, Settings};
use crate::contents::Contents;
use crate::procedure::When;
use crate::record::{Date, Moment, Results};
use crate::register::{Machine, Role};
use chrono::NaiveDate;

/// The demo on its way through the days.
pub struct Walk<'a> {
    pub settings: &'a Settings,
    pub planted: &'a Planted,
    pub contents: &'a Contents,
    pub units: &'a [Unit],
    pub machines: Vec<State>,
    pub book: Book,
    /// Whether the service with the overdue instrument is still to come.
    pub overdue_instrument: bool,
    /// For each machine, the provider who works with it today.
    pub providers: Vec<String>,
}

/// One machine on its way through the days.
pub struct State {
    pub gauges: Gauges,
    /// The fault that is open, if there is one. There is never more than one at a time.
    pub open: Option<Open>,
    /// Spans in which the machine is withheld or in the workshop's hands.
    pub away: Vec<(Moment, Moment)>,
    /// Faults that are to come, in the order of their days.
    pub due: Vec<Due>,
    /// The days on which planned maintenance is done.
    pub services: Vec<NaiveDate>,
    /// The answers that are copied in the week of copied readings.
    pub copied: Option<Results>,
    /// Days from which on a mistake is made in a record.
    pub slips: Vec<NaiveDate>,
}

/// A fault that is to come: from which day on, on which item, and how it goes on.
#[derive(Clone, Copy)]
pub struct Due {
    pub day: NaiveDate,
    pub item: &'static str,
    pub course: Course,
}

/// How it goes on with a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Course {
    Usual,
    /// Repaired within a day or so, without waiting.
    Quick,
    /// Not found by the first repair.
    NotFound,
    /// Still waiting for a part on the last day.
    Waiting,
    /// Restricted until after the last day.
    Restricted,
    /// Released only after the restriction had ended.
    Expiring,
}

/// Walks through all days and returns the records.
pub fn records(settings: &Settings, planted: &Planted, contents: &Contents, units: &[Unit]) -> Vec<Planned> {
    let (first, last) = (planted.first_day.0, settings.last_day.0);
    let mut walk = Walk {
        settings,
        planted,
        contents,
        units,
        machines: units.iter().map(|unit| State::new(settings, planted, unit)).collect(),
        book: Book::default(),
        overdue_instrument: true,
        providers: vec![String::new(); units.len()],
    };
    walk.plan_faults();
    for day in first.iter_days().take_while(|day| *day <= last) {
        walk.assign(day);
        walk.emergency(day);
        let stand_ins = walk.round(day);
        walk.cases(day, stand_ins);
        walk.services(day);
        walk.proofs(day);
    }
    walk.book.until(at(last, hm(12, 0)))
}

impl State {
    fn new(settings: &Settings, planted: &Planted, unit: &Unit) -> State {
        let (first, last) = (planted.first_day.0, settings.last_day.0);
        let drifts = planted.drift.0 == unit.id;
        let length = (last - first).num_days();
        let slip = |share: i64| days_later(first, length * share / 100);
        State {
            gauges: Gauges::new(settings.seed, &unit.id, first, drifts),
            open: None,
            away: Vec::new(),
            due: Vec::new(),
            services: upkeep::days(settings, planted, &unit.id),
            copied: None,
            slips: if drifts {
                vec![slip(20), slip(50), slip(80)]
            } else {
                vec![slip(20 + unit.id.bytes().map(i64::from).sum::<i64>() % 65)]
            },
        }
    }
}

impl<'a> Walk<'a> {
    /// Returns the stream of chance for a purpose, a machine and a day.
    pub fn chance(&self, purpose: &str, m: usize, day: NaiveDate) -> Chance {
        Chance::of(self.settings.seed, purpose, self.id(m), day)
    }

    /// Returns a machine's id.
    pub fn id(&self, m: usize) -> &'a str {
        self.units.get(m).map_or("", |unit| unit.id.as_str())
    }

    /// Returns a machine as its file says it was on a day.
    pub fn machine(&self, m: usize, day: NaiveDate) -> Option<&'a Machine> {
        self.contents.machine_on(self.id(m), Date(day))
    }

    /// Returns the people of a role who are there on a day, turned a little further each day.
    pub fn staff(&self, role: Role, day: NaiveDate) -> Vec<&'a str> {
        let mut people = there(&self.contents.people, role, day);
        let turns = (day - self.planted.first_day.0).num_days().unsigned_abs() as usize;
        let turn = turns % people.len().max(1);
        people.rotate_left(turn);
        people
    }

    /// Gives each machine its provider of the day.
    fn assign(&mut self, day: NaiveDate) {
        let staff = self.staff(Role::Provider, day);
        let turns = staff.iter().cycle().map(|id| (*id).to_owned());
        self.providers = turns.take(self.units.len()).collect();
    }

    /// Returns the provider who works with a machine today.
    pub fn provider(&self, m: usize) -> String {
        self.providers.get(m).cloned().unwrap_or_default()
    }

    /// Returns one person of a role on a day.
    pub fn person(&self, role: Role, day: NaiveDate, chance: &mut Chance) -> String {
        chance.pick(&self.staff(role, day)).map(|id| (*id).to_owned()).unwrap_or_default()
    }

    /// Returns whether a machine is withheld or in the workshop's hands at a moment.
    pub fn is_away(&self, m: usize, moment: Moment) -> bool {
        self.machines.get(m).is_some_and(|state| state.away.iter().any(|(from, to)| *from <= moment && moment < *to))
    }

    /// Returns whether no fault may come up by chance on a machine now: because one is open, because one that was
    /// planted needs the machine soon, or because the day belongs to something else that was planted.
    pub fn is_quiet(&self, m: usize, day: NaiveDate) -> bool {
        let Some(state) = self.machines.get(m) else { return true };
        let worsening = self.planted.worsening_month.0;
        let soon = |planned: NaiveDate| day <= planned && (planned - day).num_days() <= 16;
        state.open.is_some()
            || (worsening <= day && day < super::clock::months_before(self.settings.last_day.0, 0))
            || state.due.iter().any(|due| soon(due.day) || due.day <= day)
            || self.planted.copied.as_ref().is_some_and(|c| c.machine == self.id(m) && soon(c.until.0))
    }

    /// Puts in the faults that are planted.
    fn plan_faults(&mut self) {
        let (first, last) = (self.planted.first_day.0, self.settings.last_day.0);
        let length = (last - first).num_days();
        let machine = |id: Option<&str>| self.units.iter().position(|unit| Some(unit.id.as_str()) == id);
        let regular = self.units.iter().filter(|unit| !unit.machine.spare).count();
        let mut all: Vec<(Option<usize>, NaiveDate, &'static str, Course)> = Vec::new();

        let worst = machine(Some(&self.planted.worst_machine));
        let month = self.planted.worsening_month.0;
        for (days, item) in [(4, "circuit-leak"), (12, "low-oxygen-alarm"), (20, "suction")] {
            all.push((worst, days_later(month, days), item, Course::Quick));
        }
        let others = (0..regular).filter(|m| Some(*m) != worst).step_by(6);
        for (n, m) in others.enumerate() {
            all.push((Some(m), days_later(month, 8 + n as i64), "monitors", Course::Quick));
        }
        if let Some((id, _, from)) = &self.planted.repeat {
            let m = machine(Some(id));
            all.push((m, from.0, "circuit-leak", Course::NotFound));
            all.push((m, days_later(from.0, 12), "circuit-leak", Course::Usual));
        }
        if let Some(m) = machine(self.planted.open_fault.as_deref()) {
            all.push((Some(m), days_later(last, -6), "ventilator", Course::Waiting));
        }
        // One that waits for a part over the end of the last full month, so that its report has an open fault.
        let busy = [&self.planted.open_fault, &self.planted.open_restriction];
        let free =
            |m: &usize| Some(*m) != worst && !busy.iter().any(|id| id.as_deref() == Some(self.units[*m].id.as_str()));
        if let Some(m) = (0..regular).rev().find(free) {
            all.push((Some(m), days_later(month, 22), "circuit-leak", Course::Waiting));
        }
        if let Some(m) = machine(self.planted.open_restriction.as_deref()) {
            all.push((Some(m), days_later(last, -10), "scavenging", Course::Restricted));
        }
        if let Some((id, _)) = &self.planted.expired_restriction {
            all.push((machine(Some(id)), expiring_found(first, length), "scavenging", Course::Expiring));
        }
        for (m, day, item, course) in all {
            if let Some(state) = m.and_then(|m| self.machines.get_mut(m)) {
                state.due.push(Due { day: day.max(first), item, course });
            }
        }
        for state in &mut self.machines {
            state.due.sort_by_key(|due| due.day);
        }
    }

    /// Returns the procedure in force on a day for an occasion.
    pub fn in_force(&self, when: When, day: NaiveDate) -> Option<&'a crate::procedure::Procedure> {
        self.contents.in_force_when(when, Date(day))
    }
}
