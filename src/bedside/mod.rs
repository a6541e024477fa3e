//! At the bedside: what a person is asked, what was typed, and what follows from it at once.
//!
//! There are three ways to record, at the terminal, on a page, on paper, and one kind of record. A [`Step`] is one place of
//! a sheet as a person meets it; [`typed`] turns what was put in into an answer; [`said`] says what the answer comes to;
//! a [`Draft`] keeps the answers until they are a record. Who shows a question and listens to the keys is a
//! [`console::Console`]: nothing here touches a terminal.
//!
//! What comes after a failure is short and asked in one way: an [`inquiry::Inquiry`] says which [`field::Field`]s there are,
//! given what was answered so far, and which record they make ([`fault`], [`repair`], [`release`], [`service`], [`void`]).
//! A record that is in the history is asked once more by its own inquiry, with its answers as they stand ([`correct`]).

pub mod answers;
pub mod board;
pub mod clock_time;
pub mod console;
pub mod correct;
pub mod draft;
pub mod fault;
pub mod field;
pub mod follow_up;
pub mod form_age;
pub mod form_code;
pub mod given;
pub mod guided;
pub mod inquiry;
pub mod latest;
pub mod named;
pub mod outcome;
pub mod page;
pub mod paper;
pub mod policy;
pub mod readiness;
pub mod release;
pub mod repair;
pub mod reserve;
pub mod said;
pub mod service;
pub mod setting;
pub mod step;
pub mod typed;
pub mod void;
pub mod work;

pub use draft::Draft;
pub use said::{Said, say};
pub use step::{Step, steps};
pub use typed::{Typed, answer};
