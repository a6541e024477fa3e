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

/// Returns, for every record that another one corrects or voids, by which one.
///
/// When several do, the one recorded last has the say. A void that is itself voided has none.
pub(super) fn replaced(records: &[Arc<Filed>]) -> BTreeMap<String, Standing> {
    let mut claims: Vec<(&Filed, &str, bool)> = Vec::new();
    for filed in records {
        if let Body::Void(void) = &filed.record.body {
            claims.push((filed, &void.of, true));
        }
        if let Some(correction) = &filed.record.common.corrects {
            claims.push((filed, &correction.record, false));
        }
    }
    claims.sort_by_key(|(filed, _, _)| (filed.record.common.recorded, &filed.path));
    // A void of a void restores what the first one took away; a record cannot replace itself.
    let voided_voids: BTreeSet<&str> =
        claims.iter().filter(|(_, of, is_void)| *is_void && of.ends_with(".void.yaml")).map(|(_, of, _)| *of).collect();
    // Nothing can put right what was not yet written down.
    let recorded: BTreeMap<&str, Moment> =
        records.iter().map(|filed| (filed.path.as_str(), filed.record.common.recorded)).collect();
    let mut replaced = BTreeMap::new();
    for (filed, of, is_void) in claims {
        let later = recorded.get(of).is_some_and(|moment| filed.record.common.recorded < *moment);
        if later || voided_voids.contains(filed.path.as_str()) || leads_to(&replaced, &filed.path, of) {
            continue;
        }
        let standing =
            if is_void { Standing::VoidedBy(filed.path.clone()) } else { Standing::CorrectedBy(filed.path.clone()) };
        replaced.insert(of.to_owned(), standing);
    }
    replaced
}

/// Returns whether the record that speaks for a path is, or was on the way, another one: a circle would close.
fn leads_to(replaced: &BTreeMap<String, Standing>, path: &str, of: &str) -> bool {
    let mut path = path;
    loop {
        if path == of {
            return true;
        }
        match replaced.get(path) {
            Some(Standing::CorrectedBy(next) | Standing::VoidedBy(next)) => path = next,
            Some(Standing::Counts) | None => return false,
        }
    }
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
