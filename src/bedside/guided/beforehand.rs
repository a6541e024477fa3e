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
            contents.person_name(&restriction.owner)
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

#[cfg(test)]
mod tests {
    use super::words;
    use crate::record::Moment;
    use crate::{contents, logbook, timeline};
    use std::collections::BTreeSet;
    use std::path::Path;

    /// Returns what is said of a machine of the example at a moment, with the records that were there by then.
    fn said(machine: &str, now: &str) -> String {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
        let (contents, _) = contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
        let now: Moment = now.parse().unwrap();
        let later = contents.records.iter().filter(|filed| filed.record.common.recorded > now);
        let later: BTreeSet<&str> = later.map(|filed| filed.path.as_str()).collect();
        let contents = contents.without(&later);
        let lives = timeline::lives(&contents);
        let status = timeline::status(&contents, &lives[machine], now).unwrap();
        words(&contents, &lives[machine], &status, contents.day(now)).join("\n")
    }

    #[test]
    fn what_stands_against_a_machine_is_said_before_the_first_question() {
        assert_eq!(said("theatre-1", "2026-11-05T06:00:00+01:00"), "");
        let withheld = said("theatre-1", "2026-11-07T06:00:00+01:00");
        assert!(withheld.starts_with("WITHHELD FROM USE: oxygen monitor reads 16 % in room air"), "{withheld}");
        assert!(withheld.ends_with("A check does not release it."), "{withheld}");
        let restricted = said("theatre-2", "2026-11-07T06:00:00+01:00");
        assert!(restricted.starts_with("RESTRICTED, until 2026-12-05: only while the second socket"), "{restricted}");
        assert!(restricted.ends_with("(Rosa Castellanos answers for it)."), "{restricted}");
        assert!(said("theatre-2", "2026-12-06T06:00:00+01:00").starts_with("RESTRICTED, ended on 2026-12-05"));
        assert!(said("theatre-2", "2027-10-30T06:00:00+01:00").contains("Its service was due on 2027-10-29."));
        assert!(said("theatre-1", "2026-10-18T06:00:00+02:00").contains("not list it among the machines in use today"));
    }

    #[test]
    fn an_emergency_start_is_said_until_a_whole_check_followed() {
        let open = "It was started in an emergency at 02:17 today; the whole check is still to be done.";
        assert_eq!(said("theatre-1", "2026-11-18T05:00:00+01:00"), open);
        assert_eq!(said("theatre-1", "2026-11-18T08:00:00+01:00"), "");
    }
}
