//! Machines compared: a row for each, its rate with its interval, over the range that chance alone would give it.
//!
//! Takes the machines with their limits; gives the drawing. It is a funnel turned to rows: machines of a hospital
//! have nearly the same number of days, so that in a funnel their dots would stand on each other.

use super::drawing::{Drawing, Label};
use super::{Estimate, Range, WIDTH};

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
        let mut sheet = Drawing::sheet(WIDTH, 40.0);
        sheet.text(Label::new(&self.axis, (0.0, 7.5), 190.0).bold(true));
        sheet
    }
}
