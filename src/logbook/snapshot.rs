//! All files of a logbook at one moment, as bytes.
//!
//! The same value comes from the folder on disk and from a commit, so that nothing later in the
//! pipeline can tell the difference, except by asking for the source.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use gix::bstr::ByteSlice;

/// All files of a logbook at one moment. Paths are relative, with `/` on every platform.
#[derive(Debug, Clone)]
pub struct Snapshot {
    pub files: BTreeMap<String, FileContent>,
    pub source: Source,
}

impl Snapshot {
    /// Returns the bytes of the file at `path`, if it is there and could be read.
    pub fn bytes(&self, path: &str) -> Option<&[u8]> {
        match self.files.get(path)? {
            FileContent::Bytes(bytes) => Some(bytes),
            FileContent::TooLarge(_) | FileContent::Link | FileContent::Unreadable(_) => None,
        }
    }

    /// Returns the commit that the files are, or that the working files stand on.
    pub fn commit(&self) -> Option<&CommitInfo> {
        match &self.source {
            Source::Commit(commit) => Some(commit),
            Source::WorkingFiles { head, .. } => head.as_ref(),
        }
    }
}

/// What was found at a path. Whatever is not plain bytes is listed too, so that it can be named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileContent {
    Bytes(Arc<[u8]>),
    /// The size in bytes of a file over the limit; its bytes were not read.
    TooLarge(u64),
    /// A symbolic link; it was not followed.
    Link,
    /// Why the file could not be read, in plain words.
    Unreadable(String),
}

impl FileContent {
    /// Returns whether this is what lies on a disk of a committed file, also where git wrote its line ends as that system does.
    pub fn is_checkout_of(&self, committed: &FileContent) -> bool {
        match (self, committed) {
            (FileContent::Bytes(here), FileContent::Bytes(there)) => {
                here == there || here.contains_str("\r\n") && here.replace("\r\n", "\n") == **there
            }
            (here, there) => here == there,
        }
    }
}

/// Where the files of a snapshot come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// The folder on disk. `uncommitted` tells whether any file differs from `head`; it is false
    /// where there is no git history at all.
    WorkingFiles {
        head: Option<CommitInfo>,
        uncommitted: bool,
    },
    Commit(CommitInfo),
}

/// Who committed, when, and the first line of what they wrote.
///
/// A time before 1970, after 9999 or in no form that git writes reads as 1970 in UTC. Only a commit that somebody made by
/// hand has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CommitInfo {
    /// The forty hexadecimal digits of the commit.
    pub id: String,
    pub author_name: String,
    pub author_email: String,
    /// When the author's work was done.
    pub author_time: DateTime<FixedOffset>,
    /// Who made the commit (git's committer), who may be another than its author.
    pub committer_name: String,
    pub committer_email: String,
    /// When the commit was made (git's committer time).
    pub time: DateTime<FixedOffset>,
    pub subject: String,
    /// Whether the time of the commit could be read.
    pub is_dated: bool,
    /// Whether that of the author could.
    pub is_author_dated: bool,
    /// What no program of git writes into a commit, each in words; empty for nearly every commit there is.
    pub flaws: Vec<String>,
}

impl CommitInfo {
    /// Returns the digits of the commit that people are shown.
    pub fn short(&self) -> &str {
        short_commit(&self.id)
    }
}

/// Returns the first ten digits of a commit, which is what people are shown of it.
pub fn short_commit(id: &str) -> &str {
    id.get(..10).unwrap_or(id)
}
