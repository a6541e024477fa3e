//! A record was written down later after the work than the site allows. It is welcome, counts, and is called late.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::moment::spoken;

pub const RULE: Rule = Rule {
    name: "recorded-late",
    severity: Severity::Finding,
    page: include_str!("recorded_late.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let Some(site) = &facts.contents.site else { return Vec::new() };
    let Some(allowed) = site.late_after.seconds() else { return Vec::new() };
    let mut findings = Vec::new();
    for filed in facts.contents.counting() {
        let recorded = facts.contents.first_recorded(filed);
        let after = recorded.seconds_since(filed.record.when());
        if after <= allowed {
            continue;
        }
        let headline =
            format!("{} was written down {} after it was {}", name(filed), spoken(after), filed.record.when_field());
        findings.push(
            Diagnostic::finding("recorded-late", Place::value(&filed.path, "/recorded"), headline)
                .label("late")
                .limit(format!("within {}; source: `site.yaml`", site.late_after))
                .help("leave the record as it is, and write the next one down right after the work"),
        );
    }
    findings
}
