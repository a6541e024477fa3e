//! A check asked step by step: what is shown before, at and after each question, and where the person goes from there.
//!
//! Takes what is asked, a [`Console`] and a [`Draft`], and gives the draft filled in. Each answer is handed to be kept
//! before the next question. The same walk serves a check at the machine and a sheet of paper that is typed in; the
//! latter shows one line a step and counts nothing down.

mod ask;
pub mod beforehand;
mod decide;
pub mod emergency;
pub mod paper;
pub mod people;
mod read_over;
#[cfg(test)]
mod scripted;
#[cfg(test)]
mod tests;

use super::console::{Console, Entered};
use super::{Draft, Step};
use crate::contents::Contents;
use crate::procedure::Procedure;
use crate::record::Moment;
use crate::register::{Machine, Role, Site};

/// What is asked, of which machine.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    pub contents: &'a Contents,
    pub site: &'a Site,
    /// The machine as it is on the day of the work.
    pub machine: &'a Machine,
    pub procedure: &'a Procedure,
    pub steps: &'a [Step<'a>],
}

/// A check that is being asked.
pub struct Guide<'a> {
    pub console: &'a mut dyn Console,
    pub asked: Asked<'a>,
    pub draft: Draft,
    /// Puts the draft where it survives a power cut.
    pub keep: &'a mut dyn FnMut(&Draft) -> anyhow::Result<()>,
    /// It is typed in from paper, after the work.
    pub from_paper: bool,
    /// When it was finished was said beforehand, and is not the moment of the last answer.
    pub finish_given: bool,
    /// When it was begun was said by a person, not by the clock of this computer.
    pub start_given: bool,
}

/// How a guided check ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// It was read over and is to be recorded.
    Record,
    /// The person stopped, or is gone; the draft is kept.
    Stopped,
}

/// Where the person goes after a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Move {
    Next,
    /// To the same step, if it is still open.
    Here,
    Back,
    Stop,
}

impl Guide<'_> {
    /// Asks every step that has no answer yet, and has the whole read over.
    ///
    /// # Errors
    /// The console or the place of the draft fails.
    pub fn run(&mut self) -> anyhow::Result<End> {
        let mut next = self.open_after(None);
        loop {
            while let Some(at) = next {
                next = match self.visit(at)? {
                    Move::Stop => return Ok(End::Stopped),
                    Move::Next => self.open_after(Some(at)),
                    Move::Here if self.asked.steps.get(at).is_some_and(|step| self.draft.lacks(step)) => Some(at),
                    Move::Here => self.open_after(Some(at)),
                    Move::Back if at == 0 => {
                        self.console.say("This is the first step.")?;
                        Some(at)
                    }
                    Move::Back => Some(at - 1),
                };
            }
            next = match self.read_over()? {
                read_over::Wish::Record => {
                    self.finish()?;
                    return Ok(End::Record);
                }
                read_over::Wish::Stop => return Ok(End::Stopped),
                read_over::Wish::Change(at) => Some(at),
            };
        }
    }

    /// Returns the next step without an answer after one, or the first of all.
    fn open_after(&self, at: Option<usize>) -> Option<usize> {
        let open = |n: &usize| self.asked.steps.get(*n).is_some_and(|step| self.draft.lacks(step));
        let all = 0..self.asked.steps.len();
        at.and_then(|at| all.clone().skip(at + 1).find(open)).or_else(|| all.clone().find(open))
    }

    fn keep(&mut self) -> anyhow::Result<()> {
        (self.keep)(&self.draft)
    }

    /// Returns when the check is finished: as it was given, or else at this moment.
    fn finished(&self) -> Option<Moment> {
        if self.finish_given { self.draft.finished } else { Some(self.now()) }
    }

    /// Marks the check as finished, so that it can be recorded.
    fn finish(&mut self) -> anyhow::Result<()> {
        self.mind_the_clock()?;
        self.draft.finished = self.finished();
        self.keep()
    }

    /// Says so where the clock of this computer was put back after the check was begun.
    ///
    /// Nobody knows which of its times was right. The check is dated by the clock as it is, for a time ahead of it would
    /// be refused, and a remark holds both.
    fn mind_the_clock(&mut self) -> anyhow::Result<()> {
        let now = self.now();
        let Some(begun) = self.draft.started.filter(|begun| now < *begun) else { return Ok(()) };
        if self.finish_given || self.start_given {
            return Ok(());
        }
        let begun = begun.in_zone(self.asked.site.time_zone).short();
        let told = format!(
            "The clock of this computer was put back: the check was begun at {begun} by it, and now it says {}.",
            now.short()
        );
        self.console.say(&told)?;
        self.draft.started = Some(now);
        self.draft.remarks = Some(match self.draft.remarks.take() {
            Some(before) => format!("{before} {told}"),
            None => told,
        });
        self.keep()
    }

    fn now(&self) -> Moment {
        self.console.now().in_zone(self.asked.site.time_zone)
    }

    /// Returns the roles of the people who do the check.
    fn roles(&self) -> Vec<Role> {
        self.draft.by.iter().filter_map(|id| Some(self.asked.contents.people.get(id)?.role)).collect()
    }

    /// Asks for a line of words; nothing when the person thought better of it.
    fn words(&mut self, question: &str, suggestion: &str) -> anyhow::Result<Words> {
        let prompt = format!("{question} (Esc: back)");
        let some =
            |text: &str| if text.trim().is_empty() { Err("a few words are needed here".to_owned()) } else { Ok(()) };
        Ok(match self.console.line(&prompt, suggestion, &some)? {
            Entered::Text(text) => Words::Said(text),
            Entered::Escape => Words::Nothing,
            Entered::Stop => Words::Stop,
        })
    }
}

/// What came of asking for words.
enum Words {
    Said(String),
    Nothing,
    Stop,
}
