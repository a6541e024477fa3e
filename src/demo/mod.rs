//! The logbook of an invented small hospital, with months of records, for trying things out and for tests.
//!
//! Takes a size, a span and a seed, and gives files and records. Pure: no disk, no clock; the same settings give the
//! same bytes everywhere. The hospital's own files are written first and read back as any logbook's, so that checks
//! follow the very procedures and limits that stand in them. What was put in on purpose is told in [`planted`].

mod answers;
mod book;
mod calendar;
mod case;
mod cases;
mod chance;
mod clock;
mod elsewhere;
mod files;
mod filling;
mod gauges;
mod machines;
mod people;
pub mod planted;
mod round;
mod sealing;
mod slips;
mod trouble;
mod upkeep;
mod walk;

pub use planted::{Planted, planted};
pub use sealing::PlannedSeal;

use crate::contents;
use crate::logbook::{FileContent, Snapshot, Source, belongs};
use crate::record::{Date, Record};
pub use clock::ZONE;

/// How large a demo is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// From 1 to 40; other numbers are taken as the nearest of these.
    pub machines: usize,
    /// How many whole months lie before the month of the last day, from 1 to 60.
    pub months: u32,
    pub seed: u64,
    /// The last day; it is recorded until noon.
    pub last_day: Date,
}

/// A logbook that is yet to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Paths and texts of the files that are no records.
    pub files: Vec<(String, String)>,
    /// In the order in which they are recorded.
    pub records: Vec<Planned>,
    /// In order of time.
    pub seals: Vec<PlannedSeal>,
}

/// A record and the path it is to be filed under.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    pub path: String,
    pub record: Record,
}

/// Thinks up a logbook.
pub fn plan(settings: &Settings) -> Plan {
    let settings = settings.within_bounds();
    let planted = planted(&settings);
    let units = machines::units(settings.machines, planted.first_day.0, settings.last_day.0);
    let files = files::files(&settings, &planted, &units);
    let (contents, _) = contents::read(&snapshot(&files), &mut |_| {});
    let records = walk::records(&settings, &planted, &contents, &units);
    let seals = sealing::seals(planted.first_day.0, settings.last_day.0, &contents.people);
    Plan { files, records, seals }
}

impl Settings {
    fn within_bounds(&self) -> Settings {
        Settings { machines: self.machines.clamp(1, 40), months: self.months.clamp(1, 60), ..self.clone() }
    }
}

/// Returns the files that belong to a logbook as they would be read from its folder.
fn snapshot(files: &[(String, String)]) -> Snapshot {
    let files = files.iter().filter(|(path, _)| belongs(path));
    Snapshot {
        files: files.map(|(path, text)| (path.clone(), FileContent::Bytes(text.as_bytes().into()))).collect(),
        source: Source::WorkingFiles { head: None, uncommitted: false },
    }
}
