//! A restriction's last day has passed and its fault is still open.

use super::words::days;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Use;

pub const RULE: Rule = Rule {
    name: "restriction-expired",
    severity: Severity::Finding,
    page: include_str!("restriction_expired.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let today = facts.day(facts.now);
    let mut findings = Vec::new();
    for case in facts.lives.values().flat_map(|life| &life.cases).filter(|case| case.open_at(facts.now)) {
        let Use::Restricted { until, owner, .. } = &case.usage else { continue };
        if *until >= today {
            continue;
        }
        let headline = format!("restriction of `{}` ended on {until} and its fault is still open", case.machine);
        findings.push(
            Diagnostic::finding("restriction-expired", Place::value(&case.path, "/use/until"), headline)
                .label(format!("{} ago", days(*until, today)))
                .also(Place::value(&case.path, "/use/owner"), format!("`{owner}` answers for it"))
                .help(format!(
                    "release the machine, or withhold it or set a new day with `pinindex correct {}`",
                    case.path
                )),
        );
    }
    findings
}
