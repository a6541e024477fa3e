//! The logbook: a folder of plain files and its git history.
//!
//! Reads all files of a logbook as they are on disk or as they were in a commit, and adds files in
//! commits of their own. Gives bytes and commit facts; what the bytes say is the business of `record`.
//! All work with git is done in this process: no program is started and no hook is run.

#![expect(clippy::disallowed_methods, reason = "the folder and its history are read and written here")]

mod bounded;
mod branch;
mod changes;
mod commit;
mod committed;
mod drafts;
mod files;
mod folder;
mod git_folder;
mod graph;
mod headers;
mod history;
mod index;
mod layout;
mod lives;
mod lock;
mod meeting;
mod nowhere;
mod objects;
mod outside;
mod pending;
mod remembered;
mod repository;
mod revision;
mod rivals;
mod seen;
mod signed;
mod signing;
mod snapshot;
mod trail;
mod trees;
mod trouble;
mod turn;
mod veils;
mod walk;
mod whole;

pub use changes::{Changed, ChangedHow, changed_files, differing_files, left_out_files};
pub use commit::{Addition, Author, Durability, create};
pub use committed::{Committed, CommittedFile};
pub use drafts::Draft;
pub use files::{reports_folder, write_whole};
pub use folder::{find, read_file, read_inside, read_working_files};
pub use graph::{Graph, Sides};
pub use history::{
    Altered, AlteredHow, altered_records, first_commits, has_commit, has_history, last_commit, lost_files, odd_commits,
    read_commit, read_commit_files,
};
pub use layout::{
    ALLOWED_SIGNERS_FILE, FOLDERS, PEOPLE_FILE, RecordName, SITE_FILE, SIZE_LIMIT, belongs, is_for_ever, is_kept,
    numbered_record_path, parse_record_path, record_path,
};
pub use outside::{BesideHistory, Outside, records_outside};
pub use rivals::is_kept as is_record_kept;
pub use seen::made_here;
pub use signed::{SignedCommit, signed_commits};
pub use signing::{Found, KeyPlaces, LockedKey, Signer, find as find_key};
pub use snapshot::{CommitInfo, FileContent, Snapshot, Source, short_commit};
pub use trail::{Change, Step, Trail, trail};
pub use trouble::{Trouble, WITHOUT_HISTORY, headline, next_step};
pub use turn::Turn;
pub use veils::{Hides, NAMES_FILE, Veil};
pub use walk::Content;
