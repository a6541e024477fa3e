//! What in the records is worth asking about: what cannot have been so, copies, and patterns that chance hardly makes.
//!
//! Takes the contents, the lives and a span of days, and gives what was looked at and what is asked, in order of
//! strength. A question is no problem and no finding: nothing is refused or counted because of it. Honest people repeat
//! readings on a coarse gauge, so that repeats are weighed against the history of the same machine. Nothing is counted
//! or ranked by person.

pub mod belief;
pub mod copies;
pub mod finer;
pub mod marks;
pub mod numbers;
pub mod places;
pub mod short;
pub mod streaks;

pub use belief::Unbelieved;
pub use copies::Copies;
pub use finer::Finer;
pub use marks::Marks;
pub use places::{Places, TwoPlaces};
pub use short::Short;
pub use streaks::Streak;

use crate::contents::Contents;
use crate::record::{Date, Moment};
use crate::statistics::comparison::benjamini_hochberg;
use crate::timeline::{CheckDone, Life, Lives};
use chrono_tz::Tz;

/// The days that questions are asked about, and the last moment that counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    pub first: Date,
    pub after: Date,
    pub last_moment: Moment,
    pub zone: Tz,
}

/// The share of questions that may be chance, among those asked about copies and patterns.
pub const FALSE_SHARE: f64 = 0.05;

/// Questions of a kind that chance cannot explain, and how many things were looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked<T> {
    pub looked_at: usize,
    pub questions: Vec<T>,
}

/// Something that chance may explain, with how likely that is.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed<T> {
    pub what: T,
    /// The chance of something at least as odd in honest records.
    pub p: f64,
    /// The same, adjusted for everything of the sheet that was weighed.
    pub adjusted: f64,
}

impl<T> Weighed<T> {
    /// Returns whether it is worth asking about.
    pub fn asked(&self) -> bool {
        self.adjusted <= FALSE_SHARE
    }
}

/// Everything that was looked at in a span, in order of strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Questions {
    pub short: Asked<Short>,
    pub places: Places,
    pub finer: Asked<Finer>,
    pub beyond: Asked<Unbelieved>,
    pub copies: Vec<Weighed<Copies>>,
    pub streaks: Vec<Weighed<Streak>>,
    pub marks: Vec<Weighed<Marks>>,
}

/// Looks through the records of a span.
///
/// What is weighed makes one family: the false-discovery rate of all questions about copies and patterns together is
/// held at [`FALSE_SHARE`] (Benjamini and Hochberg 1995, J R Stat Soc B 57: 289–300).
pub fn ask(contents: &Contents, lives: &Lives, span: &Span) -> Questions {
    let copies = copies::looked_at(lives, span);
    let streaks = streaks::looked_at(lives, span);
    let marks = marks::looked_at(contents, lives, span);
    let family: Vec<f64> =
        copies.iter().map(|c| c.1).chain(streaks.iter().map(|s| s.1)).chain(marks.iter().map(|m| m.1)).collect();
    let adjusted = benjamini_hochberg(&family);
    let (of_copies, rest) = adjusted.split_at(copies.len().min(adjusted.len()));
    let (of_streaks, of_marks) = rest.split_at(streaks.len().min(rest.len()));
    Questions {
        short: short::asked(lives, span),
        places: places::asked(contents, span),
        finer: finer::asked(contents, lives, span),
        beyond: belief::asked(lives, span),
        copies: weighed(copies, of_copies),
        streaks: weighed(streaks, of_streaks),
        marks: weighed(marks, of_marks),
    }
}

fn weighed<T>(parts: Vec<(T, f64)>, adjusted: &[f64]) -> Vec<Weighed<T>> {
    parts.into_iter().zip(adjusted).map(|((what, p), adjusted)| Weighed { what, p, adjusted: *adjusted }).collect()
}

impl Questions {
    /// Returns how many questions are asked.
    pub fn count(&self) -> usize {
        self.short.questions.len()
            + self.places.asked.questions.len()
            + self.finer.questions.len()
            + self.beyond.questions.len()
            + self.copies.iter().filter(|c| c.asked()).count()
            + self.streaks.iter().filter(|s| s.asked()).count()
            + self.marks.iter().filter(|m| m.asked()).count()
    }
}

impl Span {
    /// Returns whether a moment lies in the span.
    pub fn holds(&self, moment: Moment) -> bool {
        let day = Date(moment.date_in(self.zone));
        moment <= self.last_moment && self.first <= day && day < self.after
    }

    /// Returns whether a moment lies in the twelve months before the span.
    pub fn precedes(&self, moment: Moment) -> bool {
        let day = moment.date_in(self.zone);
        let year_before = self.first.0.checked_sub_months(chrono::Months::new(12)).unwrap_or(self.first.0);
        year_before <= day && day < self.first.0 && moment <= self.last_moment
    }

    /// Returns the checks of a life that were finished in the span.
    fn checks<'a>(&'a self, life: &'a Life) -> impl Iterator<Item = &'a CheckDone> {
        life.checks.iter().filter(|c| self.holds(c.check.finished))
    }
}
