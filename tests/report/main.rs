//! What the report counts and says, of small logbooks whose numbers can be counted by hand.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test reads its files")]

mod calendar;
mod counts;
mod drift;
mod drift_by_chance;
mod edges;
mod on_request;
mod returns;
mod small_logbook;
