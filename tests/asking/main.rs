//! What is asked after a failure, answered from a list: which questions come, what is suggested, and which record it makes.

#![cfg(test)]
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod faults;
mod script;
mod works;
