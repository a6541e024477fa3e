//! What a record that is handed in means by the name of another one.
//!
//! A page that saves a check and its fault writes into the fault the path that the check will have. When another check of
//! that machine and second has the path already, the new one gets a number, and the name in the fault would mean the
//! other one. Takes where the records handed in were filed, and gives the text of a record with the names put right. Only
//! the name is changed, and whoever hands it in is told.

use super::filing::Where;
use crate::logbook;
use crate::record::{self, Body, Record, places};
use std::collections::{BTreeMap, BTreeSet};

/// Where the records that were handed in together came to lie.
#[derive(Default)]
pub struct Named {
    /// Every path at which one of them lies.
    taken: BTreeSet<String>,
    /// For a path that was taken by another record: the paths that were given instead.
    instead: BTreeMap<String, BTreeSet<String>>,
}

impl Named {
    /// Notes where a record came to lie. One that lay in the logbook before has been named by whoever put it there.
    ///
    /// A correction is filed beside the record that it corrects, and whoever names that one means it: the correction
    /// speaks for it anyway.
    pub fn note(&mut self, record: &Record, lies: &Where, lay_inside: bool) {
        let (Where::New(path) | Where::AlreadyThere(path)) = lies else { return };
        let first = logbook::record_path(record.when().0, &record.common.machine, record.kind());
        if *path != first && record.common.corrects.is_none() && !lay_inside {
            self.instead.entry(first).or_default().insert(path.clone());
        }
        self.taken.insert(path.clone());
    }

    /// Returns a record and its text with the names of others put right, and the names that were given; nothing when all
    /// of them are right.
    pub fn put_right(&self, shown: &str, record: &Record, text: &str) -> Option<(Record, String, Vec<String>)> {
        let mut right = text.to_owned();
        let mut given = Vec::new();
        for (pointer, name) in names_in(record) {
            let Some(instead) = self.instead(name) else { continue };
            let Some(range) = places::value(&right, &pointer) else { continue };
            let Some(written) = right.get(range.clone()).filter(|written| written.contains(name)) else { continue };
            let written = written.replacen(name, instead, 1);
            right.replace_range(range, &written);
            given.push(instead.to_owned());
        }
        let (record, _) = record::read(shown, right.as_bytes());
        record.filter(|_| !given.is_empty()).map(|record| (record, right, given))
    }

    /// Returns the path that a name means. Where one of those handed in has that very name, or several could be meant,
    /// the name stands as it was written.
    fn instead(&self, name: &str) -> Option<&str> {
        let given = self.instead.get(name).filter(|given| given.len() == 1 && !self.taken.contains(name))?;
        given.first().map(String::as_str)
    }
}

/// Returns the order in which records are filed: whatever can be named before whoever can name it.
pub fn turn(record: &Record) -> u8 {
    match record.body {
        Body::Check(_) | Body::Service(_) => 0,
        Body::Fault(_) => 1,
        Body::Repair(_) => 2,
        Body::Release(_) => 3,
        Body::Void(_) => 4,
    }
}

/// Returns the records that a record names, each with its place. Those that it corrects or voids were there before it.
fn names_in(record: &Record) -> Vec<(String, &str)> {
    match &record.body {
        Body::Fault(fault) => {
            fault.found_during.check.iter().map(|check| ("/found-during/check".to_owned(), check.as_str())).collect()
        }
        Body::Repair(repair) => vec![("/fault".to_owned(), &repair.fault)],
        Body::Release(release) => {
            let faults = release.faults.iter().enumerate().map(|(n, fault)| (format!("/faults/{n}"), fault.as_str()));
            faults.chain([("/proved-by".to_owned(), release.proved_by.as_str())]).collect()
        }
        Body::Check(_) | Body::Service(_) | Body::Void(_) => Vec::new(),
    }
}
