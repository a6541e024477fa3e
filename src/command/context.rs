//! What every command is given: the logbook that was named, the moment that counts as now, and where keys may be found.

use crate::logbook::{self, KeyPlaces, Signer};
use crate::record::Moment;
use crate::signature::PublicKey;
use anyhow::Context as _;
use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::Instant;

/// The surroundings of a command.
pub struct Context {
    logbook: Option<PathBuf>,
    folder: PathBuf,
    now: Moment,
    /// Whether the moment was given on the command line.
    now_given: bool,
    /// When the program was started.
    started: Instant,
    /// The private key file that was named.
    signing_key: Option<PathBuf>,
    /// The keys whose passphrases were typed: nobody is asked twice.
    unlocked: RefCell<Vec<Rc<Signer>>>,
}

impl Context {
    /// Reads the clock, unless a moment was given, and the folder the program was started in.
    pub fn new(logbook: Option<PathBuf>, now: Option<Moment>) -> anyhow::Result<Context> {
        let folder = std::env::current_dir().context("the folder the program was started in cannot be read")?;
        let (now, now_given) = (now.unwrap_or_else(read_clock), now.is_some());
        let (started, unlocked) = (Instant::now(), RefCell::new(Vec::new()));
        Ok(Context { logbook, folder, now, now_given, started, signing_key: None, unlocked })
    }

    /// Names the private key file to sign with; without one, that of the environment.
    pub fn signing_with(mut self, file: Option<PathBuf>) -> Context {
        let file = file.or_else(|| surroundings("PININDEX_SIGNING_KEY"));
        self.signing_key = file.map(|file| self.folder.join(file));
        self
    }

    /// Returns where private keys may be found.
    pub fn key_places(&self) -> KeyPlaces {
        let home = surroundings("HOME").or_else(|| surroundings("USERPROFILE"));
        KeyPlaces {
            file: self.signing_key.clone(),
            agent: surroundings("SSH_AUTH_SOCK"),
            folder: home.map(|home| home.join(".ssh")),
        }
    }

    /// Returns one of some keys that was unlocked before.
    pub fn unlocked(&self, keys: &[PublicKey]) -> Option<Rc<Signer>> {
        self.unlocked.borrow().iter().find(|signer| keys.contains(signer.key())).cloned()
    }

    /// Keeps an unlocked key until the program ends.
    pub fn keep_unlocked(&self, signer: &Rc<Signer>) {
        self.unlocked.borrow_mut().push(Rc::clone(signer));
    }

    /// Returns the moment that counts as now.
    pub fn now(&self) -> Moment {
        self.now
    }

    /// Returns the moment at which something is committed: somebody may have typed a passphrase since the program was
    /// started, or waited for others. A moment given on the command line stands still.
    pub fn at_commit(&self) -> Moment {
        if self.now_given { self.now } else { read_clock() }
    }

    /// Returns the moment given on the command line, if one was.
    pub fn given_now(&self) -> Option<Moment> {
        self.now_given.then_some(self.now)
    }

    /// Returns the moment it is by now, while the program runs: a check takes minutes.
    ///
    /// A moment given on the command line goes on like a clock that was set to it. Otherwise the computer's clock is read
    /// again: no other clock counts the time for which a lid was closed.
    pub fn clock(&self) -> Moment {
        if !self.now_given {
            return read_clock();
        }
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

/// Returns a path that the environment names.
fn surroundings(name: &str) -> Option<PathBuf> {
    std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from)
}

/// Returns the computer's time in whole seconds.
fn read_clock() -> Moment {
    let clock = chrono::Local::now().fixed_offset();
    Moment(clock - chrono::Duration::nanoseconds(i64::from(clock.timestamp_subsec_nanos())))
}
