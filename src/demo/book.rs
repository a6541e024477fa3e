//! The records of the demo while they are being thought up: each gets its path at once, so that later ones can name it.
//!
//! Takes records in any order and gives them in the order in which they were recorded, up to the end of the demo.

use super::Planned;
use crate::logbook::numbered_record_path;
use crate::procedure::Procedure;
use crate::record::{Body, Check, Common, Moment, Record, Results};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The records so far.
#[derive(Default)]
pub struct Book {
    records: Vec<Planned>,
    paths: BTreeSet<String>,
}

impl Book {
    /// Adds a record and returns its path.
    pub fn add(&mut self, record: Record) -> String {
        let (when, machine, kind) = (record.when().0, record.common.machine.clone(), record.kind());
        let path = (1..)
            .map(|ordinal| numbered_record_path(when, &machine, kind, ordinal))
            .find(|path| !self.paths.contains(path))
            .expect("a machine has fewer records in a second than there are numbers");
        self.paths.insert(path.clone());
        self.records.push(Planned { path: path.clone(), record });
        path
    }

    /// Returns the records that were recorded up to a moment, in the order in which they were.
    ///
    /// A record names only earlier ones, so that leaving out the late end leaves no name without its record.
    pub fn until(mut self, end: Moment) -> Vec<Planned> {
        self.records.retain(|planned| planned.record.common.recorded <= end);
        self.records.sort_by_key(|planned| planned.record.common.recorded);
        self.records
    }
}

/// Returns a record of a kind with what all records say.
pub fn record(machine: &str, recorded: Moment, by: Vec<String>, body: Body) -> Record {
    let machine = machine.to_owned();
    Record { common: Common { machine, recorded, by, recorded_by: None, corrects: None, remarks: None }, body }
}

/// Returns a check that followed a procedure, without an emergency start.
pub fn checked(procedure: &Procedure, started: Moment, finished: Moment, results: Results) -> Arc<Check> {
    Arc::new(Check {
        form: None,
        procedure: procedure.procedure.clone(),
        revision: procedure.revision,
        started,
        finished,
        emergency_start: false,
        results,
    })
}
