//! One question: the keys it listens to, and what was put in.

use super::Guide;
use crate::bedside::Step;
use crate::bedside::console::{Entered, Held, Key};
use crate::bedside::named;
use crate::bedside::typed::{self, Typed};
use crate::procedure::AnswerKind;
use crate::procedure::item::Meaning;
use crate::record::{Answer, Quantity};

/// What a person did at a question.
pub(super) enum Put {
    Answer(Answer),
    /// One of the letters of the key line.
    Letter(char),
    Escape,
    Stop,
}

/// Whether an answer was really seen.
enum Sure {
    Yes,
    No,
    Stop,
}

/// The letters that every question listens to, `f` first.
const LETTERS: [char; 6] = ['f', 'b', 's', 'r', 'e', 'q'];

/// What these letters are called where a word can be typed.
const WORDS: [(&str, char); 8] = [
    ("fail", 'f'),
    ("back", 'b'),
    ("skip", 's'),
    ("not done", 's'),
    ("remark", 'r'),
    ("emergency", 'e'),
    ("emergency start", 'e'),
    ("stop", 'q'),
];

/// The keys of the question after a hold.
const KEYS_AFTER: [char; 5] = ['p', 'f', 't', 'b', 'q'];

impl Guide<'_> {
    /// Asks for the answer to a step.
    pub(super) fn put_in(&mut self, step: &Step<'_>) -> anyhow::Result<Put> {
        loop {
            let put = match step.item().answer {
                AnswerKind::Confirm => self.confirm(step)?,
                AnswerKind::Choice => self.choice(step)?,
                AnswerKind::Reading => self.reading(step)?,
                AnswerKind::Hold => self.hold(step)?,
                AnswerKind::PressureHeld => self.pressure_held(step)?,
            };
            match put {
                None => {}
                Some(Put::Letter('f')) => return Ok(Put::Answer(Answer::Fail)),
                Some(Put::Answer(answer)) => match self.is_sure(step, &answer)? {
                    Sure::Yes => return Ok(Put::Answer(answer)),
                    Sure::No => {}
                    Sure::Stop => return Ok(Put::Stop),
                },
                Some(put) => return Ok(put),
            }
        }
    }

    /// Asks whether a number that is hard to believe was really seen. A key held down does not say so.
    fn is_sure(&mut self, step: &Step<'_>, answer: &Answer) -> anyhow::Result<Sure> {
        let Some(doubt) = step.line.belief.doubt(answer) else { return Ok(Sure::Yes) };
        self.console.say(&format!("  {}", doubt.words()))?;
        let seen = if step.item().answer == AnswerKind::Hold { "it took so long" } else { "the gauge shows it" };
        Ok(match self.console.key(&format!("  Enter: type it again   y: {seen}"), &['y'])? {
            Key::Char(_) => Sure::Yes,
            Key::Enter | Key::Escape => Sure::No,
            Key::Stop => Sure::Stop,
        })
    }

    /// Returns the line that names the keys, the same at every question.
    fn keys(&self) -> &'static str {
        match (self.from_paper, self.draft.emergency_start) {
            (true, _) => "f fail  s not done  r remark  b back  q stop",
            (false, true) => "f fail  b back  s skip  r remark  e no emergency  q stop",
            (false, false) => "f fail  b back  s skip  r remark  e emergency start  q stop",
        }
    }

    /// Returns what a question begins with: from paper, where it is one line, the step itself.
    fn begins(&self, step: &Step<'_>) -> String {
        if !self.from_paper {
            return "  ".to_owned();
        }
        let place = step.place();
        let at = self.asked.steps.iter().position(|one| one.place() == place).map_or(0, |at| at + 1);
        format!("{at} {}  ", step.title())
    }

    fn confirm(&mut self, step: &Step<'_>) -> anyhow::Result<Option<Put>> {
        let prompt = format!("{}p pass  {}", self.begins(step), self.keys());
        let offered = ['p'].into_iter().chain(LETTERS).collect::<Vec<_>>();
        Ok(Some(match self.console.key(&prompt, &offered)? {
            Key::Char('p') => Put::Answer(Answer::Pass),
            Key::Char(letter) => return self.pressed(letter),
            Key::Escape => Put::Escape,
            Key::Stop => Put::Stop,
            Key::Enter => return Ok(None),
        }))
    }

    fn choice(&mut self, step: &Step<'_>) -> anyhow::Result<Option<Put>> {
        let choices = step.choices();
        let words = choices.iter().zip(1..).map(|((word, meaning), n)| {
            let fails = if *meaning == Meaning::Fail { " (fails)" } else { "" };
            format!("{n} {}{fails}", word.replace('-', " "))
        });
        let words = format!("{}{}", self.begins(step), words.collect::<Vec<_>>().join("   "));
        let chosen = |n: usize| choices.get(n.checked_sub(1)?).map(|(word, _)| Answer::Choice((*word).to_owned()));
        if choices.len() > 9 {
            self.console.say(&words)?;
            return self.line(step, "number of the answer", "", &|text| {
                let number = text.parse().ok().and_then(chosen);
                number.ok_or_else(|| "type the number that stands before the answer".to_owned())
            });
        }
        let digits = (1..=choices.len()).filter_map(|n| char::from_digit(u32::try_from(n).ok()?, 10));
        let offered = digits.chain(LETTERS).collect::<Vec<_>>();
        self.console.say(&words)?;
        let prompt = format!("  {}", self.keys());
        Ok(Some(match self.console.key(&prompt, &offered)? {
            Key::Char(c) => match c.to_digit(10).and_then(|n| chosen(n as usize)) {
                Some(answer) => Put::Answer(answer),
                None => return self.pressed(c),
            },
            Key::Escape => Put::Escape,
            Key::Stop => Put::Stop,
            Key::Enter => return Ok(None),
        }))
    }

    fn reading(&mut self, step: &Step<'_>) -> anyhow::Result<Option<Put>> {
        let prompt = match step.unit() {
            Some(unit) => format!("reading in {unit}:"),
            None => "reading with its unit:".to_owned(),
        };
        self.line(step, &prompt, "", &|text| typed::answer(step, &Typed::Reading(text.to_owned())))
    }

    fn hold(&mut self, step: &Step<'_>) -> anyhow::Result<Option<Put>> {
        let held = |text: &str| typed::answer(step, &Typed::Held(text.to_owned()));
        // Nothing is suggested: what would stand there is the limit, and whoever presses Enter has counted nothing.
        let Some(seconds) = self.countdown(step) else { return self.line(step, "time held in s:", "", &held) };
        let prompt = format!("Enter counts {seconds} s down; or the seconds you counted:");
        // An empty line is no answer yet: it starts the countdown.
        let started = std::cell::Cell::new(false);
        let put = self.line(step, &prompt, "", &|text| {
            started.set(text.is_empty());
            if text.is_empty() { held("0 s") } else { held(text) }
        })?;
        if !matches!(put, Some(Put::Answer(_))) || !started.get() {
            return Ok(put);
        }
        match self.console.hold(seconds)? {
            Held::ToTheEnd => self.held_to_the_end(step, seconds, &held),
            Held::LetGo(seconds) => self.taken(held(&format!("{seconds} s"))),
            Held::CalledOff => Ok(None),
            Held::Stop => Ok(Some(Put::Stop)),
        }
    }

    /// Asks what became of a hold whose time is up: that nobody touched the keyboard is no answer.
    fn held_to_the_end(
        &mut self,
        step: &Step<'_>,
        seconds: u64,
        held: &dyn Fn(&str) -> Result<Answer, String>,
    ) -> anyhow::Result<Option<Put>> {
        self.console.say(&format!("  The {seconds} s are over. Did it hold to the end?"))?;
        let key = loop {
            match self.console.key("  p pass  f fail  t type the seconds  b count again  q stop", &KEYS_AFTER)? {
                Key::Enter => {}
                key => break key,
            }
        };
        Ok(match key {
            Key::Char('p') => return self.taken(held(&format!("{seconds} s"))),
            Key::Char('t') => return self.line(step, "time held in s:", "", held),
            Key::Char('b') | Key::Escape | Key::Enter => None,
            Key::Char('q') | Key::Stop => Some(Put::Stop),
            Key::Char(letter) => Some(Put::Letter(letter)),
        })
    }

    fn pressure_held(&mut self, step: &Step<'_>) -> anyhow::Result<Option<Put>> {
        let unit = step.unit().unwrap_or("cmH2O");
        let whole = |text: &str| named::pressure_held(text).map(|typed| typed::answer(step, &typed));
        let from = |text: &str| typed::quantity(text, Some(unit)).map(Answer::Reading);
        // From paper what was read is typed; at the machine it is pumped up to what stands here.
        let start = step.start().filter(|_| !self.from_paper);
        let suggestion = start.map_or(String::new(), |start| start.number().to_owned());
        let countdown = self.countdown(step);
        let prompt = match countdown {
            Some(seconds) => format!("pressure at the start in {unit}; Enter counts {seconds} s down:"),
            None => format!("pressure at the start in {unit}:"),
        };
        let put = self.line(step, &prompt, &suggestion, &|text| whole(text).unwrap_or_else(|| from(text)))?;
        let Some(Put::Answer(Answer::Reading(from))) = put else { return Ok(put) };
        let time = match countdown {
            None => None,
            Some(seconds) => match self.console.hold(seconds)? {
                Held::ToTheEnd => seconds_of(seconds),
                Held::LetGo(early) => seconds_of(early),
                Held::CalledOff => return Ok(None),
                Held::Stop => return Ok(Some(Put::Stop)),
            },
        };
        let unit = from.symbol();
        let to = self.line(step, &format!("pressure at the end in {unit}:"), "", &|text| {
            typed::quantity(text, Some(unit)).map(Answer::Reading)
        })?;
        let Some(Put::Answer(Answer::Reading(to))) = to else { return Ok(to) };
        let time = match time {
            Some(time) => time,
            None => {
                let time = self
                    .line(step, "time watched in s:", "", &|text| typed::quantity(text, Some("s")).map(Answer::Held))?;
                let Some(Put::Answer(Answer::Held(time))) = time else { return Ok(time) };
                time
            }
        };
        let typed = Typed::PressureHeld { from: from.to_string(), to: to.to_string(), time: time.to_string() };
        self.taken(typed::answer(step, &typed))
    }

    /// Returns how many seconds are counted down; nothing where they are typed.
    fn countdown(&self, step: &Step<'_>) -> Option<u64> {
        let seconds = step.hold_seconds().filter(|seconds| *seconds > 0 && !self.from_paper)?;
        u64::try_from(seconds).ok()
    }

    /// Returns an answer, or says why it is none, so that it is asked again.
    fn taken(&mut self, answer: Result<Answer, String>) -> anyhow::Result<Option<Put>> {
        match answer {
            Ok(answer) => Ok(Some(Put::Answer(answer))),
            Err(why) => {
                self.console.say(&format!("  {why}"))?;
                Ok(None)
            }
        }
    }

    /// Returns a letter that was pressed. One that leaves steps out is asked once more: a word that somebody types begins
    /// with a letter too.
    pub(super) fn pressed(&mut self, letter: char) -> anyhow::Result<Option<Put>> {
        let question = match (letter, self.draft.emergency_start) {
            ('s', _) => "Leave this step out?",
            ('e', _) if self.from_paper => return Ok(None),
            ('e', true) => "Is it no emergency start?",
            ('e', false) => "Begin an emergency start? Only what cannot wait is asked.",
            _ => return Ok(Some(Put::Letter(letter))),
        };
        Ok(match self.console.key(&format!("  {question}  y yes  Enter no"), &['y'])? {
            Key::Char(_) => Some(Put::Letter(letter)),
            Key::Enter | Key::Escape => None,
            Key::Stop => Some(Put::Stop),
        })
    }

    /// Asks for a line that is an answer or one of the letters, also behind the suggestion that stands there.
    fn line(
        &mut self,
        step: &Step<'_>,
        prompt: &str,
        suggestion: &str,
        answer: &dyn Fn(&str) -> Result<Answer, String>,
    ) -> anyhow::Result<Option<Put>> {
        if !self.from_paper {
            self.console.say(&format!("  or a letter: {}", self.keys()))?;
        }
        let prompt = format!("{}{prompt}", if self.from_paper { self.begins(step) } else { String::new() });
        let check = |text: &str| match letter(text, suggestion) {
            Some(_) => Ok(()),
            None => answer(text).map(|_| ()),
        };
        Ok(Some(match self.console.line(&prompt, suggestion, &check)? {
            Entered::Escape => Put::Escape,
            Entered::Stop => Put::Stop,
            Entered::Text(text) => match (letter(&text, suggestion), answer(&text)) {
                (Some(letter), _) => Put::Letter(letter),
                (None, Ok(answer)) => Put::Answer(answer),
                (None, Err(_)) => return Ok(None),
            },
        }))
    }
}

fn letter(text: &str, suggestion: &str) -> Option<char> {
    let text = text.strip_prefix(suggestion).unwrap_or(text).trim();
    let text = text.to_ascii_lowercase();
    if let Some((_, letter)) = WORDS.iter().find(|(word, _)| *word == text) {
        return Some(*letter);
    }
    let mut chars = text.chars();
    let first = chars.next().filter(|c| LETTERS.contains(c))?;
    chars.next().is_none().then_some(first)
}

/// Returns whole seconds as a time.
fn seconds_of(seconds: u64) -> Option<Quantity> {
    typed::quantity(&seconds.to_string(), Some("s")).ok()
}
