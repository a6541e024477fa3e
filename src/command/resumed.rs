//! Going on with a draft that a program left which was stopped: what of it can be gone on with, and whether it is a record
//! already.
//!
//! A program can be stopped between the commit and the moment in which the draft is taken away. What was recorded then is
//! never offered again: one piece of work would become two records.

use crate::bedside::console::{Console, Key};
use crate::logbook::{Draft, FileContent};
use crate::record::Moment;

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

/// How long a draft is gone on with by Enter alone, in seconds: four hours, as long as a check may take. What was seen
/// before that says little of the machine as it is now, and what was answered may be about another fault.
const FRESH: i64 = 4 * 3600;

/// Asks whether to go on with what a draft holds, which was last touched at `since`, when that is known. Returns that, or a new
/// one when the person begins anew, which puts the draft aside; nothing when the person stopped. Enter goes on with a fresh draft
/// and begins anew where it is old: nobody goes on with old answers without saying so.
///
/// # Errors
/// The console fails, or the draft cannot be put aside.
pub fn go_on<T: Default>(
    console: &mut dyn Console,
    held: &Draft,
    found: T,
    since: Option<Moment>,
) -> anyhow::Result<Option<T>> {
    let is_fresh = since.is_some_and(|since| (console.now().0 - since.0).num_seconds() <= FRESH);
    let question = if is_fresh {
        "Enter: go on with it   n: begin anew (the old one is put aside)   q: stop"
    } else {
        console.say("That is long ago: what was answered then may not be so now.")?;
        "Enter: begin anew (the old one is put aside)   g: go on with it   q: stop"
    };
    let other = if is_fresh { 'n' } else { 'g' };
    let goes_on = match console.key(question, &[other, 'q'])? {
        Key::Enter => is_fresh,
        Key::Char(key) if key == other => !is_fresh,
        Key::Char(_) | Key::Escape | Key::Stop => return Ok(None),
    };
    if goes_on {
        return Ok(Some(found));
    }
    let aside = held.put_aside()?;
    console.say(&format!("The old one is {aside}."))?;
    Ok(Some(T::default()))
}

/// What is said of a draft that nobody can read.
pub const UNREADABLE: &str = "cannot be read as a draft";
