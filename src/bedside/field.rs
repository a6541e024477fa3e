//! One thing that is asked for a record: its question, what may be answered, and what an answer comes to.
//!
//! Takes what a person typed, or gave by a flag, and gives the answer as the record will hold it, or a sentence that says
//! what to type instead. A field knows nothing of other fields; whoever makes it gives it the bounds that follow from them.

use super::step::Step;
use super::typed::{self, quantity};
use super::{clock_time, named};
use crate::diagnostic::hidden::is_hidden;
use crate::procedure::answer::seen;
use crate::procedure::{AnswerKind, Line};
use crate::record::kinds::{Instrument, Waited};
use crate::record::moment::CLOCKS_DIFFER;
use crate::record::{Answer, Date, Moment};
use chrono_tz::Tz;
use std::borrow::Cow;

/// The longest text of a record, in characters, as its schema has it.
const LONGEST_TEXT: usize = 2000;
/// The longest text of one line, in characters, as its schema has it.
const LONGEST_LINE: usize = 300;

/// This many of what is offered are listed at once, so that they fit a screen with their question.
const LISTED: usize = 16;

/// What the flag of an answer to a step of a check begins with; its place follows.
pub const SET: &str = "set ";

/// One thing that is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// The flag that answers it on the command line, without its dashes.
    pub flag: Cow<'static, str>,
    /// Its name where everything is read over.
    pub name: Cow<'static, str>,
    pub question: String,
    /// What else a person needs to know to answer; may be empty.
    pub help: String,
    pub takes: Takes,
    pub how_many: HowMany,
    /// The answer that is likely, as the record would hold it.
    pub suggested: Vec<String>,
    pub asked: Asked,
    /// What having no answer means, where everything is read over.
    pub when_empty: &'static str,
}

/// What answers a field.
#[derive(Clone, Debug, PartialEq)]
pub enum Takes {
    Text,
    Line,
    Offered(Vec<Offer>),
    Moment(Times),
    /// A day, not before the one named, which is called by these words.
    Date(Option<(Date, String)>),
    /// What was waited for, out of these, and how long: `parts 48 h`.
    Waited(Vec<Offer>),
    /// An instrument and the day until which its calibration is good: `gas analyser 3, 2027-03-31`.
    Instrument,
    /// What was seen at a step of a check, for a vaporizer or gas where there are several: `1250 psi`.
    Seen(Box<Line>, Option<String>),
}

/// One of the answers that are offered.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// As the record holds it.
    pub value: String,
    /// As a person reads it.
    pub words: String,
}

/// Which moments may be answered.
#[derive(Clone, Debug, PartialEq)]
pub struct Times {
    pub zone: Tz,
    pub now: Moment,
    /// The day that is meant by a time without one.
    pub day: Date,
    /// The moment it cannot be before, and what happened then.
    pub not_before: Option<(Moment, String)>,
}

/// How many answers a field has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HowMany {
    One,
    AtMostOne,
    AtLeastOne,
    Any,
}

/// Who answers a field when nobody did yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// The person; where nobody can be asked, it must be given.
    Always,
    /// The person; where nobody can be asked, what is suggested counts.
    Usual,
    /// What is suggested counts. It is only shown, and can be changed.
    Known,
}

impl Field {
    /// Returns a field with one answer that is always asked, with nothing suggested.
    pub fn new(
        flag: impl Into<Cow<'static, str>>,
        name: impl Into<Cow<'static, str>>,
        question: impl Into<String>,
        takes: Takes,
    ) -> Field {
        let (flag, name, question) = (flag.into(), name.into(), question.into());
        let (help, suggested) = (String::new(), Vec::new());
        Field {
            flag,
            name,
            question,
            help,
            takes,
            how_many: HowMany::One,
            suggested,
            asked: Asked::Always,
            when_empty: "-",
        }
    }

    /// Adds what a person needs to know to answer.
    pub fn help(mut self, help: impl Into<String>) -> Field {
        self.help = help.into();
        self
    }

    /// Says how many answers it has.
    pub fn how_many(mut self, how_many: HowMany) -> Field {
        self.how_many = how_many;
        self
    }

    /// Suggests an answer, as the record would hold it.
    pub fn suggest(mut self, suggested: impl IntoIterator<Item = impl Into<String>>) -> Field {
        self.suggested = suggested.into_iter().map(Into::into).collect();
        self
    }

    /// Says who answers it.
    pub fn asked(mut self, asked: Asked) -> Field {
        self.asked = asked;
        self
    }

    /// Says what having no answer means.
    pub fn when_empty(mut self, words: &'static str) -> Field {
        self.when_empty = words;
        self
    }

    /// Returns whether it can stay without an answer.
    pub fn may_be_empty(&self) -> bool {
        matches!(self.how_many, HowMany::AtMostOne | HowMany::Any)
    }

    /// Returns whether it can have more than one answer.
    pub fn has_several(&self) -> bool {
        matches!(self.how_many, HowMany::AtLeastOne | HowMany::Any)
    }

    /// Returns what is offered; nothing where the answer is typed.
    pub fn offers(&self) -> &[Offer] {
        if let Takes::Offered(offers) = &self.takes { offers } else { &[] }
    }

    /// Returns what is offered from a place on, a line each with its number, as many as are listed at once.
    pub fn listed(&self, from: usize) -> Vec<String> {
        let those = self.offers().iter().enumerate().skip(from).take(LISTED);
        those.map(|(n, offer)| format!("  {:>2}  {}", n + 1, offer.words)).collect()
    }

    /// Returns from which place on more is offered than was listed from a place.
    pub fn more_after(&self, from: usize) -> Option<usize> {
        Some(from + LISTED).filter(|next| *next < self.offers().len())
    }

    /// Returns the answers that a typed line holds. What is offered may be named by its number.
    ///
    /// # Errors
    /// In a sentence: what cannot be taken, and what to type instead.
    pub fn read(&self, line: &str) -> Result<Vec<String>, String> {
        let line = line.trim();
        let parts: Vec<&str> = match (&self.takes, self.has_several()) {
            (_, false) => vec![line],
            (Takes::Offered(_), true) => line.split([',', ' ']).collect(),
            (_, true) => line.split(';').collect(),
        };
        let parts = parts.into_iter().map(str::trim).filter(|part| !part.is_empty());
        let in_full = |part: &str| match self.takes.step() {
            Some(step) => named::in_full(&step, part),
            None => {
                let number = part.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
                number.and_then(|n| self.offers().get(n)).map_or(part, |offer| &offer.value).to_owned()
            }
        };
        self.settle(&parts.map(in_full).collect::<Vec<_>>())
    }

    /// Returns the option that answers it on the command line, such as `--what` or `--set suction=pass|fail`.
    pub fn option(&self) -> String {
        match self.takes.step().filter(|_| self.flag.starts_with(SET)) {
            Some(step) => format!("--{SET}{}", named::example(&step)),
            None => format!("--{}", self.flag),
        }
    }

    /// Returns answers as the record will hold them.
    ///
    /// # Errors
    /// In a sentence: what cannot be taken, and what to type instead.
    pub fn settle(&self, answers: &[String]) -> Result<Vec<String>, String> {
        let mut settled: Vec<String> = Vec::new();
        for answer in answers {
            let answer = self.takes.answer(answer)?;
            if !settled.contains(&answer) {
                settled.push(answer);
            }
        }
        match (settled.len(), self.how_many) {
            (0, HowMany::One | HowMany::AtLeastOne) => Err("an answer is needed here".to_owned()),
            (2.., HowMany::One | HowMany::AtMostOne) => Err("only one answer can be given here".to_owned()),
            _ => Ok(settled),
        }
    }

    /// Returns an answer as a person reads it.
    pub fn shown(&self, answer: &str) -> String {
        match &self.takes {
            Takes::Moment(_) => answer.parse::<Moment>().map_or(answer.to_owned(), |moment| moment.short()),
            _ => match self.offers().iter().find(|offer| offer.value == answer) {
                Some(offer) => offer.words.clone(),
                None => answer.to_owned(),
            },
        }
    }
}

impl Offer {
    /// Returns an offer.
    pub fn new(value: impl Into<String>, words: impl Into<String>) -> Offer {
        Offer { value: value.into(), words: words.into() }
    }
}

impl Takes {
    /// Returns the step of a check that is answered.
    pub fn step(&self) -> Option<Step<'_>> {
        let Takes::Seen(line, each) = self else { return None };
        Some(Step { line, each: each.as_deref() })
    }

    fn answer(&self, text: &str) -> Result<String, String> {
        let text = text.trim();
        if text.contains(|c: char| is_hidden(c)) {
            return Err("there is a character in it that nobody can see: type it anew".to_owned());
        }
        match self {
            Takes::Text => short_enough(text, LONGEST_TEXT),
            Takes::Line => one_line(text),
            Takes::Offered(offers) => one_of(offers, text),
            Takes::Moment(times) => times.moment(text).map(|moment| moment.to_string()),
            Takes::Date(bound) => date(text, bound.as_ref()).map(|date| date.to_string()),
            Takes::Waited(reasons) => {
                let (reason, time) = text.split_once(' ').unwrap_or((text, ""));
                let reason = one_of(reasons, reason)?;
                let time = quantity(time, None).ok().filter(|time| time.seconds().is_some_and(|seconds| seconds >= 0));
                let time = time.ok_or_else(|| format!("write how long after `{reason}`, such as `{reason} 48 h`"))?;
                Ok(format!("{reason} {time}"))
            }
            Takes::Seen(line, each) => {
                let step = Step { line, each: each.as_deref() };
                named::spoken(&step, text).and_then(|said| typed::answer(&step, &said)).map(|answer| written(&answer))
            }
            Takes::Instrument => {
                let ask = || {
                    "write the label, a comma, and the day until which its calibration is good, such as `gas analyser 3, 2027-03-31`".to_owned()
                };
                let (id, due) = text.rsplit_once(',').ok_or_else(ask)?;
                let due = due.trim().parse::<Date>().map_err(|_| ask())?;
                Ok(format!("{}, {due}", one_line(id.trim())?))
            }
        }
    }
}

impl Times {
    fn moment(&self, text: &str) -> Result<Moment, String> {
        let moment = clock_time::moment(text, self.day, self.zone)?;
        if moment.seconds_since(self.now) > CLOCKS_DIFFER {
            let now = self.now.in_zone(self.zone).short();
            return Err(format!(
                "that has not come yet, it is {now} now: write the day too, such as `2026-11-25 07:05`"
            ));
        }
        match &self.not_before {
            Some((bound, what)) if moment < *bound => {
                Err(format!("that is before {what} ({})", bound.in_zone(self.zone).short()))
            }
            _ => Ok(moment),
        }
    }
}

/// Returns an answer to a step of a check as a field holds it, and takes it again.
pub fn written(answer: &Answer) -> String {
    match answer {
        Answer::Held(time) => time.to_string(),
        answer => seen(answer),
    }
}

/// Returns what may be typed for a step of a check, in words.
pub fn ways_to_say(step: &Step<'_>) -> String {
    let unit = step.unit().map_or("with its unit".to_owned(), |unit| format!("in {unit}"));
    let seen = match step.item().answer {
        AnswerKind::Confirm => "p: pass".to_owned(),
        AnswerKind::Choice => {
            let words =
                step.choices().into_iter().zip(1..).map(|((word, _), n)| format!("{n}: {}", word.replace('-', " ")));
            words.collect::<Vec<_>>().join(", ")
        }
        AnswerKind::Reading => format!("the reading {unit}"),
        AnswerKind::Hold => format!("the time held {unit}"),
        AnswerKind::PressureHeld => "such as `30 to 29 in 10 s`".to_owned(),
    };
    format!("{seen}, f: fail, n and why: not done")
}

/// Returns what was waited for, from an answer to a field that takes it.
pub fn waited(answer: &str) -> Option<Waited> {
    let (what, time) = answer.split_once(' ')?;
    Some(Waited { what: what.to_owned(), time: time.parse().ok()? })
}

/// Returns an instrument, from an answer to a field that takes one.
pub fn instrument(answer: &str) -> Option<Instrument> {
    let (id, due) = answer.rsplit_once(", ")?;
    Some(Instrument { id: id.to_owned(), calibration_due: due.parse().ok()? })
}

fn one_of(offers: &[Offer], text: &str) -> Result<String, String> {
    if let Some(offer) = offers.iter().find(|offer| offer.value.eq_ignore_ascii_case(text)) {
        return Ok(offer.value.clone());
    }
    let known: Vec<&str> = offers.iter().take(LISTED).map(|offer| offer.value.as_str()).collect();
    let more = offers.len() - known.len();
    match known.as_slice() {
        [] => Err(format!("`{text}` cannot be taken: there is nothing to choose from")),
        known if more > 0 => Err(format!("`{text}` is not one of {} and {more} more", known.join(", "))),
        known => Err(format!("`{text}` is not one of {}", known.join(", "))),
    }
}

fn one_line(text: &str) -> Result<String, String> {
    if text.contains(['\n', '\r']) {
        return Err("only one line fits here".to_owned());
    }
    short_enough(text, LONGEST_LINE)
}

fn short_enough(text: &str, longest: usize) -> Result<String, String> {
    match text.chars().count() {
        0 => Err("an answer is needed here".to_owned()),
        length if length > longest => Err(format!("{length} characters are too many, {longest} fit")),
        _ => Ok(text.to_owned()),
    }
}

fn date(text: &str, bound: Option<&(Date, String)>) -> Result<Date, String> {
    let date: Date = text.parse().map_err(|_| format!("`{text}` is no day: write it as `2026-11-25`"))?;
    match bound {
        Some((first, what)) if date < *first => Err(format!("that is before {what} ({first})")),
        _ => Ok(date),
    }
}
