//!
//! Pure functions on quantities with their dimensions. Each names its formula and its assumptions; what a gauge does
//! not show is refused, not guessed.

pub mod cylinder;
pub mod leak;
