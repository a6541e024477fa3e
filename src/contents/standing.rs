//! Which records count: a record that a later one corrects or voids stays readable and is no longer counted.

use super::{Contents, Filed};
use crate::record::{Body, Moment};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Whether a record counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    Counts,
    /// Put right by the record at this path.
    CorrectedBy(String),
    /// Declared not to count by the record at this path.
    VoidedBy(String),
}

/// That one record stands in the place of another, or takes it out of the count.
struct Claim<'a> {
    by: &'a Filed,
    of: &'a str,
    is_void: bool,
}

/// Returns, for every record that another one corrects or voids, by which one.
///
/// When several do, the one recorded last has the say. A claim counts only if its own record does: a void that is itself
/// voided or corrected takes nothing out, and a correction that is voided stands in nobody's place. A correction that is
/// corrected keeps its place, in which the later one stands.
pub(super) fn replaced(records: &[Arc<Filed>]) -> BTreeMap<String, Standing> {
    let claims = claims(records);
    let mut on: BTreeMap<&str, Vec<&Claim<'_>>> = BTreeMap::new();
    for claim in &claims {
        on.entry(claim.of).or_default().push(claim);
    }
    // What became of a record is known once it is known of those that name it, so that the newest are decided first.
    let mut decided: BTreeMap<&str, Option<&Claim<'_>>> = BTreeMap::new();
    let mut under_way: BTreeSet<&str> = BTreeSet::new();
    for first in on.keys() {
        let mut open = vec![*first];
        while let Some(path) = open.last().copied() {
            let of_path = on.get(path).map_or(&[][..], Vec::as_slice);
            let begun = decided.contains_key(path) || !under_way.insert(path);
            let known = open.len();
            if !begun {
                let namers = of_path.iter().map(|claim| claim.by.path.as_str());
                open.extend(namers.filter(|by| !decided.contains_key(by) && !under_way.contains(by)));
            }
            if known < open.len() {
                continue;
            }
            // Records that name each other at one moment would wait for each other for ever: one still under way has no say.
            let has_say = |claim: &&&Claim<'_>| match decided.get(claim.by.path.as_str()) {
                Some(None) => true,
                Some(Some(over)) => !over.is_void && !claim.is_void,
                None => false,
            };
            if under_way.remove(path) {
                decided.insert(path, of_path.iter().rev().find(has_say).copied());
            }
            open.pop();
        }
    }
    let standing = |claim: &Claim<'_>| {
        let by = claim.by.path.clone();
        if claim.is_void { Standing::VoidedBy(by) } else { Standing::CorrectedBy(by) }
    };
    decided.into_iter().filter_map(|(path, claim)| Some((path.to_owned(), standing(claim?)))).collect()
}

/// Returns the claims of all records, in the order in which they were written down.
fn claims(records: &[Arc<Filed>]) -> Vec<Claim<'_>> {
    let recorded: BTreeMap<&str, Moment> =
        records.iter().map(|filed| (filed.path.as_str(), filed.record.common.recorded)).collect();
    let mut claims: Vec<Claim<'_>> = Vec::new();
    for by in records {
        if let Body::Void(void) = &by.record.body {
            claims.push(Claim { by, of: &void.of, is_void: true });
        }
        if let Some(correction) = &by.record.common.corrects {
            claims.push(Claim { by, of: &correction.record, is_void: false });
        }
    }
    // A record cannot replace itself, and nothing can put right what was not yet written down.
    claims.retain(|Claim { by, of, .. }| {
        by.path != *of && recorded.get(of).is_none_or(|moment| *moment <= by.record.common.recorded)
    });
    claims.sort_by_key(|claim| (claim.by.record.common.recorded, &claim.by.path));
    claims
}

impl Contents {
    /// Returns whether the record at a path counts.
    pub fn standing(&self, path: &str) -> Standing {
        self.replaced.get(path).cloned().unwrap_or(Standing::Counts)
    }

    /// Returns the path of the record that speaks for a path today: itself, or the last correction of it.
    /// Nothing when it was voided.
    pub fn speaking_for<'a>(&'a self, path: &'a str) -> Option<&'a str> {
        let mut path = path;
        // A correction replaces only what was there before it, so that the walk ends within their number.
        for _ in 0..=self.replaced.len() {
            match self.replaced.get(path) {
                None | Some(Standing::Counts) => return Some(path),
                Some(Standing::VoidedBy(_)) => return None,
                Some(Standing::CorrectedBy(next)) => path = next,
            }
        }
        None
    }

    /// Returns the records that count, in the order of their paths.
    pub fn counting(&self) -> impl Iterator<Item = &Arc<Filed>> {
        // Both are in the order of paths, so that one walk through both finds what is replaced.
        let mut replaced = self.replaced.keys().peekable();
        self.records.iter().filter(move |filed| {
            while replaced.next_if(|path| **path < filed.path).is_some() {}
            replaced.peek().is_none_or(|path| **path != filed.path)
        })
    }
}

#[cfg(test)]
mod tests;
