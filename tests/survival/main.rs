//! Nothing lost: writers at the same moment, a program killed at every call that writes, a full disk, folders that
//! cannot be written, logbooks that others damaged.
//!
//! The program is run as it is built, on the smallest logbook there is (`ward.rs`), and the git program says what came
//! of it. `strace` (`traced.rs`) stops the program where it hurts and shows the order in which it wrote. Where a
//! machine forbids what a test needs, the test fails and says so.
//!
//! `SURVIVAL=all` kills and fails at every single call; without it, of calls that follow each other and are alike only
//! the first and the last. `SURVIVAL_INSTANTS=600` is how many random instants to kill at.

#![cfg(test)]
#![cfg(target_os = "linux")]
#![expect(clippy::disallowed_methods, reason = "a test starts programs and reads what they wrote")]
#![expect(clippy::disallowed_macros, reason = "a test that fails says where")]

mod damaged;
mod failing;
mod killed;
mod obstacles;
mod synced;
mod together;
mod traced;
mod ward;
mod works;
