//! A record tells its time with an offset from UTC that the clocks at the site do not have then.
//!
//! It is refused as it comes in: the day in its name, and so the month it lies in, would be another one than the report
//! counts it for. What the history has already stays, and is told.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};

pub const RULE: Rule = Rule {
    name: "offset-not-at-site",
    severity: Severity::Finding,
    page: include_str!("offset_not_at_site.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let Some(site) = &facts.contents.site else { return Vec::new() };
    let mut findings = Vec::new();
    for filed in &facts.contents.records {
        let (when, field) = (filed.record.when(), filed.record.when_field());
        let at_site = when.in_zone(site.time_zone);
        if at_site.0.offset() == when.0.offset() {
            continue;
        }
        let headline = format!("{} tells its time with an offset that the site did not have", name(filed));
        findings.push(
            Diagnostic::finding("offset-not-at-site", Place::value(&filed.path, format!("/{field}")), headline)
                .label(format!("{} at the site", at_site.short()))
                .limit(format!("clocks of {}; source: `site.yaml`", site.time_zone))
                .help("write the same moment in the time of the site; if its clocks are others, put `time-zone` right and keep it")
                .paste(format!("{field}: \"{at_site}\"")),
        );
    }
    findings
}
