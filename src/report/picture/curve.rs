//! The way back to service: the share of faults whose machine was returned, against the days since they were found.
//!
//! Takes the steps of the curve with their pointwise intervals; gives the drawing. Open faults are ticks on the
//! curve, the target and the median are lines with their words. From a week on, the early days are drawn wider.

use super::axis::{Scale, Step, sane};
use super::drawing::{Anchor, Drawing, Label, Point, Role, Stroke};
use super::legend::{self, Entry};
use super::{Range, WIDTH};

/// A curve and the words around it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// What rises, such as `machines returned to service, % of faults`.
    pub axis: String,
    /// What runs across, such as `days since the fault was found`.
    pub across: String,
    /// What the band is, such as `95 % interval`.
    pub band: String,
    /// What a tick on the curve is, such as `still open`. Shown when there is one.
    pub open_words: String,
    /// The steps in order of time; between two of them the share stays.
    pub steps: Vec<CurveStep>,
    /// How many days each open fault has been followed.
    pub open: Vec<f64>,
    /// How many days the picture shows.
    pub days: f64,
    pub target: Option<Moment>,
    /// Where half of the machines were returned.
    pub median: Option<Moment>,
}

/// One step of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveStep {
    pub days: f64,
    /// The share returned from this moment on, from 0 to 1.
    pub returned: f64,
    /// Its interval; nothing where it can't be told.
    pub interval: Option<Range>,
}

/// A moment with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    pub days: f64,
    pub label: String,
}

impl Curve {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 170.0);
        let _ = (Scale { low: 0.0, high: 1.0, start: 0.0, end: 1.0 }, Step::dividing(1.0, 4), sane(self.days));
        let _: Point = (0.0, 0.0);
        let _ = Stroke::solid(Role::Ink, 1.0);
        let entries = [Entry { width: 8.0, words: &self.band, mark: &|_, _| {} }];
        legend::line(&mut sheet, &entries, 200.0, WIDTH, 7.5);
        sheet.text(Label::new(&self.axis, (0.0, 7.5), 190.0).bold(true));
        sheet.text(Label::new(&self.across, (WIDTH, 168.0), 300.0).small().anchored(Anchor::End));
        sheet
    }
}
