//! Times that cannot be, or are odd: a commit dated before the one it stands on, a record written down after its commit or
//! long before it.
//!
//! Whoever puts a commit in afterwards must give it an earlier time than those around it, or build all of them anew.

use super::account::RecordAccount;
use super::words::{also, commit, made, place};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::logbook::Step;
use crate::record::Moment;
use crate::record::moment::{CLOCKS_DIFFER, spoken};
use std::collections::BTreeMap;

/// A record on paper or in a page is handed in within the day.
const WITHIN_THE_DAY: i64 = 24 * 60 * 60;

/// Returns what is wrong with the times of commits.
pub(super) fn problems(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let of_records = records.iter().flat_map(|record| {
        let of_commit =
            move |at| recorded_afterwards(evidence, record, at).or_else(|| committed_late(evidence, record, at));
        record.brought().filter_map(of_commit)
    });
    before_parents(evidence).chain(of_records).chain(arrived_late(evidence, records)).collect()
}

fn before_parents<'a>(evidence: &'a Evidence<'_>) -> impl Iterator<Item = Found> + 'a {
    let steps = &evidence.trail.steps;
    steps.iter().enumerate().filter_map(move |(at, step)| {
        let latest = step.parents.iter().filter_map(|at| steps.get(*at)).max_by_key(|parent| parent.commit.time)?;
        let early = Moment(latest.commit.time).seconds_since(Moment(step.commit.time));
        // That a commit has no date is a problem of its own.
        if early <= 0 || !step.commit.is_dated {
            return None;
        }
        let headline = format!("{} is dated {} before the one it stands on", commit(&step.commit), spoken(early));
        let label = format!(
            "dated {} by the computer of {}; {} before it {}",
            Moment(step.commit.time).short(),
            step.commit.committer_name,
            latest.commit.short(),
            Moment(latest.commit.time).short()
        );
        let mut told = Diagnostic::problem("commit-before-its-parent", place(step), headline)
            .label(label)
            .help(format!(
                "ask {}: a clock that was wrong does this, and a commit that was put in later",
                step.commit.committer_name
            ))
            .paste(format!("git log --format=fuller -2 {}", step.commit.short()));
        // A clock that is set back a little does this now and then.
        if early <= CLOCKS_DIFFER {
            told.severity = Severity::Finding;
        }
        Some((Some(at), told))
    })
}

fn recorded_afterwards(evidence: &Evidence<'_>, record: &RecordAccount, at: usize) -> Option<Found> {
    let step = evidence.trail.steps.get(at)?;
    let early = -record.until_committed(step)?;
    if early <= CLOCKS_DIFFER || !step.commit.is_dated {
        return None;
    }
    let headline = format!("record says that it was written down {} after its commit", spoken(early));
    let problem = Diagnostic::problem("recorded-after-its-commit", Place::value(&record.path, "/recorded"), headline)
        .label(format!("committed {} in {}", Moment(step.commit.time).short(), step.commit.short()))
        .help(format!(
            "ask {}: one of the two clocks was wrong, or the commit was given another time",
            step.commit.committer_name
        ));
    Some((Some(at), problem))
}

/// Returns the seconds by which a record was late with a commit, where that is more than a day.
fn late(record: &RecordAccount, step: &Step) -> Option<i64> {
    record.until_committed(step).filter(|late| *late > WITHIN_THE_DAY)
}

/// A record for a day that is over, with the times of that day, is committed when it is made up.
fn committed_late(evidence: &Evidence<'_>, record: &RecordAccount, at: usize) -> Option<Found> {
    let step = evidence.trail.steps.get(at)?;
    let late = late(record, step)?;
    let headline = format!("record was committed {} after it says it was written down", spoken(late));
    let finding = Diagnostic::finding("committed-late", Place::value(&record.path, "/recorded"), headline)
        .label(format!("committed {} in {}", Moment(step.commit.time).short(), step.commit.short()))
        .help(format!(
            "ask {} where it lay so long; nothing outside it tells that it is so old",
            step.commit.committer_name
        ));
    Some((Some(at), finding))
}

/// Or its commit is given those times too, and only the merge that ties it to the history tells when. Told once for a merge:
/// where two computers are joined after some days, all their records came in late for one of them.
fn arrived_late(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let mut merges: BTreeMap<usize, Vec<(&RecordAccount, i64)>> = BTreeMap::new();
    let step = |at: usize| evidence.trail.steps.get(at);
    for record in records.iter().filter(|one| !one.brought().filter_map(step).any(|step| late(one, step).is_some())) {
        if let Some((at, late)) = record.arrived.and_then(|at| Some((at, late(record, step(at)?)?))) {
            merges.entry(at).or_default().push((record, late));
        }
    }
    let one = |(at, those): (usize, Vec<(&RecordAccount, i64)>)| {
        let (merge, (first, latest)) = step(at).zip(those.iter().max_by_key(|(_, late)| *late))?;
        let headline = match those.len() {
            1 => format!("record came in with a merge {} after it says it was written down", spoken(*latest)),
            number => format!(
                "{} came in with a merge, up to {} after they say they were written down",
                counted(number, "record"),
                spoken(*latest)
            ),
        };
        let others = those.iter().map(|(record, _)| record.path.as_str()).filter(|path| *path != first.path);
        let finding = Diagnostic::finding("committed-late", Place::value(&first.path, "/recorded"), headline)
            .label(format!("merged {}{}", made(merge), also("likewise", others)))
            .help(format!(
                "ask {} where this was until then; nothing outside it tells that it is so old",
                merge.commit.committer_name
            ))
            .paste(format!("git show --format=fuller {}", merge.commit.short()));
        Some((Some(at), finding))
    };
    merges.into_iter().filter_map(one).collect()
}
