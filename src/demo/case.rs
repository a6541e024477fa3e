//! The way of a fault: found, withheld or restricted, worked on, proved by a complete check, released.
//!
//! Takes a fault on a machine and what is done about it. Work is done in the workshop's hours; what has to wait for a part
//! waits. The release comes when its day comes, so that the proving check shows the machine as it then is.

use super::book::{checked, record};
use super::chance::Chance;
use super::clock::{after, at, day, days_later, hm, in_workshop, is_working_day, next_working_day};
use super::elsewhere::Elsewhere;
use super::filling::{Broken, Failed, timed};
use super::trouble::{self, Remedy};
use super::walk::{Course, Walk};
use crate::procedure::When;
use crate::record::kinds::{Instrument, Waited};
use crate::record::{Body, Date, Fault, FoundDuring, Moment, Release, Repair, Use};
use crate::register::Role;
use chrono::{Datelike, NaiveDate};

/// A fault that is open on a machine.
pub struct Open {
    pub fault: String,
    pub restricted: bool,
    pub broken: Option<Broken>,
    /// Why the broken item is left out of checks while the restriction lasts; empty when it is not.
    pub left_out: &'static str,
    /// When the complete check begins.
    proof: Moment,
    biomed: String,
    new_cylinder: bool,
    new_cell: bool,
}

/// The longest that a complete check and what comes with it keep a machine away.
pub const PROOF_LASTS: i64 = 6_600;

/// The check that showed a fault.
pub struct ShownBy {
    pub check: String,
    pub finished: Moment,
    pub recorded: Moment,
    /// Who writes the fault down.
    pub finder: String,
}

/// What is known of a fault when it is written down.
struct Found<'a> {
    during: FoundDuring,
    moment: Moment,
    /// When it is written down at the earliest: after the check that showed it.
    known: Moment,
    by: Vec<String>,
    what: &'a str,
    /// How the machine may still be used; nothing when it is withheld.
    restriction: Option<&'a str>,
    left_out: &'static str,
    broken: Option<Broken>,
    course: Course,
}

impl Walk<'_> {
    /// Opens the fault that a check showed and returns when it was found.
    pub fn open_from_check(
        &mut self,
        m: usize,
        shown: ShownBy,
        failed: Failed,
        course: Course,
        chance: &mut Chance,
    ) -> Moment {
        let trouble = trouble::of(&failed.first.item);
        let moment = after(shown.finished, chance.between(20, 150));
        let found = Found {
            during: FoundDuring { check: Some(shown.check), items: failed.places, way: None },
            moment,
            known: moment.max(shown.recorded),
            by: vec![shown.finder],
            what: chance.word(trouble.what),
            restriction: (!failed.withholds).then_some(trouble.restriction),
            left_out: trouble.left_out,
            broken: Some(failed.first),
            course,
        };
        let remedy = match course {
            Course::NotFound => trouble.remedies.iter().find(|remedy| remedy.cause == "no-fault-found"),
            Course::Waiting => trouble.remedies.iter().find(|remedy| remedy.wait.is_some()),
            _ => None,
        };
        let Some(remedy) = remedy.or_else(|| chance.weighted(trouble.remedies, |remedy| remedy.weight)) else {
            return moment;
        };
        self.open(m, found, remedy, chance);
        moment
    }

    /// Opens a fault that no check showed.
    pub fn open_elsewhere(
        &mut self,
        m: usize,
        elsewhere: &'static Elsewhere,
        during: FoundDuring,
        moment: Moment,
        by: Vec<String>,
        chance: &mut Chance,
    ) {
        let found = Found {
            during,
            moment,
            known: moment,
            by,
            what: elsewhere.what,
            restriction: (!elsewhere.restriction.is_empty()).then_some(elsewhere.restriction),
            left_out: "",
            broken: None,
            course: Course::Usual,
        };
        self.open(m, found, &elsewhere.remedy, chance);
    }

    fn open(&mut self, m: usize, found: Found<'_>, remedy: &Remedy, chance: &mut Chance) {
        let moment = found.moment;
        let biomed = self.person(Role::Biomed, day(moment), chance);
        let usage = match found.restriction {
            None => Use::Withheld,
            Some(restriction) => {
                let until = match found.course {
                    Course::Restricted => days_later(self.settings.last_day.0, 2),
                    Course::Expiring => days_later(day(moment), super::planted::EXPIRING_DAYS),
                    _ => days_later(day(moment), chance.between(8, 14)),
                };
                let owner = self.person(Role::Provider, day(moment), chance);
                Use::Restricted { restriction: restriction.to_owned(), until: Date(until), owner }
            }
        };
        let restricted = usage != Use::Withheld;
        let recorded = after(found.known, chance.between(30, 180));
        let fault = Fault { found: moment, found_during: found.during, what: found.what.to_owned(), usage };
        let fault = self.book.add(record(self.id(m), recorded, found.by, Body::Fault(fault)));

        let (started, finished) = self.work(m, &fault, found.course, restricted, recorded, &biomed, remedy, chance);
        let proof = in_workshop(after(finished, chance.between(300, 1800)), hm(16, 30));
        let item = found.broken.as_ref().map_or("", |broken| broken.item.as_str());
        let new_cylinder = item == "spare-oxygen-cylinder";
        let new_cell = remedy.parts.contains(&"oxygen cell");
        let away_from = if restricted { started } else { moment };
        if let Some(state) = self.machines.get_mut(m) {
            state.away.retain(|(_, until)| *until > after(moment, -86_400));
            state.away.push((away_from, after(proof, PROOF_LASTS)));
            let (broken, left_out) = (found.broken, found.left_out);
            state.open = Some(Open { fault, restricted, broken, left_out, proof, biomed, new_cylinder, new_cell });
        }
    }

    /// Writes the repair or repairs of a fault, and returns when the work began and when it was finished.
    #[expect(clippy::too_many_arguments, reason = "the one place where a fault and its remedy become records")]
    fn work(
        &mut self,
        m: usize,
        fault: &str,
        course: Course,
        restricted: bool,
        known: Moment,
        biomed: &str,
        remedy: &Remedy,
        chance: &mut Chance,
    ) -> (Moment, Moment) {
        let started = match (course, restricted) {
            (Course::Restricted, _) => at(next_working_day(days_later(self.settings.last_day.0, 1)), hm(13, 30)),
            (Course::Expiring, _) => {
                let twelve = days_later(day(known), super::planted::EXPIRING_DAYS + 5);
                let on = if is_working_day(twelve) { twelve } else { next_working_day(twelve) };
                at(on, hm(13, 30))
            }
            (_, true) => {
                let days = chance.between(1, 3);
                let on = (0..days).fold(day(known), |day, _| next_working_day(day));
                at(on, chance.between(hm(13, 15), hm(14, 30)))
            }
            (Course::Quick, false) => in_workshop(after(known, chance.between(900, 3600)), hm(15, 30)),
            (_, false) => in_workshop(after(known, chance.between(1200, 5 * 3600)), hm(15, 30)),
        };
        let wait = match course {
            Course::Waiting => Some(("parts", 22 * 24, 26 * 24)),
            Course::Quick | Course::Expiring => None,
            _ => remedy.wait,
        };
        let minutes = chance.between(remedy.minutes.0, remedy.minutes.1);
        let Some((what, fewest, most)) = wait else {
            let finished = after(started, minutes * 60 + chance.between(0, 59));
            self.repair(m, fault, (started, finished), biomed, remedy, None, chance);
            return (started, finished);
        };
        let hours = chance.between(fewest, most);
        let waited = Waited { what: what.to_owned(), time: spoken_wait(hours) };
        let looked = after(started, chance.between(20, 50) * 60);
        let arrives = in_workshop(after(looked, hours * 3600), hm(15, 0));
        let finished = after(arrives, minutes * 60 + chance.between(0, 59));
        // A long wait is mostly told in two repairs: one that found the cause, one that put the part in.
        if course == Course::Waiting || chance.in_thousand(500) {
            let first = Repair {
                fault: fault.to_owned(),
                started,
                finished: looked,
                cause: remedy.cause.to_owned(),
                work: format!("Cause found; {} ordered.", remedy.parts.first().unwrap_or(&"part")),
                parts: Vec::new(),
                waited: Vec::new(),
                instruments: Vec::new(),
            };
            let recorded = after(looked, chance.between(60, 600));
            self.book.add(record(self.id(m), recorded, vec![biomed.to_owned()], Body::Repair(first)));
            self.repair(m, fault, (arrives, finished), biomed, remedy, Some(waited), chance);
        } else {
            self.repair(m, fault, (started, finished), biomed, remedy, Some(waited), chance);
        }
        (started, finished)
    }

    #[expect(clippy::too_many_arguments, reason = "a repair says all of this")]
    fn repair(
        &mut self,
        m: usize,
        fault: &str,
        (started, finished): (Moment, Moment),
        biomed: &str,
        remedy: &Remedy,
        waited: Option<Waited>,
        chance: &mut Chance,
    ) {
        let measured = chance.in_thousand(500);
        let repair = Repair {
            fault: fault.to_owned(),
            started,
            finished,
            cause: remedy.cause.to_owned(),
            work: remedy.work.to_owned(),
            parts: remedy.parts.iter().map(|part| (*part).to_owned()).collect(),
            waited: waited.into_iter().collect(),
            instruments: if measured { vec![instrument(0, day(finished))] } else { Vec::new() },
        };
        let recorded = after(finished, chance.between(60, 900));
        self.book.add(record(self.id(m), recorded, vec![biomed.to_owned()], Body::Repair(repair)));
    }

    /// Does the complete checks and the releases whose day it is.
    pub fn proofs(&mut self, today: NaiveDate) {
        for m in 0..self.units.len() {
            let due = self.machines.get(m).and_then(|state| state.open.as_ref()).is_some_and(|o| day(o.proof) <= today);
            if !due {
                continue;
            }
            let Some(open) = self.machines.get_mut(m).and_then(|state| state.open.take()) else { continue };
            let mut chance = self.chance("proof", m, today);
            if let Some(state) = self.machines.get_mut(m) {
                if open.new_cylinder {
                    state.gauges.change_cylinder(&mut chance);
                }
                if open.new_cell {
                    state.gauges.change_cell(today);
                }
            }
            let Some((proved_by, finished)) = self.prove(m, open.proof, &open.biomed, &mut chance) else { continue };
            let released = after(finished, chance.between(120, 900));
            let release = Release { faults: vec![open.fault], proved_by, released };
            let recorded = after(released, chance.between(20, 120));
            self.book.add(record(self.id(m), recorded, vec![open.biomed], Body::Release(release)));
        }
    }

    /// Does the complete check that proves a machine, and returns its path and when it was finished.
    pub fn prove(&mut self, m: usize, started: Moment, biomed: &str, chance: &mut Chance) -> Option<(String, Moment)> {
        let today = day(started);
        let procedure = self.in_force(When::AfterService, today)?;
        let results = self.fill(m, procedure, today, None, chance);
        let finished = after(started, timed(&results) + chance.between(1200, 2400));
        let check = checked(procedure, started, finished, results);
        let by = vec![biomed.to_owned(), self.person(Role::Provider, today, chance)];
        let recorded = after(finished, chance.between(20, 110));
        Some((self.book.add(record(self.id(m), recorded, by, Body::Check(check))), finished))
    }
}

/// The test instruments, with month and day until which each calibration is good.
const INSTRUMENTS: [(&str, u32, u32); 2] = [("BT-02 pressure gauge", 3, 31), ("BT-07 flow analyser", 9, 30)];

/// Returns a test instrument with the day its calibration ends, as its label says on a day.
pub fn instrument(n: usize, on: NaiveDate) -> Instrument {
    let (id, month, day) = INSTRUMENTS[n % INSTRUMENTS.len()];
    let due = [on.year(), on.year() + 1]
        .into_iter()
        .filter_map(|year| NaiveDate::from_ymd_opt(year, month, day))
        .find(|due| *due >= on)
        .unwrap_or(on);
    Instrument { id: id.to_owned(), calibration_due: Date(due) }
}

/// Returns a wait as people write it: in hours, or in days when it is long.
fn spoken_wait(hours: i64) -> crate::record::Quantity {
    if hours < 72 { super::machines::quantity(hours, "h") } else { super::machines::quantity(hours / 24, "d") }
}
