//! The offline page: a check as one file for any browser.
//!
//! Takes what the logbook knows of a machine and a procedure, and gives one value with everything the page shows and
//! reckons with; [`html`] lays it out with the page's own program and style in it. The program judges as this one does:
//! every number it sets against a limit goes through the same line of its unit, every sentence that is the same for all
//! answers travels in this value, and one table of cases holds the two together (`tests/page/`).

mod html;
mod step;

pub use html::html;
pub use step::{PageStep, StepLimit};

use super::guided::people::may_do;
use super::{Step, follow_up, form_code, steps};
use crate::contents::Contents;
use crate::procedure::{Procedure, Sheet};
use crate::record::quantity::{SPELLINGS, UNITS};
use crate::record::{Kind, Moment, Quantity};
use crate::register::{Machine, Person, Role, Site};
use serde::Serialize;
use std::cmp::Reverse;

/// Everything a page shows and reckons with.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Page {
    pub site: String,
    pub machine: PageMachine,
    pub procedure: PageProcedure,
    /// The code of the form; see [`form_code`].
    pub code: String,
    /// The commit of the logbook that the page was made from; none without a history.
    pub commit: Option<String>,
    pub made: Moment,
    /// When it was made, as a clock on the wall of the site showed it.
    pub made_words: String,
    /// The IANA name of the site's time zone.
    pub zone: String,
    /// What the records said of the machine when the page was made.
    pub state: State,
    pub people: Vec<PagePerson>,
    pub steps: Vec<PageStep>,
    pub units: Vec<PageUnit>,
    /// How people spell units, in small letters, and the unit they mean.
    pub spellings: &'static [(&'static str, &'static str)],
    /// How much the machine's breathing system takes up, where it is known.
    pub compliance: Option<Quantity>,
    /// The oxygen flow for saying how long a spare cylinder lasts.
    pub planning_flow: Option<Quantity>,
    /// Whom to call when the machine fails.
    pub call: Vec<String>,
}

/// The machine, as its own file names it.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PageMachine {
    pub id: String,
    pub name: String,
    pub asset: String,
    pub location: String,
}

/// The procedure, and which revision of it.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PageProcedure {
    pub id: String,
    pub revision: u32,
    pub title: String,
}

/// What the records say of a machine at a moment: one word, and the reasons.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct State {
    /// `ready`, `restricted` or `not ready`.
    pub word: String,
    pub reasons: Vec<String>,
    /// Whether an open fault withholds it from use.
    pub withheld: bool,
}

/// Somebody who may have taken part in a check.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PagePerson {
    pub id: String,
    pub name: String,
    pub role: &'static str,
    /// Whether there is a step that they may take part in; others may still answer for a restriction.
    pub checks: bool,
}

/// A unit as a line: its value in the unit of the SI is `factor` times the number, plus `offset`.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PageUnit {
    pub symbol: &'static str,
    pub kind: Kind,
    pub kind_words: &'static str,
    pub factor: f64,
    pub offset: f64,
}

/// What a page is made from.
#[derive(Clone, Copy, Debug)]
pub struct Basis<'a> {
    pub contents: &'a Contents,
    pub site: &'a Site,
    /// The machine's id.
    pub id: &'a str,
    pub machine: &'a Machine,
    pub procedure: &'a Procedure,
    pub commit: Option<&'a str>,
    pub made: Moment,
}

/// Returns everything a page shows, with what the records said of the machine when it was made.
pub fn page(basis: Basis<'_>, state: State) -> Page {
    let Basis { contents, site, id, machine, procedure, commit, made } = basis;
    let sheet = Sheet::of(procedure, machine);
    let made = made.in_zone(site.time_zone);
    Page {
        site: site.name.clone(),
        machine: PageMachine {
            id: id.to_owned(),
            name: machine.name.clone(),
            asset: machine.asset.clone(),
            location: machine.location.clone(),
        },
        procedure: PageProcedure {
            id: procedure.procedure.clone(),
            revision: procedure.revision,
            title: procedure.title.clone(),
        },
        code: form_code::of(procedure, id, &sheet),
        commit: commit.map(str::to_owned),
        made,
        made_words: made.short(),
        zone: site.time_zone.name().to_owned(),
        state,
        people: people(contents, made, &steps(&sheet)),
        steps: steps(&sheet).iter().map(|step| PageStep::of(step, machine)).collect(),
        units: units(),
        spellings: SPELLINGS,
        compliance: machine.compliance.clone(),
        planning_flow: site.planning_flow.clone(),
        call: follow_up::whom_to_call(contents, made),
    }
}

/// Returns the people who may be named in the records of a check on the day a page is made, or later, those first who may
/// take part in most of its steps.
fn people(contents: &Contents, made: Moment, steps: &[Step<'_>]) -> Vec<PagePerson> {
    let today = contents.day(made);
    let may = contents
        .people
        .iter()
        .filter(|(_, person)| person.role != Role::Auditor && person.until.is_none_or(|until| today <= until));
    let mut may: Vec<_> = may.collect();
    may.sort_by_key(|(_, person)| (Reverse(may_do(person.role, steps)), person.role != Role::Provider, &person.name));
    let person = |(id, person): (&String, &Person)| PagePerson {
        id: id.clone(),
        name: person.name.clone(),
        role: person.role.word(),
        checks: may_do(person.role, steps) > 0,
    };
    may.into_iter().map(person).collect()
}

fn units() -> Vec<PageUnit> {
    let one = |unit: &crate::record::quantity::Unit| {
        let (factor, offset) = unit.line();
        PageUnit { symbol: unit.symbol, kind: unit.kind, kind_words: unit.kind.words(), factor, offset }
    };
    UNITS.iter().map(one).collect()
}

/// Returns the units in which the answer of a step may be given, the one shown first in front.
fn units_of(step: &Step<'_>) -> Vec<&'static str> {
    let Some(first) = step.unit() else { return UNITS.iter().map(|unit| unit.symbol).collect() };
    let kind = UNITS.iter().find(|unit| unit.symbol == first).map(|unit| unit.kind);
    let others = kind.map(Kind::units).unwrap_or_default();
    std::iter::once(first).chain(others.into_iter().filter(|unit| *unit != first)).collect()
}
