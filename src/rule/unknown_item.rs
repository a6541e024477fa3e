//! A check answers, or a fault names, an item that its procedure does not have, or a vaporizer or gas the machine does not have.

use super::words::{and_list, called, name, or_list};
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::{Each, Item, Procedure};
use crate::record::result::Entry;
use crate::record::shape::nearest;
use crate::record::tree::step;
use crate::record::{Body, Check, Fault};
use crate::register::Machine;

pub const RULE: Rule = Rule {
    name: "unknown-item",
    severity: Severity::Problem,
    page: include_str!("unknown_item.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        match &filed.record.body {
            Body::Check(check) => in_check(facts, filed, check, &mut problems),
            Body::Fault(fault) => in_fault(facts, filed, fault, &mut problems),
            Body::Repair(_) | Body::Release(_) | Body::Service(_) | Body::Void(_) => {}
        }
    }
    problems
}

fn in_check(facts: &Facts, filed: &Filed, check: &Check, problems: &mut Vec<Diagnostic>) {
    let Some(procedure) = facts.contents.procedure_of(check) else { return };
    let machine = facts.contents.machine_of(&filed.record.common.machine, check);
    for (id, entry) in &check.results.0 {
        let pointer = step("/results", id);
        let Some(item) = procedure.item(id) else {
            let place = Place::key(&filed.path, pointer);
            problems.push(no_item(place, &format!("{} answers `{id}`", name(filed)), id, procedure));
            continue;
        };
        let (Some(machine), Entry::Each(each), Some(_)) = (machine, entry, item.each) else { continue };
        for (part, _) in each {
            let known = parts(item, machine);
            if !known.contains(part) {
                let place = Place::key(&filed.path, step(&pointer, part));
                let headline = format!("{} answers `{id}` for `{part}`", name(filed));
                let id = &filed.record.common.machine;
                let before = facts.fitted_otherwise(id, check, "had it");
                problems.push(no_part(place, &headline, part, item, id, known, before));
            }
        }
    }
}

fn in_fault(facts: &Facts, filed: &Filed, fault: &Fault, problems: &mut Vec<Diagnostic>) {
    let found_by = fault.found_during.check.as_deref().and_then(|path| facts.contents.speaking_for(path));
    let Some(checked) = found_by.and_then(|path| facts.contents.record(path)) else { return };
    let Body::Check(check) = &checked.record.body else { return };
    let Some(procedure) = facts.contents.procedure_of(check) else { return };
    for (i, named) in fault.found_during.items.iter().enumerate() {
        let place = Place::value(&filed.path, format!("/found-during/items/{i}"));
        let (id, part) = named.split_once('/').map_or((named.as_str(), None), |(id, part)| (id, Some(part)));
        let Some(item) = procedure.item(id) else {
            let which = called("check", &checked.record.common.machine, check.finished);
            problems.push(
                no_item(place, &format!("{} names `{id}`", name(filed)), id, procedure)
                    .also(Place::value(&checked.path, "/procedure"), format!("the procedure of the {which}")),
            );
            continue;
        };
        let (Some(part), Some(machine)) = (part, facts.contents.machine_of(&checked.record.common.machine, check))
        else {
            continue;
        };
        let known = parts(item, machine);
        if !known.iter().any(|known| known == part) {
            let headline = format!("{} names `{id}` of `{part}`", name(filed));
            let id = &checked.record.common.machine;
            let before = facts.fitted_otherwise(id, check, "had it");
            problems.push(no_part(place, &headline, part, item, id, known, before));
        }
    }
}

/// Returns the vaporizers or gases of a machine that an item is repeated for.
fn parts<'a>(item: &Item, machine: &'a Machine) -> &'a [String] {
    match item.each {
        Some(Each::Vaporizer) => &machine.vaporizers,
        Some(Each::Gas) => &machine.gases,
        None => &[],
    }
}

fn no_item(place: Place, begin: &str, id: &str, procedure: &Procedure) -> Diagnostic {
    let known: Vec<String> = procedure.items.iter().map(|item| item.id.clone()).collect();
    let headline = format!("{begin}, which is no item of {}", procedure.words());
    let problem = Diagnostic::problem("unknown-item", place, headline).label("no such item");
    match nearest(id, &known) {
        Some(near) => problem.help(format!("did you mean `{near}`?")),
        None => problem.help(format!("write an item of {}: {}", procedure.words(), or_list(&known))),
    }
}

fn no_part(
    place: Place,
    begin: &str,
    part: &str,
    item: &Item,
    machine: &str,
    known: &[String],
    before: Option<String>,
) -> Diagnostic {
    let (what, why) = match item.each {
        Some(Each::Vaporizer) => ("vaporizer", format!("which is no vaporizer of `{machine}`")),
        Some(Each::Gas) => ("piped gas", format!("which is no piped gas of `{machine}`")),
        None => ("part", "but the item is answered once".to_owned()),
    };
    let problem =
        Diagnostic::problem("unknown-item", place, format!("{begin}, {why}")).label(format!("no such {what}"));
    match (nearest(part, known), known) {
        (Some(near), _) => problem.help(format!("did you mean `{near}`?")),
        (None, []) => problem.help(format!("write `{}` alone", item.id)),
        (None, _) => {
            let before = before.map_or(String::new(), |before| format!("; {before}"));
            problem.help(format!("`{machine}` has {}{before}", and_list(known)))
        }
    }
}
