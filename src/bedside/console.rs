//! The other side of a guided record: somebody who reads lines, presses keys, types, and holds a pressure.
//!
//! What is asked, and in which order, is decided without a terminal; whoever implements [`Console`] only shows and listens.
//! A test answers from a list, the program from the keyboard.

use crate::record::Moment;

/// A key that was pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// One of the characters that were offered.
    Char(char),
    Enter,
    Escape,
    /// The person wants to stop (Ctrl-C), or is gone.
    Stop,
}

/// A line that was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Entered {
    Text(String),
    Escape,
    /// The person wants to stop (Ctrl-C), or is gone.
    Stop,
}

/// What came of a countdown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// It ran to its end.
    ToTheEnd,
    /// It was let go early, after this many whole seconds.
    LetGo(u64),
    /// The countdown was called off: it counts for nothing.
    CalledOff,
    /// The person wants to stop (Ctrl-C), or is gone.
    Stop,
}

/// Somebody who is asked.
pub trait Console {
    /// Shows a line; long ones are broken between words. An empty one makes room.
    ///
    /// # Errors
    /// Nothing can be shown any more.
    fn say(&mut self, line: &str) -> anyhow::Result<()>;

    /// Begins a new screen or a new part of the paper roll: what comes now belongs together and must fit on one screen.
    ///
    /// # Errors
    /// Nothing can be shown any more.
    fn new_part(&mut self) -> anyhow::Result<()>;

    /// Waits for one of the keys offered, or Enter, Escape or Stop. `prompt` names them.
    ///
    /// # Errors
    /// The keyboard cannot be read.
    fn key(&mut self, prompt: &str, offered: &[char]) -> anyhow::Result<Key>;

    /// Waits for a line. `suggestion` stands there already and can be edited or taken with Enter; `check` says why a line
    /// cannot be taken, so that it can be put right where it stands.
    ///
    /// # Errors
    /// The keyboard cannot be read.
    fn line(
        &mut self,
        prompt: &str,
        suggestion: &str,
        check: &dyn Fn(&str) -> Result<(), String>,
    ) -> anyhow::Result<Entered>;

    /// Counts seconds down, until they are over or something is let go.
    ///
    /// # Errors
    /// The keyboard cannot be read.
    fn hold(&mut self, seconds: u64) -> anyhow::Result<Held>;

    /// Returns the moment it is.
    fn now(&self) -> Moment;
}
