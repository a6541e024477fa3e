//! The logbook's own lock: one writer at a time.
//!
//! The lock is held by the operating system on an open file and ends with the process, so a crash
//! leaves nothing to clean up. It does not bind a person who runs git at the same moment; for them
//! the branch is moved by compare-and-swap.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, Result};

use super::trouble::Trouble;

const FILE_NAME: &str = "pinindex.lock";
const PAUSE: Duration = Duration::from_millis(20);
const MOMENT: Duration = Duration::from_secs(2);

/// The lock, held until it is dropped.
#[derive(Debug)]
pub(super) struct Lock {
    _file: File,
}

/// Opens a lock's file, made if it is not there. A link is not followed, and at a pipe nobody waits.
pub(super) fn open(path: &Path) -> Result<File> {
    match fs::symlink_metadata(path) {
        Ok(found) if !found.is_file() => Err(Trouble::new(
            format!("`{}` is in the way: it should be a plain file", path.display()),
            "take it away; the program makes it anew",
        )
        .into()),
        _ => Ok(OpenOptions::new().create(true).truncate(false).write(true).open(path)?),
    }
}

/// Returns the lock of the logbook whose git folder is `git_dir`, waiting up to `patience` for it.
///
/// `waiting` is told once when it takes longer than a moment.
pub(super) fn acquire(git_dir: &Path, patience: Duration, waiting: &mut dyn FnMut()) -> Result<Lock> {
    let path = git_dir.join(FILE_NAME);
    let file = open(&path).with_context(|| format!("cannot write to the logbook's lock `{}`", path.display()))?;
    let begun = Instant::now();
    let mut told = false;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Lock { _file: file }),
            Err(TryLockError::WouldBlock) if begun.elapsed() < patience => {
                if !told && begun.elapsed() > MOMENT {
                    told = true;
                    waiting();
                }
                std::thread::sleep(PAUSE);
            }
            Err(TryLockError::WouldBlock) => {
                return Err(Trouble::new(
                    format!("someone else is still writing to this logbook and holds `{}`", path.display()),
                    "nothing was changed; wait a moment and run the same command again",
                )
                .into());
            }
            Err(TryLockError::Error(error)) => {
                return Err(error).with_context(|| format!("cannot lock `{}`", path.display()));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_writer_waits_and_is_then_told_which_file() {
        let folder = tempfile::tempdir().unwrap();
        let first = acquire(folder.path(), Duration::ZERO, &mut || {}).unwrap();
        let error = acquire(folder.path(), Duration::from_millis(50), &mut || {}).unwrap_err();
        assert!(error.to_string().contains("pinindex.lock"), "{error}");
        drop(first);
        acquire(folder.path(), Duration::ZERO, &mut || {}).unwrap();
    }
}
