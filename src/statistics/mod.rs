//! Statistics for small counts: how sure a share or a rate is, which units stand out, how long things
//! take when some are not over yet, and whether something drifts or worsens.
//!
//! Takes counts, exposures and whole seconds, gives numbers and, from `rounding`, the digits to print.
//! Knows no machine, no file and no clock. What is claimed rests on exact methods, because a month holds
//! nought to five failures and approximations fail there; what is not exact says so. Digits are the same on
//! every platform: `libm` stands in for the standard library's logarithm and exponential.

pub mod binomial;
pub mod bounded_mean;
pub mod comparison;
pub mod covered;
pub mod fisher;
pub mod funnel;
pub mod gamma;
pub mod gaps;
pub mod growth;
mod inversions;
mod lentz;
mod natural;
pub mod normal;
mod outcomes;
pub mod pattern;
pub mod poisson;
pub mod proportion;
pub mod rate;
pub mod repeats;
pub mod rounding;
pub mod serial;
pub mod shrinkage;
pub mod slope;
pub mod special;
mod stirling;
pub mod survival;
pub mod trend;
