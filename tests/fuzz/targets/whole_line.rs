//! Arbitrary bytes as several files of a logbook.

#![no_main]

#[path = "../logbook.rs"]
mod logbook;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| logbook::try_out(bytes));
