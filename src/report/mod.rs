//! The monthly summary: one value that holds every number and every sentence, and its renderings.
//!
//! [`build()`] counts and words; the renderers only lay out what [`Report`] holds, so that a figure can never differ
//! between formats. Texts are plain: a renderer escapes them for its own format and pastes nothing into markup.

pub mod basis;
mod build;
pub mod calendar;
mod cases;
mod changes;
mod corrections;
pub mod coverage;
mod decisions;
pub mod document;
pub mod downtime;
pub mod drift;
mod expected;
mod failures;
pub mod figures;
pub mod html;
mod items;
mod last_faults;
mod limits;
pub mod machines;
pub mod markdown;
pub mod notes;
pub mod on_request;
mod per_thousand;
pub mod period;
pub mod picture;
pub mod proportion;
pub mod questions;
pub mod repeats;
mod returns;
mod seals;
mod services;
mod side_by_side;
pub mod signals;
mod single;
mod strip;
mod summary;
pub mod tally;
pub mod typeset;
pub mod words;

pub use basis::{Basis, BuiltFrom, IN_NO_HISTORY, LeftOut};
pub use build::build;
pub use document::{Align, Block, Column, Picture, Report, Section, Table, Tile};
pub use on_request::Also;
pub use period::Period;
