//! One report in every rendering, judged by programs that know the formats better than we do.
//!
//! A judge that is missing fails its test with the sentence that says how to get it: a test that is skipped in
//! silence proves nothing.

#![expect(
    clippy::disallowed_methods,
    clippy::panic,
    reason = "a test starts programs, reads files, and stops at what it did not expect"
)]

mod codes;
mod coverage;
mod figures;
#[path = "../golden/mod.rs"]
mod golden;
mod html;
mod markdown;
mod pdf;
#[path = "../outside/python.rs"]
mod python;
mod picture_marks;
mod pictures;
#[path = "../outside/run.rs"]
mod run;
mod sample;
mod tools;
