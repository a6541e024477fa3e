//! A console that answers from a list, and keeps what was said; the example logbook to ask about.

use pinindex::bedside::console::{Console, Entered, Held, Key};
use pinindex::contents::{self, Contents};
use pinindex::logbook;
use pinindex::record::{Moment, Record, read, write};
use std::collections::VecDeque;
use std::path::Path;

/// What is pressed or typed: `⏎` takes what is suggested, `^C` stops, `esc` goes back; at a key, all else is one key.
pub struct Script {
    answers: VecDeque<&'static str>,
    pub said: String,
    now: Moment,
}

impl Script {
    pub fn new(now: &str, answers: &[&'static str]) -> Script {
        Script { answers: answers.iter().copied().collect(), said: String::new(), now: now.parse().unwrap() }
    }

    fn next(&mut self, prompt: &str) -> &'static str {
        let said = &self.said;
        self.answers.pop_front().unwrap_or_else(|| panic!("nothing to answer to `{prompt}` after\n{said}"))
    }

    /// Asserts that everything was used, and that these words were said in this order.
    #[track_caller]
    pub fn said_in_order(&self, words: &[&str]) {
        assert_eq!(self.answers, [""; 0], "not asked for\n{}", self.said);
        let mut rest = self.said.as_str();
        for words in words {
            let at = rest.find(words).unwrap_or_else(|| panic!("`{words}` is not in its place in\n{}", self.said));
            rest = &rest[at + words.len()..];
        }
    }
}

impl Console for Script {
    fn say(&mut self, line: &str) -> anyhow::Result<()> {
        self.said.push_str(line);
        self.said.push('\n');
        Ok(())
    }

    fn new_part(&mut self) -> anyhow::Result<()> {
        self.say("----")
    }

    fn key(&mut self, prompt: &str, offered: &[char]) -> anyhow::Result<Key> {
        self.say(prompt)?;
        Ok(match self.next(prompt) {
            "⏎" => Key::Enter,
            "^C" => Key::Stop,
            "esc" => Key::Escape,
            key => {
                let key = key.parse().unwrap_or_else(|_| panic!("`{key}` is no key at `{prompt}`\n{}", self.said));
                assert!(offered.contains(&key), "`{key}` is not offered at `{prompt}`\n{}", self.said);
                Key::Char(key)
            }
        })
    }

    fn line(
        &mut self,
        prompt: &str,
        suggestion: &str,
        check: &dyn Fn(&str) -> Result<(), String>,
    ) -> anyhow::Result<Entered> {
        self.say(&format!("> {prompt} [{suggestion}]"))?;
        loop {
            let text = match self.next(prompt) {
                "⏎" => suggestion,
                "^C" => return Ok(Entered::Stop),
                "esc" => return Ok(Entered::Escape),
                text => text,
            };
            match check(text) {
                Ok(()) => return Ok(Entered::Text(text.to_owned())),
                Err(why) => self.say(&format!("! {why}"))?,
            }
        }
    }

    fn hold(&mut self, _: u64) -> anyhow::Result<Held> {
        panic!("nothing is held here")
    }

    fn now(&self) -> Moment {
        self.now
    }
}

/// Returns the example logbook as it was before a record: what is filed later than it is left out.
pub fn example_before(path: &str) -> Contents {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records-example");
    let (contents, faults) = contents::read(&logbook::read_working_files(&root).unwrap(), &mut |_| {});
    assert_eq!(faults, []);
    let later = contents.records.iter().map(|filed| filed.path.as_str()).filter(|later| *later >= path).collect();
    contents.without(&later)
}

/// Returns the text of a record that fits its schema.
#[track_caller]
pub fn text(record: &Record) -> String {
    let text = write::text(record).unwrap();
    let (again, faults) = read("a-record", text.as_bytes());
    assert_eq!(faults, [], "{text}");
    assert_eq!(again.as_ref(), Some(record), "{text}");
    text
}
