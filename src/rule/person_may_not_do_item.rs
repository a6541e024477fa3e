//! Items of a check were done by people whose roles the procedure does not allow for them. Told once a check.

use super::words::{CORRECT_IT, and_list, called};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::procedure::Verdict;
use crate::register::Role;

pub const RULE: Rule = Rule {
    name: "person-may-not-do-item",
    severity: Severity::Finding,
    page: include_str!("person_may_not_do_item.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    for (life, done) in facts.counting_checks() {
        let roles: Option<Vec<Role>> =
            done.by().iter().map(|id| facts.contents.people.get(id).map(|person| person.role)).collect();
        // Nobody can say what a person who is not known may do.
        let (Some(roles), Some(procedure)) = (roles, facts.contents.procedure_of(&done.check)) else { continue };
        let mut needed: Vec<(String, Vec<&str>)> = Vec::new();
        for item in done.judgement.items().filter(|i| matches!(i.verdict, Verdict::Pass | Verdict::Fail)) {
            let Some(who) = procedure.item(item.item).map(|item| &item.by) else { continue };
            if who.satisfied_by(&roles) {
                continue;
            }
            let words = who.words();
            match needed.iter_mut().find(|(known, _)| *known == words) {
                Some((_, items)) if items.contains(&item.item) => {}
                Some((_, items)) => items.push(item.item),
                None => needed.push((words, vec![item.item])),
            }
        }
        let items: usize = needed.iter().map(|(_, items)| items.len()).sum();
        if items == 0 {
            continue;
        }
        let headline = format!(
            "{} has {} that the people of the check may not do",
            called("check", &life.machine, done.check.finished),
            counted(items, "item")
        );
        let present: Vec<&str> = roles.iter().map(|role| role.word()).collect();
        let wanted: Vec<String> = needed.iter().map(|(who, items)| format!("{who} for {}", and_list(items))).collect();
        findings.push(
            Diagnostic::finding("person-may-not-do-item", Place::value(done.path(), "/by"), headline)
                .label(present.join(", "))
                .limit(format!("{}; source: {}", wanted.join(", "), procedure.words()))
                .help(format!("have the items done again by who may do them, or name who is missing; {CORRECT_IT}")),
        );
    }
    findings
}
