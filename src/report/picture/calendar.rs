//! Months as calendars: a row for each machine, a box for each day, and in it whether the check was done.
//!
//! Takes what became of each day; gives the drawing. Every kind of day has a shape of its own, so that a copy in
//! grey tells as much as the screen.

use std::collections::BTreeSet;

use chrono::{Datelike, NaiveDate, Weekday};

use super::drawing::{Anchor, Drawing, Label, Point, Role, Size, Stroke};
use super::legend::{self, Entry};
use super::{WIDTH, metrics};

/// The columns of a month; days beyond them are not drawn.
const MOST_DAYS: usize = 31;

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
    /// A day each, beginning with the first of the columns; at most 31 are drawn.
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

const NAMES: f64 = 120.0;
const MARK: f64 = 9.0;
const ROW: f64 = 11.5;

impl Calendar {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 0.0);
        let rows = || self.months.iter().flat_map(|month| &month.rows);
        let kinds: BTreeSet<Day> = rows().flat_map(|row| &row.days).copied().collect();
        let marks: Vec<_> =
            kinds.iter().map(|day| move |sheet: &mut Drawing, at: Point| day.draw(sheet, at, MARK)).collect();
        let entries: Vec<Entry> =
            kinds.iter().zip(&marks).map(|(day, mark)| Entry { width: MARK, words: day.words(), mark }).collect();
        let mut top = legend::head(&mut sheet, "", &entries);
        let widest = rows().map(|row| metrics::width(&row.machine, Size::Normal, false)).fold(0.0, f64::max);
        let left = widest.min(NAMES) + 8.0;
        for month in &self.months {
            top = month.draw(&mut sheet, left, top + 3.0);
        }
        sheet.height = top + 2.0;
        sheet
    }
}

impl CalendarMonth {
    /// Draws the month from `top` on and returns where it ends.
    fn draw(&self, sheet: &mut Drawing, left: f64, top: f64) -> f64 {
        let count = self.rows.iter().map(|row| row.days.len()).max().unwrap_or(0).min(MOST_DAYS);
        // A short month keeps the columns of a long one, so that months below each other agree.
        let column = (WIDTH - left) / count.max(31) as f64;
        let middle = |at: usize| left + column * (at as f64 + 0.5);
        let end = left + column * count as f64;
        let titled = !self.title.trim().is_empty();
        let head = if titled { top + 10.5 } else { top };
        sheet.text(Label::new(&self.title, (0.0, top + 7.5), WIDTH).bold(true));
        let first_row = head + 19.0;
        let bottom = first_row + ROW * self.rows.len() as f64;
        for (at, date) in self.first.iter_days().take(count).enumerate() {
            let weekend = matches!(date.weekday(), Weekday::Sat | Weekday::Sun);
            if weekend {
                let half = column / 2.0;
                sheet.rectangle((middle(at) - half, head), (middle(at) + half, bottom), Role::Shade, None);
            }
            let letter = date.weekday().to_string();
            let centred =
                |text: &str, y: f64| Label::new(text, (middle(at), y), column).small().anchored(Anchor::Middle);
            sheet.text(centred(letter.get(..1).unwrap_or_default(), head + 7.5));
            sheet.text(Label { role: Role::Ink, ..centred(&date.day().to_string(), head + 15.5) });
        }
        for (at, row) in self.rows.iter().enumerate() {
            let y = first_row + ROW * (at as f64 + 0.5);
            sheet.line((0.0, y - ROW / 2.0), (end, y - ROW / 2.0), Stroke::solid(Role::Line, 0.35));
            sheet.text(Label::new(&row.machine, (0.0, y + 2.6), left - 8.0));
            for (at, day) in row.days.iter().take(MOST_DAYS).enumerate() {
                day.draw(sheet, (middle(at), y), column);
            }
        }
        bottom
    }
}

impl Day {
    /// Draws the shape of the day in a column of some width.
    fn draw(self, sheet: &mut Drawing, (x, y): Point, column: f64) {
        const SIDE: f64 = 2.9;
        let rim = Stroke::solid(Role::Ink, 0.9);
        match self {
            Day::Done => sheet.dot((x, y), 2.4, Role::Accent, false),
            Day::DoneLate => sheet.dot((x, y), 2.4, Role::Accent, true),
            Day::Incomplete => {
                sheet.rectangle((x - SIDE, y - SIDE), (x + SIDE, y + SIDE), Role::Ground, Some(rim));
                sheet.area(vec![(x - SIDE, y - SIDE), (x - SIDE, y + SIDE), (x + SIDE, y + SIDE)], Role::Ink, None);
            }
            Day::Missing => sheet.cross((x, y), SIDE, Stroke::solid(Role::Ink, 1.5)),
            Day::Withheld => {
                let half = column / 2.0;
                sheet.rectangle((x - half, y - 1.6), (x + half, y + 1.6), Role::Edge, None);
            }
            Day::NotExpected => sheet.dot((x, y), 0.3, Role::Edge, false),
            Day::NotOver => {
                let rim = Stroke::dotted(Role::Edge, 0.6);
                sheet.rectangle((x - SIDE, y - SIDE), (x + SIDE, y + SIDE), Role::Ground, Some(rim));
            }
        }
    }

    /// Returns what the shape means.
    pub fn words(self) -> &'static str {
        match self {
            Day::Done => "done",
            Day::DoneLate => "done late",
            Day::Incomplete => "begun, not finished",
            Day::Missing => "missing",
            Day::Withheld => "machine withheld",
            Day::NotExpected => "not expected",
            Day::NotOver => "not over yet",
        }
    }
}
