//! Statistics for small counts: how sure a share is, and how long things take when some are not
//! over yet.
//!
//! Takes counts and whole seconds, gives numbers and, from `rounding`, the digits to print. Knows
//! no machine, no file and no clock. Every method is exact, because a month holds nought to five
//! failures and approximations fail there. Digits are the same on every platform: `libm` stands in
//! for the standard library's logarithm and exponential.

pub mod covered;
mod inversions;
mod natural;
pub mod normal;
pub mod proportion;
pub mod rounding;
pub mod slope;
pub mod special;
pub mod survival;
