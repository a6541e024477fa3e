//! A limit is about something its item does not ask for: another number, another unit, or no item at all.

use super::words::{machine_file, procedure_file};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::{AnswerKind, Item};
use crate::record::Kind;
use crate::record::shape::nearest;
use crate::record::tree::step;
use crate::register::{Limit, LimitOf};

pub const RULE: Rule = Rule {
    name: "limit-does-not-fit",
    severity: Severity::Problem,
    page: include_str!("limit_does_not_fit.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for procedure in facts.contents.procedures.values() {
        for (i, item) in procedure.items.iter().enumerate() {
            for (n, limit) in item.limits.iter().enumerate() {
                let Some(why) = unfit(item, limit) else { continue };
                let place = Place::value(&procedure_file(procedure), format!("/items/{i}/limits/{n}"));
                let whose = format!("`{}` of {}", item.id, procedure.words());
                problems.push(problem(place, format!("a limit of {whose} does not fit the item"), why, item));
            }
        }
    }
    for (machine, limits) in facts.contents.machines.iter().flat_map(|(id, m)| m.limits.iter().map(move |l| (id, l))) {
        let (id, limits) = limits;
        let pointer = step("/limits", id);
        let items: Vec<&Item> = facts.contents.procedures.values().filter_map(|p| p.item(id)).collect();
        // Without any procedure the limits of machines have nothing to fit.
        if items.is_empty() && !facts.contents.procedures.is_empty() {
            problems.push(no_item(facts, Place::key(&machine_file(machine), pointer), machine, id));
            continue;
        }
        for (n, limit) in limits.iter().enumerate() {
            // An item may change from one revision to the next; the limit must fit one of them.
            let Some(last) = items.last().filter(|_| items.iter().all(|item| unfit(item, limit).is_some())) else {
                continue;
            };
            let place = Place::value(&machine_file(machine), format!("{pointer}/{n}"));
            let headline = format!("a limit of `{machine}` for `{id}` does not fit the item");
            problems.push(problem(place, headline, unfit(last, limit).unwrap_or_default(), last));
        }
    }
    problems
}

fn no_item(facts: &Facts, place: Place, machine: &str, id: &str) -> Diagnostic {
    let known: Vec<String> =
        facts.contents.procedures.values().flat_map(|p| &p.items).map(|item| item.id.clone()).collect();
    let headline = format!("`{machine}` has a limit for `{id}`, which is no item of any procedure");
    let problem = Diagnostic::problem("limit-does-not-fit", place, headline).label("no such item");
    match nearest(id, &known) {
        Some(near) => problem.help(format!("did you mean `{near}`?")),
        None => problem.help("write the id of an item, as the procedure has it"),
    }
}

fn problem(place: Place, headline: String, why: String, item: &Item) -> Diagnostic {
    let help = match item.answer {
        AnswerKind::Reading => {
            let kind = item.measures.map_or("of the same kind as the reading", Kind::words);
            format!("leave out `of`, and write the number as {kind}")
        }
        AnswerKind::Hold => "write `of: held` and a time".to_owned(),
        AnswerKind::PressureHeld => {
            "write `of: from`, `to` or `fall` with a pressure, or `of: in` with a time".to_owned()
        }
        AnswerKind::Confirm | AnswerKind::Choice => "take the limit away: this item has no number".to_owned(),
    };
    Diagnostic::problem("limit-does-not-fit", place, headline).label(why).help(help)
}

/// Returns why a limit can never be compared with an answer to the item.
fn unfit(item: &Item, limit: &Limit) -> Option<String> {
    let fits: &[LimitOf] = match item.answer {
        AnswerKind::Reading => &[LimitOf::Reading],
        AnswerKind::Hold => &[LimitOf::Held],
        AnswerKind::PressureHeld => &[LimitOf::From, LimitOf::To, LimitOf::In, LimitOf::Fall],
        AnswerKind::Confirm | AnswerKind::Choice => &[],
    };
    if !fits.contains(&limit.of) {
        return Some(format!("the item has no {}", limit.of.words()));
    }
    let wanted = match limit.of {
        LimitOf::Reading => item.measures?,
        LimitOf::Held | LimitOf::In => Kind::Duration,
        LimitOf::From | LimitOf::To | LimitOf::Fall => Kind::GaugePressure,
    };
    let bounds = [&limit.at_least, &limit.at_most, &limit.above, &limit.below];
    let other = bounds.into_iter().flatten().find(|bound| bound.measure().kind() != wanted)?;
    Some(format!("{other} is {}, not {}", other.measure().kind().words(), wanted.words()))
}
