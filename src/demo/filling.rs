//! One check from its first item to its last: who answers what, how long it takes, what turns out to fail.
//!
//! Takes a machine on a day, a procedure and at most one broken item; gives the results in the order of the procedure.

use super::answers::{Look, failing, passing, seconds_of};
use super::chance::Chance;
use super::walk::Walk;
use crate::procedure::{IfFailed, Item, Procedure, When, asked, judge};
use crate::record::result::Entry;
use crate::record::{Answer, Check, ItemResult, Results};
use chrono::NaiveDate;
use std::sync::Arc;

/// An item that is broken, with the vaporizer or gas it is broken for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broken {
    pub item: String,
    pub each: Option<String>,
}

/// What failed in a check.
pub struct Failed {
    /// As fault records name them: `suction` or `vaporizers-filled/sevoflurane`.
    pub places: Vec<String>,
    pub first: Broken,
    /// Whether at least one of them withholds the machine.
    pub withholds: bool,
}

/// Why an item is left out now and then.
const LEFT_OUT: [(&str, &str); 5] = [
    ("battery", "machine had been unplugged for cleaning, still charging"),
    ("hypoxic-guard", "nitrous oxide hose off for works on the pendant"),
    ("vaporizer-leak", "no time before the first case, done at noon"),
    ("low-oxygen-alarm", "patient already in the next room, not to be woken by the alarm"),
    ("scavenging", "pump off for works at the plant until ten"),
];

/// What was wrong at the first try of an item that then passed.
const FIRST_TRY: [(&str, &str); 4] = [
    ("circuit-leak", "tubing was not pushed on; pushed on and tested again"),
    ("suction", "lid of the jar was open; closed and tested again"),
    ("low-pressure-leak", "vaporizer was not locked; locked and tested again"),
    ("monitors", "cuff hose was not plugged in; plugged in and tested again"),
];

impl Walk<'_> {
    /// Answers every item of a procedure that applies to a machine.
    pub fn fill(
        &mut self,
        m: usize,
        procedure: &Procedure,
        day: NaiveDate,
        broken: Option<&Broken>,
        chance: &mut Chance,
    ) -> Results {
        let Some(machine) = self.machine(m, day) else { return Results::default() };
        let asked = asked(procedure, machine);
        let has_cylinder = asked.iter().any(|a| a.item.id == "spare-oxygen-cylinder");
        let changed = if has_cylinder { self.turn_cylinder(m, procedure.when, day, chance) } else { None };
        let Some(state) = self.machines.get(m) else { return Results::default() };
        let restricted = state.open.as_ref().is_some_and(|open| open.restricted);
        let left_out = state
            .open
            .as_ref()
            .filter(|open| open.restricted && !open.left_out.is_empty() && procedure.when != When::AfterService);
        let look = Look { seed: self.settings.seed, machine, gauges: &state.gauges, day, restricted };
        let mut one = |item: &Item, each: Option<&str>| {
            let here = |b: &Broken| b.item == item.id && b.each.as_deref() == each;
            if let Some(open) = left_out.filter(|open| open.broken.as_ref().is_some_and(here)) {
                return ItemResult::plain(Answer::NotDone(open.left_out.to_owned()));
            }
            match broken.is_some_and(here) {
                true => ItemResult::plain(failing(item, &look, chance)),
                false => ItemResult::plain(passing(item, each, &look, chance)),
            }
        };
        let mut results = Vec::with_capacity(asked.len());
        for asked in &asked {
            let entry = if asked.each.is_empty() {
                Entry::One(one(asked.item, None))
            } else {
                Entry::Each(asked.each.iter().map(|each| ((*each).to_owned(), one(asked.item, Some(each)))).collect())
            };
            results.push((asked.item.id.clone(), entry));
        }
        let mut results = Results(results);
        if let (Some(remark), Some(result)) = (changed, one_result(&mut results, "spare-oxygen-cylinder")) {
            result.remark = Some(remark);
        }
        results
    }

    /// Opens the spare cylinder for its reading; returns what is said when it was changed for a full one first.
    fn turn_cylinder(&mut self, m: usize, when: When, day: NaiveDate, chance: &mut Chance) -> Option<String> {
        let quiet = self.is_quiet(m, day);
        let gauges = &mut self.machines.get_mut(m)?.gauges;
        let spill = !quiet && when == When::FirstCase && chance.in_thousand(3);
        gauges.use_cylinder(chance, spill);
        let (low, fails) = gauges.cylinder_is_low();
        // A cylinder found empty fails the check; one that is only low is mostly changed in time.
        let change = low && (quiet || when != When::FirstCase || (!spill && !fails && chance.in_thousand(700)));
        if !change {
            return None;
        }
        let old = gauges.cylinder_psi();
        gauges.change_cylinder(chance);
        Some(format!("cylinder changed, the old one showed {old} psi"))
    }

    /// Returns an item that is to fail, for one of its vaporizers or gases; nothing when the machine has no such item.
    pub fn broken_at(
        &self,
        m: usize,
        procedure: &Procedure,
        item: &str,
        day: NaiveDate,
        chance: &mut Chance,
    ) -> Option<Broken> {
        let asked = asked(procedure, self.machine(m, day)?);
        let asked = asked.iter().find(|a| a.item.id == item)?;
        Some(Broken { item: item.to_owned(), each: chance.pick(&asked.each).map(|each| (*each).to_owned()) })
    }

    /// Returns what failed in a check.
    pub fn failed(&self, m: usize, check: &Arc<Check>) -> Option<Failed> {
        let judgement = judge(check, self.contents.procedure_of(check)?, self.contents.machine_of(self.id(m), check)?);
        let failures: Vec<_> = judgement.failures().collect();
        let first = failures.first()?;
        Some(Failed {
            places: failures.iter().map(|f| f.place()).collect(),
            first: Broken { item: first.item.to_owned(), each: first.each.map(str::to_owned) },
            withholds: failures.iter().any(|f| f.if_failed == IfFailed::Withhold),
        })
    }

    /// Puts in what makes a check human: an item left out with a reason, or a failed first try.
    pub fn humanize(
        &self,
        m: usize,
        procedure: &Procedure,
        results: &mut Results,
        day: NaiveDate,
        chance: &mut Chance,
    ) {
        if chance.in_thousand(8)
            && let Some((item, because)) = chance.pick(&LEFT_OUT)
            && let Some(entry) = results.0.iter_mut().find(|(id, _)| id == item)
        {
            entry.1 = Entry::One(ItemResult::plain(Answer::NotDone((*because).to_owned())));
        }
        let (Some(machine), Some(state)) = (self.machine(m, day), self.machines.get(m)) else { return };
        if chance.in_thousand(10)
            && let Some((item, remark)) = chance.pick(&FIRST_TRY)
            && let (Some(asked), Some(result)) = (procedure.item(item), one_result(results, item))
        {
            let look = Look { seed: self.settings.seed, machine, gauges: &state.gauges, day, restricted: false };
            result.earlier.push(failing(asked, &look, chance));
            result.remark = Some((*remark).to_owned());
        }
    }
}

/// Returns the seconds that the timed parts of a check take by themselves.
pub fn timed(results: &Results) -> i64 {
    results.single().map(|(_, _, result, _)| seconds_of(&result.answer)).sum()
}

/// Returns the single result of an item that is answered once.
pub fn one_result<'a>(results: &'a mut Results, item: &str) -> Option<&'a mut ItemResult> {
    results.0.iter_mut().find(|(id, _)| id == item).and_then(|(_, entry)| match entry {
        Entry::One(result) => Some(result),
        Entry::Each(_) => None,
    })
}
