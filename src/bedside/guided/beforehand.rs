//! What a person must know before the first question: whether the machine may be used at all, and what is still open.

use crate::contents::Contents;
use crate::procedure::When;
use crate::record::{Body, Date, Moment};
use crate::timeline::{Life, Status};

/// Returns what the records say of a machine before it is checked, one sentence each, the gravest first.
pub fn words(contents: &Contents, life: &Life, status: &Status, today: Date) -> Vec<String> {
    let mut lines = Vec::new();
    for path in &status.withheld_by {
        let what = contents.record(path).and_then(|filed| match &filed.record.body {
            Body::Fault(fault) => Some(format!(": {}", fault.what.trim())),
            _ => None,
        });
        lines.push(format!("WITHHELD FROM USE{} ({path}). A check does not release it.", what.unwrap_or_default()));
    }
    for restriction in &status.restricted_by {
        let until = if restriction.expired { "ended on" } else { "until" };
        lines.push(format!(
            "RESTRICTED, {until} {}: {} ({} answers for it).",
            restriction.until,
            restriction.restriction.trim(),
            contents.people.get(&restriction.owner).map_or(restriction.owner.as_str(), |person| person.name.as_str())
        ));
    }
    if !status.in_use {
        lines.push("Its file does not list it among the machines in use today.".to_owned());
    }
    if let Some(due) = status.service_due.filter(|_| status.service_overdue) {
        lines.push(format!("Its service was due on {due}."));
    }
    if let Some(started) = emergency_start_to_complete(life) {
        let when = if contents.day(started) == today { "today".to_owned() } else { contents.day(started).to_string() };
        let at = contents.site.as_ref().map_or(started, |site| started.in_zone(site.time_zone));
        let at = at.0.format("%H:%M");
        lines.push(format!("It was started in an emergency at {at} {when}; the whole check is still to be done."));
    }
    lines
}

/// Returns when the machine was last started in an emergency, unless a complete check came after it.
fn emergency_start_to_complete(life: &Life) -> Option<Moment> {
    let complete = |after: Moment| {
        life.checks
            .iter()
            .any(|check| check.check.finished > after && check.when != When::EachPatient && check.judgement.complete)
    };
    let last = life.checks.iter().rev().find(|check| check.check.emergency_start && !check.judgement.complete)?;
    (!complete(last.check.finished)).then_some(last.check.finished)
}
