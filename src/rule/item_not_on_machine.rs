//! A check answers an item that the machine does not have.

use super::need::needs;
use super::words::{machine_file, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::applies::applies;
use crate::record::result::Entry;
use crate::record::shape::nearest;
use crate::record::tree::step;
use crate::record::{Answer, Body};

pub const RULE: Rule = Rule {
    name: "item-not-on-machine",
    severity: Severity::Problem,
    page: include_str!("item_not_on_machine.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let Body::Check(check) = &filed.record.body else { continue };
        let id = &filed.record.common.machine;
        let (Some(procedure), Some(machine)) =
            (facts.contents.procedure_of(check), facts.contents.machine_of(id, check))
        else {
            continue;
        };
        for (item_id, entry) in &check.results.0 {
            let Some(item) = procedure.item(item_id).filter(|item| !applies(item, machine)) else { continue };
            let answered = match entry {
                Entry::One(result) => result.answer != Answer::NotFitted,
                Entry::Each(each) => each.iter().any(|(_, result)| result.answer != Answer::NotFitted),
            };
            if !answered {
                continue;
            }
            let headline = format!("{} answers `{item_id}`, which `{id}` does not have", name(filed));
            let asked = item.only_if.as_ref().and_then(|only_if| only_if.fitted.as_ref());
            let near = asked.and_then(|asked| nearest(asked, &machine.fitted)).filter(|near| Some(*near) != asked);
            let help = match (near, asked, facts.fitted_otherwise(id, check, "had it")) {
                (Some(near), Some(asked), _) => {
                    format!("`{}` says `{near}`: did it mean `{asked}`?", machine_file(id))
                }
                (_, _, Some(before)) => format!("leave the line out or write that it is not fitted; {before}"),
                _ => {
                    "leave the line out or write that it is not fitted; if it is, correct the machine's file".to_owned()
                }
            };
            let mut problem = Diagnostic::problem(
                "item-not-on-machine",
                Place::key(&filed.path, step("/results", item_id)),
                headline,
            )
            .label("not on this machine")
            .help(help)
            .paste(format!("{item_id}: not-fitted"));
            if let Some(need) = needs(item, machine).into_iter().find(|need| !need.met) {
                let place = Place::key(&machine_file(id), need.pointer);
                problem = problem.also(place, format!("`{id}` has no {}", need.what));
            }
            problems.push(problem);
        }
    }
    problems
}
