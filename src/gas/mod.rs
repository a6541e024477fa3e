//! The physics behind readings: what a cylinder holds and how long it lasts, and how big a leak is.
//! Pure functions on quantities with their dimensions. Each names its formula and its assumptions; what a gauge does
//! not show is refused, not guessed.

pub mod cylinder;
pub mod leak;
