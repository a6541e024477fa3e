//! At the bedside: what a person is asked, what was typed, and what follows from it at once.
//!
//! There are three ways to record, at the terminal, on a page, on paper, and one kind of record. A [`Step`] is one place of
//! a sheet as a person meets it; [`typed`] turns what was put in into an answer; [`said`] says what the answer comes to;
//! a [`Draft`] keeps the answers until they are a record. Who shows a question and listens to the keys is a
//! [`console::Console`]: nothing here touches a terminal.

pub mod console;
pub mod draft;
pub mod follow_up;
pub mod form_code;
pub mod page;
pub mod reserve;
pub mod said;
pub mod step;
pub mod typed;

pub use draft::Draft;
pub use said::{Said, say};
pub use step::{Step, steps};
pub use typed::{Typed, answer};
