//! The monthly summary: one value that holds every number and every sentence, and its renderings.
//!
//! [`build()`] counts and words; the renderers only lay out what [`Report`] holds, so that a figure can never differ
//! between formats. Texts are plain: a renderer escapes them for its own format and pastes nothing into markup.

pub mod basis;
mod build;
mod cases;
mod changes;
pub mod coverage;
pub mod document;
pub mod drift;
mod expected;
mod failures;
pub mod figures;
pub mod html;
mod limits;
pub mod markdown;
pub mod notes;
pub mod period;
mod proportion;
mod returns;
mod summary;
pub mod tally;
pub mod typeset;
pub mod words;

pub use basis::{Basis, BuiltFrom, LeftOut};
pub use build::build;
pub use document::{Align, Block, Column, Report, Section, Table, Tile};
pub use period::Period;
