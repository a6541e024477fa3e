//! Somebody at the keyboard for tests: does what a list says, counts the keys, and remembers what was shown.

use crate::bedside::console::{Console, Entered, Held, Key};
use crate::record::Moment;
use std::collections::VecDeque;

/// One thing that is done at the keyboard.
#[derive(Clone, Debug)]
pub enum Do {
    /// A key, at a question that waits for one.
    Key(Key),
    /// A line and Enter; the suggestion that stood there is taken away first.
    Line(String),
    /// Enter alone: at a line, the suggestion is taken as it is.
    Enter,
    Held(Held),
    Escape,
    Stop,
}

/// A console that follows a list; when the list is at its end, the person is gone.
pub struct Scripted {
    pub script: VecDeque<Do>,
    pub shown: Vec<String>,
    /// Every key pressed, Enter included.
    pub keys: usize,
    pub now: Moment,
}

impl Scripted {
    pub fn new(script: impl IntoIterator<Item = Do>) -> Scripted {
        let now = "2026-11-27T06:42:10+01:00".parse().unwrap();
        Scripted { script: script.into_iter().collect(), shown: Vec::new(), keys: 0, now }
    }

    /// Returns everything that was shown, one line under the other.
    pub fn text(&self) -> String {
        self.shown.join("\n")
    }

    fn next(&mut self) -> Do {
        self.now = Moment(self.now.0 + chrono::Duration::seconds(5));
        self.script.pop_front().unwrap_or(Do::Stop)
    }
}

impl Console for Scripted {
    fn say(&mut self, line: &str) -> anyhow::Result<()> {
        self.shown.push(line.to_owned());
        Ok(())
    }

    fn new_part(&mut self) -> anyhow::Result<()> {
        self.shown.push("---".to_owned());
        Ok(())
    }

    fn key(&mut self, prompt: &str, offered: &[char]) -> anyhow::Result<Key> {
        self.shown.push(prompt.to_owned());
        let next = self.next();
        self.keys += 1;
        match next {
            Do::Key(Key::Char(c)) => {
                assert!(offered.contains(&c), "`{c}` is not offered by: {prompt}");
                Ok(Key::Char(c))
            }
            Do::Key(key) => Ok(key),
            Do::Enter => Ok(Key::Enter),
            Do::Escape => Ok(Key::Escape),
            Do::Stop => Ok(Key::Stop),
            other => panic!("{other:?} does not fit the keys: {prompt}\n{}", self.text()),
        }
    }

    fn line(
        &mut self,
        prompt: &str,
        suggestion: &str,
        check: &dyn Fn(&str) -> Result<(), String>,
    ) -> anyhow::Result<Entered> {
        loop {
            self.shown.push(format!("{prompt} {suggestion}"));
            let text = match self.next() {
                Do::Line(text) => text,
                Do::Enter => suggestion.to_owned(),
                Do::Escape => return Ok(Entered::Escape),
                Do::Stop => return Ok(Entered::Stop),
                other => panic!("{other:?} does not fit the line: {prompt}\n{}", self.text()),
            };
            self.keys += 1 + if text == suggestion { 0 } else { suggestion.len() + text.chars().count() };
            match check(&text) {
                Ok(()) => return Ok(Entered::Text(text)),
                Err(why) => self.shown.push(why),
            }
        }
    }

    fn hold(&mut self, seconds: u64) -> anyhow::Result<Held> {
        self.shown.push(format!("counting {seconds} s down"));
        match self.next() {
            Do::Held(held) => Ok(held),
            Do::Stop => Ok(Held::Stop),
            other => panic!("{other:?} does not fit a countdown\n{}", self.text()),
        }
    }

    fn now(&self) -> Moment {
        self.now
    }
}
