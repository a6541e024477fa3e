//! Going on with a draft that a program left which was stopped: what of it can be gone on with, and whether it is a record
//! already.
//!
//! A program can be stopped between the commit and the moment in which the draft is taken away. What was recorded then is
//! never offered again: one piece of work would become two records.

use crate::bedside::console::Console;
use crate::logbook::{Draft, FileContent};

/// Returns what a draft holds; nothing where there is none, or where it was put aside, which is then said.
///
/// `read` gives what the text holds, or says what is wrong with it. `recorded` gives the path of the record that it became.
///
/// # Errors
/// The console fails, or the draft cannot be put aside.
pub fn resume<T>(
    console: &mut dyn Console,
    held: &Draft,
    read: impl FnOnce(&[u8]) -> Result<T, &'static str>,
    recorded: impl FnOnce(&T) -> Option<String>,
) -> anyhow::Result<Option<T>> {
    let Some(content) = held.content() else { return Ok(None) };
    let found = match &content {
        FileContent::Bytes(bytes) => read(bytes),
        FileContent::TooLarge(_) | FileContent::Link | FileContent::Unreadable(_) => Err(UNREADABLE),
    };
    let why = match found {
        Err(why) => format!("{} {why}", held.shown()),
        Ok(found) => match recorded(&found) {
            None => return Ok(Some(found)),
            Some(path) => format!("The draft that lay here is recorded as {path}"),
        },
    };
    let aside = held.put_aside()?;
    console.say(&format!("{why}. It is put aside as {aside}."))?;
    Ok(None)
}

/// What is said of a draft that nobody can read.
pub const UNREADABLE: &str = "cannot be read as a draft";
