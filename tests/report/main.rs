//! What the report counts and says, of small logbooks whose numbers can be counted by hand.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test reads its files, and stops at what it did not expect"
)]

mod calendar;
mod corrections;
mod counts;
mod drift;
mod drift_by_chance;
mod edges;
mod on_request;
mod returns;
mod seals;
mod single;
mod small_logbook;
