//! The pictures of a report: each a small struct of numbers and ready words, drawn into marks on a sheet.
//!
//! A picture counts nothing and knows no record: the sections fill it. What comes out is a [`Drawing`], plain data
//! whose marks carry roles instead of colours; [`svg`] writes it for the web page and the PDF alike. Nothing is told
//! by colour alone: what differs has another shape, another line or a word beside it.

mod axis;
mod calendar;
mod card;
mod curve;
mod dots;
pub mod drawing;
mod funnel;
mod legend;
pub mod metrics;
mod readings;
mod rows;
mod strip;
pub mod svg;

pub use calendar::{Calendar, CalendarMonth, CalendarRow, Day};
pub use card::{Card, CardLine};
pub use curve::{Curve, CurveStep, LONG as LONG_CURVE, Moment};
pub use dots::{DotRow, Dots};
pub use drawing::Drawing;
pub use funnel::{Funnel, FunnelRow};
pub use readings::{Drift, Level, Reading, Readings};
pub use strip::{Strip, StripMonth};

/// The width of every picture in points: the text width of an A4 page with the report's margins.
pub const WIDTH: f64 = 482.0;

/// A number with its interval, in the unit of the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    pub value: f64,
    pub low: f64,
    pub high: f64,
}

/// A range on an axis, both ends belonging to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    pub low: f64,
    pub high: f64,
}
