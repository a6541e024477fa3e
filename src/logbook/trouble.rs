//! What stopped the work on a logbook, with one next step.
//!
//! An error that a person can do something about. Its text is the headline alone; the next step is
//! kept apart so that the one place that prints errors can lay it out.

use std::fmt;

/// A failure with a headline and one next step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    headline: String,
    help: String,
}

impl Trouble {
    /// Returns a failure with the given headline and next step.
    pub fn new(headline: impl Into<String>, help: impl Into<String>) -> Self {
        Trouble { headline: headline.into(), help: help.into() }
    }

    /// Returns the one next step.
    pub fn help(&self) -> &str {
        &self.help
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.headline)
    }
}

impl std::error::Error for Trouble {}
