//! Machines compared: a row for each, its rate with its interval, over the range that chance alone would give it.
//!
//! Takes the machines with their limits; gives the drawing. It is a funnel turned to rows: machines of a hospital
//! have nearly the same number of days, so that in a funnel their dots would stand on each other.

use super::drawing::{Drawing, Point, Role, Stroke};
use super::legend::Entry;
use super::rows::{self, Row, Rows};
use super::{Estimate, Range};

/// The machines and the words around them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Funnel {
    /// What the axis counts, such as `faults per 1000 machine-days`.
    pub axis: String,
    /// What a dot with its line is, such as `machine with its 95 % interval`.
    pub dot: String,
    /// What the narrow range is, such as `19 of 20 machines like the others lie here`.
    pub narrow: String,
    /// What the wide range is, such as `998 of 1000`.
    pub wide: String,
    /// What the stroke across is, such as `rate of the other machines`.
    pub target: String,
    /// What a diamond is, such as `outside the wide range`. Shown when there is one.
    pub outside: String,
    /// What a machine without an estimate says, such as `no days in service`.
    pub empty: String,
    pub machines: Vec<FunnelRow>,
}

/// One machine of a funnel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FunnelRow {
    pub name: String,
    /// The counts, such as `2 in 248 days`.
    pub count: String,
    pub estimate: Option<Estimate>,
    /// The rate it is compared with.
    pub target: Option<f64>,
    /// Limits at 95 %.
    pub narrow: Option<Range>,
    /// Limits at 99.8 %.
    pub wide: Option<Range>,
    /// Whether it lies outside the wide limits.
    pub outside: bool,
}

impl Funnel {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let outside = if self.machines.iter().any(|row| row.outside) { &self.outside } else { "" };
        let box_of = |role: Role| {
            move |sheet: &mut Drawing, (x, y): Point| {
                let rim = Stroke::solid(Role::Edge, 0.4);
                sheet.rectangle((x - 6.0, y - 3.5), (x + 6.0, y + 3.5), role, Some(rim));
            }
        };
        let (narrow, wide, dot) = (box_of(Role::Band), box_of(Role::Shade), rows::dot((14.0, Role::Accent)));
        let entries = [
            Entry { width: 14.0, words: &self.dot, mark: &dot },
            Entry { width: 12.0, words: &self.narrow, mark: &narrow },
            Entry { width: 12.0, words: &self.wide, mark: &wide },
            Entry {
                width: 2.0,
                words: &self.target,
                mark: &|sheet, (x, y)| {
                    sheet.line((x, y - 4.0), (x, y + 4.0), Stroke::solid(Role::Ink, 0.9));
                },
            },
            Entry { width: 8.4, words: outside, mark: &|sheet, at| sheet.diamond(at, 4.2, Role::Ink) },
        ];
        let row = |row: &'_ FunnelRow| {
            let wide = row.wide.map(|range| (range, Role::Shade));
            wide.into_iter().chain(row.narrow.map(|range| (range, Role::Band))).collect()
        };
        let rows = self.machines.iter().map(|machine| Row {
            title: &machine.name,
            count: &machine.count,
            estimate: machine.estimate,
            ranges: row(machine),
            target: machine.target,
            outside: machine.outside,
            strong: machine.outside,
        });
        Rows { axis: &self.axis, entries: &entries, empty: &self.empty, most: f64::MAX, rows: rows.collect() }.draw()
    }
}
