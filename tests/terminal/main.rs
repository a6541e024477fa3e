//! The program at a real pseudo-terminal of 80 columns and 24 lines, driven key by key; git judges what is committed.
//!
//! `seat.rs` is the terminal, `hospital.rs` the logbook. The key presses of a clean daily check are counted here and
//! held against the table of DEVELOPERS.md.

#![cfg(test)]
#![cfg(unix)]
#![expect(clippy::disallowed_methods, reason = "a test runs programs and reads what they wrote")]

mod check;
mod draft;
#[expect(dead_code, reason = "tests beside this one use the rest")]
mod hospital;
mod seat;
