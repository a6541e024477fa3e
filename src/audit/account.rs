//! The account of each record: which commit brought it, who recorded and who committed it, and what time passed between.

use super::Evidence;
use crate::logbook::{Change, Content, RecordName, Step, Trail, is_for_ever, is_kept, parse_record_path};
use crate::record::Moment;
use std::collections::{BTreeMap, HashMap};

/// How one record came in.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordAccount {
    pub path: String,
    /// The place of the commit that brought it, among the steps of the trail.
    pub step: usize,
    /// Those of other commits that brought the same, of which none stands on another; a history that was only added to has none.
    pub also: Vec<usize>,
    /// The latest merge of which one side had it not yet.
    pub arrived: Option<usize>,
    /// What it says, when the last commit still has it and it can be read.
    pub says: Option<Says>,
}

/// What a record says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Says {
    /// When the work was done.
    pub done: Moment,
    /// When it was written down.
    pub recorded: Moment,
    /// Who wrote it down, by id.
    pub recorder: String,
}

impl RecordAccount {
    /// Returns the places of all commits that brought it.
    pub fn brought(&self) -> impl Iterator<Item = usize> + '_ {
        std::iter::once(self.step).chain(self.also.iter().copied())
    }

    /// Returns the seconds from the work to its writing down.
    pub fn until_recorded(&self) -> Option<i64> {
        self.says.as_ref().map(|says| says.recorded.seconds_since(says.done))
    }

    /// Returns the seconds from the writing down to the commit.
    pub fn until_committed(&self, step: &Step) -> Option<i64> {
        self.says.as_ref().map(|says| Moment(step.commit.time).seconds_since(says.recorded))
    }
}

/// A change of a file that is not a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptChange {
    pub path: String,
    /// The place of the commit among the steps of the trail.
    pub step: usize,
    /// `new`, `changed` or `taken out`; and that a merge did it, where it follows from neither of its sides.
    pub how: &'static str,
}

/// Returns the accounts of all records, and all changes of other files.
pub(super) fn of(evidence: &Evidence<'_>) -> (Vec<RecordAccount>, Vec<KeptChange>) {
    let trail = evidence.trail;
    let arrived = arrived(&trail.steps);
    let brought = brought(trail);
    let of_records = brought.keys().filter(|path| parse_record_path(path).is_some());
    let mut records: Vec<RecordAccount> = of_records
        .filter_map(|path| {
            let (step, also) = those_that_count(trail, &brought, path)?;
            let says = evidence.contents.record(path).map(|filed| Says {
                done: filed.record.when(),
                recorded: filed.record.common.recorded,
                recorder: filed.record.common.recorder().to_owned(),
            });
            Some(RecordAccount { path: (*path).to_owned(), step, also, arrived: arrived.get(path).copied(), says })
        })
        .collect();
    records.sort_by_key(|record| record.step);
    let mut kept = Vec::new();
    for (at, step) in trail.steps.iter().enumerate() {
        let is_other = |change: &&Change| parse_record_path(&change.path).is_none() && is_kept(&change.path);
        for change in step.changes.iter().filter(|change| change.is_own).filter(is_other) {
            kept.push(KeptChange { path: change.path.clone(), step: at, how: how(step, change) });
        }
    }
    (records, kept)
}

fn how(step: &Step, change: &Change) -> &'static str {
    let is_merge = step.parents.len() > 1;
    match (change.before.iter().any(Option::is_some), change.now.is_some(), is_merge) {
        (false, _, false) => "new",
        (false, _, true) => "new in a merge",
        (true, true, false) => "changed",
        (true, true, true) => "changed in a merge",
        (true, false, false) => "taken out",
        (true, false, true) => "taken out in a merge",
    }
}

/// The commits that brought each record and seal where no parent had it, in order, and as what.
pub(super) type Brought<'a> = BTreeMap<&'a str, Vec<(usize, Content)>>;

/// Returns, for every record and seal there ever was, the commits that brought it where no parent had it, and as what.
pub(super) fn brought(trail: &Trail) -> Brought<'_> {
    let mut brought = Brought::new();
    for (at, step) in trail.steps.iter().enumerate() {
        for change in step.changes.iter().filter(|change| is_for_ever(&change.path)) {
            if let Some(now) = change.now.filter(|_| change.before.iter().all(Option::is_none)) {
                brought.entry(&change.path).or_default().push((at, now));
            }
        }
    }
    brought
}

/// Of the commits that brought a record, returns those that brought what it is now and stand on none of the others: one that
/// does brought it back. Where it has been changed since, the first one.
fn those_that_count(trail: &Trail, brought: &Brought<'_>, path: &str) -> Option<(usize, Vec<usize>)> {
    let all = brought.get(path)?;
    let last = trail.last.get(path);
    let same: Vec<usize> = all.iter().filter(|(_, content)| Some(content) == last).map(|(at, _)| *at).collect();
    let count = match same.as_slice() {
        [] => all.first().map(|(at, _)| *at).into_iter().collect(),
        [one] => vec![numbered(trail, brought, path, *one).unwrap_or(*one)],
        several => trail.graph.lowest(several),
    };
    count.split_first().map(|(step, also)| (*step, also.to_vec()))
}

/// Returns the commit that brought a record to which a merge only gave a number, since the other side had one of the same name.
fn numbered(trail: &Trail, brought: &Brought<'_>, path: &str, at: usize) -> Option<usize> {
    let merge = trail.steps.get(at).filter(|step| step.parents.len() > 1)?;
    let text = merge.changes.iter().find(|change| change.path == path)?.now?;
    let first = |path: &str| Some(RecordName { ordinal: 1, ..parse_record_path(path)? });
    let has_lost_it = |change: &&Change| change.now != Some(text) && change.before.contains(&Some(text));
    let mut others = merge.changes.iter().filter(has_lost_it).filter(|other| first(&other.path) == first(path));
    let brought = brought.get(others.next()?.path.as_str())?.iter();
    brought.filter(|(_, content)| *content == text).map(|(from, _)| *from).find(|from| trail.graph.leads_to(*from, at))
}

/// Returns, for each record and seal, the latest merge of which one side had it not yet.
///
/// Which side is the true one cannot be told: whoever merges says which parent comes first.
fn arrived(steps: &[Step]) -> HashMap<&str, usize> {
    let mut arrived: HashMap<&str, usize> = HashMap::new();
    let time = |at: usize| steps.get(at).map(|step| step.commit.time);
    for (at, step) in steps.iter().enumerate().filter(|(_, step)| step.parents.len() > 1) {
        let lacked = |change: &&Change| change.now.is_some() && change.before.contains(&None);
        for change in step.changes.iter().filter(|change| is_for_ever(&change.path)).filter(lacked) {
            let latest = arrived.entry(&change.path).or_insert(at);
            if time(*latest) < time(at) {
                *latest = at;
            }
        }
    }
    arrived
}
