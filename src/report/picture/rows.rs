//! Rows of a picture: words at the left, a dot with its interval over ranges in the middle, counts at the right.
//!
//! The common part of the pictures that compare: takes rows in their order and gives the drawing.

use super::axis::{Scale, Step, reach};
use super::drawing::{Anchor, Drawing, Label, Role, Size, Stroke};
use super::legend::{self, Entry};
use super::{Estimate, Range, WIDTH, metrics};

/// Rows with the words above them.
pub struct Rows<'a> {
    pub axis: &'a str,
    pub entries: &'a [Entry<'a>],
    /// What a row without an estimate says.
    pub empty: &'a str,
    /// The axis ends here even if an interval goes on.
    pub most: f64,
    pub rows: Vec<Row<'a>>,
}

/// One row.
pub struct Row<'a> {
    pub title: &'a str,
    pub count: &'a str,
    pub estimate: Option<Estimate>,
    /// Ranges, wide before narrow.
    pub ranges: Vec<(Range, Role)>,
    pub target: Option<f64>,
    pub outside: bool,
    pub strong: bool,
}

const TITLES: f64 = 190.0;
const COUNTS: f64 = 100.0;
const GAP: f64 = 9.0;

impl Rows<'_> {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 0.0);
        let top = legend::head(&mut sheet, self.axis, self.entries) + 3.0;
        let high = match self.rows.len() {
            0..=12 => 14.0,
            13..=25 => 12.0,
            _ => 10.6,
        };
        let bottom = top + high * self.rows.len() as f64;
        sheet.height = bottom + 13.0;
        let left = widest(self.rows.iter().map(|row| (row.title, row.strong)), TITLES) + GAP;
        let right = WIDTH - widest(self.rows.iter().map(|row| (row.count, row.strong)), COUNTS) - GAP;
        let (scale, step) = self.scale(left, right);
        for tick in step.ticks(0.0, scale.high) {
            let x = scale.at(tick);
            let stroke = if tick > 0.0 { Stroke::solid(Role::Line, 0.5) } else { Stroke::solid(Role::Edge, 0.7) };
            sheet.line((x, top), (x, bottom + 2.0), stroke);
            let label = Label::new(&step.word(tick), (x, bottom + 10.0), (right - left) / 5.0 - 2.0).small();
            sheet.text(metrics::centred(label, 0.0, WIDTH));
        }
        for (at, row) in self.rows.iter().enumerate() {
            let middle = top + high * (at as f64 + 0.5);
            if at > 0 {
                let y = top + high * at as f64;
                sheet.line((0.0, y), (WIDTH, y), Stroke::solid(Role::Line, 0.35));
            }
            let base = middle + 2.7;
            sheet.text(Label::new(row.title, (0.0, base), left - GAP).bold(row.strong));
            let count = Label::new(row.count, (WIDTH, base), WIDTH - right - GAP).bold(row.strong);
            sheet.text(count.anchored(Anchor::End));
            self.row(&mut sheet, row, &scale, middle, high);
        }
        sheet
    }

    fn scale(&self, left: f64, right: f64) -> (Scale, Step) {
        let ends = self.rows.iter().flat_map(|row| {
            let wide = row.ranges.first().map(|(range, _)| range.high);
            row.estimate.map(|estimate| estimate.high).into_iter().chain(wide)
        });
        let values = self.rows.iter().flat_map(|row| row.estimate.map(|one| one.value).into_iter().chain(row.target));
        let high = reach(values, ends).min(self.most);
        let high = if high > 0.0 { high } else { 1.0 };
        let step = Step::dividing(high, 5);
        (Scale { low: 0.0, high: step.above(high).min(self.most), start: left, end: right }, step)
    }

    fn row(&self, sheet: &mut Drawing, row: &Row, scale: &Scale, middle: f64, high: f64) {
        let half = high * 0.34;
        for (range, role) in &row.ranges {
            let rim = Stroke::solid(Role::Edge, 0.4);
            let corners = ((scale.at(range.low), middle - half), (scale.at(range.high), middle + half));
            sheet.rectangle(corners.0, corners.1, *role, Some(rim));
        }
        if let Some(target) = row.target {
            let x = scale.at(target);
            sheet.line((x, middle - half), (x, middle + half), Stroke::solid(Role::Ink, 0.9));
        }
        let Some(estimate) = row.estimate else {
            let label = Label::new(self.empty, (scale.start + 4.0, middle + 2.4), scale.end - scale.start - 8.0);
            return sheet.text(label.small());
        };
        let (from, to) = (scale.at(estimate.low), scale.at(estimate.high));
        let stroke = Stroke::solid(Role::Accent, 1.2);
        sheet.line((from, middle), (to, middle), stroke);
        if estimate.high > scale.high {
            sheet.path(vec![(to - 3.5, middle - 2.5), (to, middle), (to - 3.5, middle + 2.5)], stroke);
        }
        let at = (scale.at(estimate.value), middle);
        if row.outside { sheet.diamond(at, 4.2, Role::Ink) } else { sheet.dot(at, 2.4, Role::Accent, false) }
    }
}

/// Draws a dot with its interval, as it stands in a row.
pub fn dot((width, role): (f64, Role)) -> impl Fn(&mut Drawing, (f64, f64)) {
    move |sheet, (x, y)| {
        sheet.line((x - width / 2.0, y), (x + width / 2.0, y), Stroke::solid(role, 1.2));
        sheet.dot((x, y), 2.4, role, false);
    }
}

/// Returns the width of the widest text, at most `most`.
fn widest<'a>(texts: impl Iterator<Item = (&'a str, bool)>, most: f64) -> f64 {
    texts.map(|(text, bold)| metrics::width(text, Size::Normal, bold)).fold(0.0, f64::max).min(most)
}
