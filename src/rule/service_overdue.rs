//! The day by which a machine's planned maintenance was due has passed.

use super::words::days;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "service-overdue",
    severity: Severity::Finding,
    page: include_str!("service_overdue.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let today = facts.day(facts.now);
    let mut findings = Vec::new();
    for (id, life) in facts.lives {
        // A machine that has left the hospital needs no maintenance.
        if facts.contents.machines.get(id).is_none_or(|machine| !machine.in_use_on(today)) {
            continue;
        }
        let done = life.services.iter().rev().find(|(_, _, service)| service.finished <= facts.now);
        let Some((path, _, service)) = done.filter(|(_, _, service)| service.next_due < today) else { continue };
        let headline = format!("planned maintenance of `{id}` was due on {}", service.next_due);
        findings.push(
            Diagnostic::finding("service-overdue", Place::value(path, "/next-due"), headline)
                .label(format!("{} ago", days(service.next_due, today)))
                .help("have it done and write a service record, or withhold the machine by a fault record"),
        );
    }
    findings
}
