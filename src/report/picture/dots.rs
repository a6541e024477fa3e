//! Items compared: a row for each with its share failed and the interval, counts at the right.
//!
//! Takes the rows in the order they are to stand in; gives the drawing. Titles that are longer than their room are
//! shortened here and stand in full in the table behind the picture.

use super::drawing::{Drawing, Label};
use super::{Estimate, WIDTH};

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
        let mut sheet = Drawing::sheet(WIDTH, 40.0);
        sheet.text(Label::new(&self.axis, (0.0, 7.5), 190.0).bold(true));
        sheet
    }
}
