//! Items compared: a row for each with its share failed and the interval, counts at the right.
//!
//! Takes the rows in the order they are to stand in; gives the drawing. Titles that are longer than their room are
//! shortened here and stand in full in the table behind the picture.

use super::Estimate;
use super::drawing::{Drawing, Role};
use super::legend::Entry;
use super::rows::{self, Row, Rows};

/// The items and the words around them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Dots {
    /// What the axis counts, such as `failed, % of answers`.
    pub axis: String,
    /// What a dot with its line is, such as `share failed with its 95 % interval`.
    pub dot: String,
    /// What an item without an estimate says, such as `not answered`.
    pub empty: String,
    pub rows: Vec<DotRow>,
}

/// One item.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DotRow {
    pub title: String,
    /// The counts, such as `2 of 62`.
    pub count: String,
    /// The share in percent.
    pub estimate: Option<Estimate>,
    /// Whether the row is set bold.
    pub strong: bool,
}

impl Dots {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let dot = rows::dot((14.0, Role::Accent));
        let entries = [Entry { width: 14.0, words: &self.dot, mark: &dot }];
        let rows = self.rows.iter().map(|row| Row {
            title: &row.title,
            count: &row.count,
            estimate: row.estimate,
            ranges: Vec::new(),
            target: None,
            outside: false,
            strong: row.strong,
        });
        Rows { axis: &self.axis, entries: &entries, empty: &self.empty, most: 100.0, rows: rows.collect() }.draw()
    }
}
