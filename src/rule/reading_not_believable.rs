//! A reading that no gauge or clock can have shown, so that it is most likely a slip of the finger.

use super::words::{CORRECT_IT, called};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::gas::cylinder::beyond_full;
use crate::procedure::Item;
use crate::record::{Answer, Measure, Quantity};
use crate::register::Machine;

pub const RULE: Rule = Rule {
    name: "reading-not-believable",
    severity: Severity::Finding,
    page: include_str!("reading_not_believable.md"),
    check: Some(check),
};

/// Nobody watches a leak for longer than this, in seconds (our own choice).
const LONGEST_WATCH: f64 = 3600.0;
/// A pressure that rises by more than this share of its start was read or written wrongly (our own choice).
const LARGEST_RISE: f64 = 0.1;

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let contents = facts.contents;
        let (Some(procedure), Some(machine)) =
            (contents.procedure_of(&done.check), contents.machine_of(&life.machine, &done.check))
        else {
            continue;
        };
        for (id, part, result, pointer) in done.check.results.single() {
            let Some((field, why)) = procedure.item(id).and_then(|item| doubt(item, machine, &result.answer)) else {
                continue;
            };
            let place = part.map_or_else(|| id.to_owned(), |part| format!("{id}/{part}"));
            let which = called("check", &life.machine, done.check.finished);
            findings.push(
                Diagnostic::finding(
                    "reading-not-believable",
                    Place::value(done.path(), format!("{pointer}/{field}")),
                    format!("{which} has a number for `{place}` that is hard to believe"),
                )
                .label(why)
                .help(format!("look at it again; {CORRECT_IT}")),
            );
        }
    }
    findings
}

/// Returns which number of an answer cannot be as it is written, and why.
fn doubt(item: &Item, machine: &Machine, answer: &Answer) -> Option<(&'static str, String)> {
    match answer {
        Answer::Reading(reading) => {
            let gas = match item.only_if.as_ref().and_then(|only_if| only_if.cylinder.as_deref()) {
                Some(gas) => gas,
                None if item.id == "spare-oxygen-cylinder" => "oxygen",
                None => return None,
            };
            let cylinder = machine.cylinders.get(gas).filter(|_| matches!(gas, "oxygen" | "air"))?;
            let Measure::GaugePressure(pressure) = reading.measure() else { return None };
            beyond_full(cylinder, pressure)
                .then(|| ("reading", format!("a full cylinder shows {} ({})", cylinder.full, cylinder.source)))
        }
        Answer::Held(time) => too_long(time).map(|why| ("held", why)),
        Answer::PressureHeld { from, to, time } => {
            rise(from, to).map(|why| ("to", why)).or_else(|| too_long(time).map(|why| ("in", why)))
        }
        Answer::Pass | Answer::Fail | Answer::NotFitted | Answer::Choice(_) | Answer::NotDone(_) => None,
    }
}

fn too_long(time: &Quantity) -> Option<String> {
    (time.measure().si() > LONGEST_WATCH).then(|| format!("{time} is longer than anybody watches"))
}

fn rise(from: &Quantity, to: &Quantity) -> Option<String> {
    let (start, end) = (from.measure().si(), to.measure().si());
    (start > 0.0 && end > start * (1.0 + LARGEST_RISE)).then(|| format!("higher than the {from} at the start"))
}
