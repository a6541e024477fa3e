//! From a basis to the whole report value.

use super::basis::Basis;
use super::document::{About, Report};
use super::summary::Counted;
use super::tally::Tally;
use super::{
    cases, changes, downtime, drift, expected, failures, items, limits, machines, notes, on_request, repeats, returns,
    seals, services, side_by_side, signals, single, summary,
};
use crate::logbook::short_commit;

/// Counts and words everything once. The renderers add nothing.
pub fn build(basis: &Basis<'_>) -> Report {
    let tally = Tally::of(basis);
    let counted = Counted {
        expected: expected::counted_days(basis, &tally),
        failures: failures::counted_failures(basis, &tally),
        faults: tally.counts(basis.period, None),
        returned: returns::counted_returns(basis, &tally),
        signals: signals::compared(basis, &tally),
        comparison: machines::compared(basis, &tally),
        repeats: repeats::counted_repeats(basis),
        drifts: drift::counted_drifts(basis),
    };
    let mut sections = summary::sections(basis, &counted);
    let mut figures = Vec::new();
    for (section, more) in [
        side_by_side::section(basis, &tally),
        signals::section(basis, &counted.signals),
        expected::section(basis, &tally, &counted.expected),
        single::section(basis),
        failures::section(basis, &counted.failures),
        items::section(basis, &tally.answers_by_item(basis.period.twelve_months())),
        machines::section(basis, counted.comparison.as_ref()),
        cases::section(basis),
        returns::section(basis, &counted.returned),
        downtime::section(basis),
        repeats::section(basis, &tally, &counted.repeats),
        services::section(basis, &services::counted_services(basis)),
        drift::section(basis, &counted.drifts),
        changes::section(basis),
    ] {
        sections.push(section);
        figures.extend(more);
    }
    sections.push(limits::section(basis));
    if let Some((section, more)) = on_request::section(basis, &tally, &counted.failures) {
        sections.push(section);
        figures.extend(more);
    }
    sections.extend(notes::sections(basis));
    Report { about: about(basis), figures, sections }
}

pub(super) fn about(basis: &Basis<'_>) -> About {
    let period = basis.period;
    let commit = basis.built_from.as_ref();
    let short =
        commit.map_or("draft, no git history".to_owned(), |built| format!("commit {}", short_commit(&built.commit)));
    About {
        title: if period.is_month() {
            "Anaesthesia machine checks: monthly summary".to_owned()
        } else {
            "Anaesthesia machine checks: summary".to_owned()
        },
        site: basis.site.name.clone(),
        period: period.name(),
        period_words: period.words(),
        from: period.first.to_string(),
        to: period.last().to_string(),
        as_of: basis.as_of.to_string(),
        commit: commit.map(|built| built.commit.clone()),
        commit_time: commit.map(|built| built.time.in_zone(basis.site.time_zone).to_string()),
        timestamp: commit.map_or(basis.as_of, |built| built.time).0.timestamp(),
        records_counted: basis.contents.counting().count(),
        records_left_out: basis.left_out.len(),
        language: "en".to_owned(),
        paper: basis.site.report.paper,
        foot: format!("{} · {} · {short}{}", basis.site.name, period.words(), seals::foot(basis)),
    }
}
