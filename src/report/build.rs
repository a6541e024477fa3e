//! From a basis to the whole report value.

use super::basis::Basis;
use super::document::{About, Report};
use super::tally::Tally;
use super::{cases, changes, drift, expected, failures, limits, notes, returns, summary};

/// Counts and words everything once. The renderers add nothing.
pub fn build(basis: &Basis<'_>) -> Report {
    let tally = Tally::of(basis);
    let days = expected::counted_days(basis, &tally);
    let failed = failures::counted_failures(basis, &tally);
    let returned = returns::counted_returns(basis);
    let drifts = drift::counted_drifts(basis);
    let mut sections = vec![summary::section(basis, &days, &failed, &returned)];
    let mut figures = Vec::new();
    for (section, more) in [
        expected::section(basis, &days),
        failures::section(basis, &failed),
        cases::section(basis),
        returns::section(basis, &returned),
        drift::section(basis, &drifts),
        changes::section(basis),
    ] {
        sections.push(section);
        figures.extend(more);
    }
    sections.push(limits::section(basis));
    sections.extend(notes::sections(basis));
    Report { about: about(basis), figures, sections }
}

fn about(basis: &Basis<'_>) -> About {
    let period = basis.period;
    let commit = basis.built_from.as_ref();
    let short = commit.map_or("draft, no git history".to_owned(), |built| {
        format!("commit {}", built.commit.get(..10).unwrap_or(&built.commit))
    });
    About {
        title: "Anaesthesia machine checks: monthly summary".to_owned(),
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
        foot: format!("{} · {} · {short}", basis.site.name, period.words()),
    }
}
