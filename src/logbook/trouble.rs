//! What stopped the work on a logbook, with one next step.
//!
//! An error that a person can do something about. Its text is the headline alone; the next step is
//! kept apart so that the one place that prints errors can lay it out. A failure of the disk or of git
//! brings none with it; what to do about those is known here.

use std::fmt;
use std::io;

/// A failure with a headline and one next step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    headline: String,
    help: String,
}

impl Trouble {
    /// Returns a failure with the given headline and next step.
    pub fn new(headline: impl Into<String>, help: impl Into<String>) -> Self {
        Trouble { headline: headline.into(), help: help.into() }
    }

    /// Returns the one next step.
    pub fn help(&self) -> &str {
        &self.help
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.headline)
    }
}

impl std::error::Error for Trouble {}

/// Returns what is wrong, in one line. What git's library says by itself gets a word of ours before it.
pub fn headline(error: &anyhow::Error) -> String {
    let bare = error.chain().next().is_some_and(|first| first.is::<gix::Error>());
    if bare { format!("git's part of the logbook cannot be used: {error:#}") } else { format!("{error:#}") }
}

/// Returns what to do about a failure: what it says of itself, or what is to be done about the disk or about git's part of
/// the logbook.
pub fn next_step(error: &anyhow::Error) -> Option<&str> {
    let own = error.chain().find_map(|cause| cause.downcast_ref::<Trouble>());
    let disk = || error.chain().find_map(|cause| cause.downcast_ref::<io::Error>());
    let git = || error.chain().find(|cause| cause.is::<gix::Error>());
    own.map(Trouble::help).or_else(|| disk().map(about_disk)).or_else(|| git().map(|_| ABOUT_GIT))
}

/// What to do about a folder without a history.
pub const WITHOUT_HISTORY: &str = "if it had one, bring its folder `.git` back from a copy; a new one begins with `pinindex init \
                                   NEW-FOLDER`: copy your files into it, and run `pinindex keep --by ID` there";

pub(super) const ABOUT_GIT: &str = "keep a copy of the folder as it is, then run `git fsck` in it to see what is damaged; \
                         a copy of the logbook from before has what is missing";

fn about_disk(error: &io::Error) -> &'static str {
    use io::ErrorKind::{FileTooLarge, PermissionDenied, QuotaExceeded, ReadOnlyFilesystem, StorageFull};
    match error.kind() {
        StorageFull | QuotaExceeded | FileTooLarge => "make room on the disk, then run the same command again",
        PermissionDenied => {
            "ask whoever looks after this computer for the right to read and write there, then run the same command again"
        }
        ReadOnlyFilesystem => "make the disk writable, then run the same command again",
        _ => "look whether the disk is there and sound, then run the same command again",
    }
}
