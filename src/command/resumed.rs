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

/// What a person does with a draft.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    GoOn,
    BeginAnew,
    Stop,
}

/// Asks whether to go on with a draft that was last touched at `since`, when that is known. Enter goes on with a fresh one, and
/// begins anew where it is old: nobody goes on with old answers without saying so.
///
/// # Errors
/// The console fails.
pub fn ask(console: &mut dyn Console, since: Option<Moment>) -> anyhow::Result<Choice> {
    let age = since.map(|since| (console.now().0 - since.0).num_seconds());
    if age.is_some_and(|age| age <= FRESH) {
        let question = "Enter: go on with it   n: begin anew (the old one is put aside)   q: stop";
        return Ok(match console.key(question, &['n', 'q'])? {
            Key::Enter => Choice::GoOn,
            Key::Char('n') => Choice::BeginAnew,
            Key::Char(_) | Key::Escape | Key::Stop => Choice::Stop,
        });
    }
    console.say("That is long ago: what was answered then may not be so now.")?;
    let question = "Enter: begin anew (the old one is put aside)   g: go on with it   q: stop";
    Ok(match console.key(question, &['g', 'q'])? {
        Key::Enter => Choice::BeginAnew,
        Key::Char('g') => Choice::GoOn,
        Key::Char(_) | Key::Escape | Key::Stop => Choice::Stop,
    })
}

/// What is said of a draft that nobody can read.
pub const UNREADABLE: &str = "cannot be read as a draft";
