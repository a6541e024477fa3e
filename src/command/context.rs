//! What every command is given: the logbook that was named, and the moment that counts as now.

use crate::logbook;
use crate::record::Moment;
use anyhow::Context as _;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// The surroundings of a command.
pub struct Context {
    logbook: Option<PathBuf>,
    folder: PathBuf,
    now: Moment,
    /// Whether the moment was given on the command line.
    now_given: bool,
    /// When the program was started, by a clock that nobody sets.
    started: Instant,
}

impl Context {
    /// Reads the clock, unless a moment was given, and the folder the program was started in.
    pub fn new(logbook: Option<PathBuf>, now: Option<Moment>) -> anyhow::Result<Context> {
        let folder = std::env::current_dir().context("the folder the program was started in cannot be read")?;
        let clock = chrono::Local::now().fixed_offset();
        let whole_second = clock - chrono::Duration::nanoseconds(i64::from(clock.timestamp_subsec_nanos()));
        Ok(Context {
            logbook,
            folder,
            now: now.unwrap_or(Moment(whole_second)),
            now_given: now.is_some(),
            started: Instant::now(),
        })
    }

    /// Returns the moment that counts as now.
    pub fn now(&self) -> Moment {
        self.now
    }

    /// Returns the moment given on the command line, if one was.
    pub fn given_now(&self) -> Option<Moment> {
        self.now_given.then_some(self.now)
    }

    /// Returns the moment it is by now: the one that counts as now, and the time gone by since the program was started.
    ///
    /// A check takes minutes. It is counted by a clock that nobody sets, so that no summer time and no correction of the
    /// computer's clock falls into the middle of it.
    pub fn clock(&self) -> Moment {
        let gone = i64::try_from(self.started.elapsed().as_secs()).unwrap_or(0);
        Moment(self.now.0 + chrono::Duration::seconds(gone))
    }

    /// Finds the logbook: the folder that was named, or the nearest one at or above the current folder.
    pub fn find_logbook(&self) -> anyhow::Result<PathBuf> {
        logbook::find(&self.folder, self.logbook.as_deref())
    }

    /// Returns the folder the program was started in.
    pub fn folder(&self) -> &Path {
        &self.folder
    }
}
