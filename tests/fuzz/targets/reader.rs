//! Arbitrary bytes as one file.

#![no_main]

#[path = "../one_file.rs"]
mod one_file;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| one_file::try_out(bytes));
