//! Readings over time with their limit, the line through them, and the day before which it does not meet the limit.
//!
//! Takes days and values; gives the drawing. A calibration or a replaced part starts a series anew: it is a line
//! from top to bottom, and readings before the last one are hollow because the line does not count them.

use super::drawing::{Drawing, Label};
use super::{Range, WIDTH};
use chrono::NaiveDate;

/// Readings of one item of one machine. Days are counted from `start`, with fractions.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// What was read, with its unit, such as `oxygen at 21 %, reading in %`.
    pub axis: String,
    /// The day that is day 0.
    pub start: NaiveDate,
    /// How many days the picture shows.
    pub days: f64,
    pub readings: Vec<Reading>,
    pub limits: Vec<Level>,
    pub drift: Option<Drift>,
    /// What starts the series anew, such as `calibrated`.
    pub restarts: Vec<(f64, String)>,
    /// The first day on which the limit may be met, such as `not before 14 March 2027`.
    pub crossing: Option<(f64, String)>,
    /// What the line is, such as `trend and its 95 % interval`.
    pub line: String,
    /// What a hollow dot is, such as `before the last calibration`. Shown when there is one.
    pub hollow: String,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    pub day: f64,
    pub value: f64,
    /// Whether the line through the readings counts it.
    pub counted: bool,
}

/// A limit with its words, such as `at least 20.0 %`.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    pub value: f64,
    pub label: String,
}

/// A line through readings: it passes the pivot with a slope, which lies in an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// Day and value that every line passes.
    pub pivot: (f64, f64),
    /// In units per day.
    pub slope: f64,
    pub interval: Range,
    /// The first and last day it is drawn for.
    pub from: f64,
    pub to: f64,
}

impl Readings {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 40.0);
        sheet.text(Label::new(&self.axis, (0.0, 7.5), 190.0).bold(true));
        sheet
    }
}
