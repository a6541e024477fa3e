//! The monthly summary: one value that holds every number and every sentence, and its renderings.
//!
//! [`build()`] counts and words; the renderers only lay out what [`Report`] holds, so that a figure can never differ
//! between formats. Texts are plain: a renderer escapes them for its own format and pastes nothing into markup.

pub mod document;

pub use document::{Align, Block, Column, Report, Section, Table, Tile};
