//! Answers that were given as a file, set against the steps of a check: each finds its step and fits it, or is a fault.

use super::{Draft, Step};
use crate::diagnostic::{Diagnostic, Place};
use crate::procedure::answer::why_unfit;
use crate::record::result::Entry;
use crate::record::shape::nearest;
use crate::record::tree::step as pointer_to;
use crate::record::{Answer, ItemResult, place};

/// Returns the results of a file by the number of their step, and every fault of what finds no step or does not fit.
///
/// What was not done may be said once for all vaporizers or gases of an item.
pub fn by_step(path: &str, given: &Draft, steps: &[Step<'_>]) -> (Vec<(usize, ItemResult)>, Vec<Diagnostic>) {
    let (mut found, mut faults) = (Vec::new(), Vec::new());
    for (item, entry) in &given.results.0 {
        let pointer = pointer_to("/results", item);
        let of_item = || steps.iter().enumerate().filter(|(_, step)| step.item().id == *item);
        match entry {
            Entry::One(result) if of_item().any(|(_, step)| step.each.is_some()) => {
                if matches!(result.answer, Answer::NotDone(_)) {
                    found.extend(of_item().map(|(at, _)| (at, result.clone())));
                } else {
                    faults.push(asked_for_each(path, &pointer, item, steps));
                }
            }
            Entry::One(result) => one(path, steps, (item, None), result, &pointer, &mut found, &mut faults),
            Entry::Each(results) => {
                for (each, result) in results {
                    let pointer = pointer_to(&pointer, each);
                    one(path, steps, (item, Some(each)), result, &pointer, &mut found, &mut faults);
                }
            }
        }
    }
    (found, faults)
}

fn one(
    path: &str,
    steps: &[Step<'_>],
    (item, each): (&str, Option<&str>),
    result: &ItemResult,
    pointer: &str,
    found: &mut Vec<(usize, ItemResult)>,
    faults: &mut Vec<Diagnostic>,
) {
    let name = place(item, each);
    let Some((at, step)) = steps.iter().enumerate().find(|(_, step)| step.place() == name) else {
        let known: Vec<String> = steps.iter().map(Step::place).collect();
        let fault = Diagnostic::problem(
            "unknown-item",
            Place::key(path, pointer),
            format!("this check does not ask for `{name}`"),
        )
        .label("no step of this name");
        faults.push(match nearest(&name, &known) {
            Some(near) => fault.help(format!("did you mean `{near}`?")),
            None => fault.help("delete the line"),
        });
        return;
    };
    let unfit = result.earlier.iter().chain([&result.answer]);
    let unfit = unfit.filter_map(|answer| why_unfit(step.item(), step.limits(), answer)).next();
    match unfit {
        None => found.push((at, result.clone())),
        Some(why) => faults.push(
            Diagnostic::problem("answer-does-not-fit", Place::value(path, pointer), format!("`{name}`: {why}"))
                .label("does not fit")
                .help("write what was seen in the form that the step asks for"),
        ),
    }
}

fn asked_for_each(path: &str, pointer: &str, item: &str, steps: &[Step<'_>]) -> Diagnostic {
    let of_item = steps.iter().filter(|step| step.item().id == item).filter_map(|step| step.each);
    let each = of_item.collect::<Vec<_>>().join(", ");
    Diagnostic::problem(
        "answer-does-not-fit",
        Place::value(path, pointer),
        format!("`{item}` is answered for each of {each}"),
    )
    .label("one answer for several")
    .help(format!("write one answer below each: {each}"))
}
