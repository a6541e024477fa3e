//! What was answered so far, by flags or at the terminal: from the name of each flag to its answers.

use crate::record::{Date, Moment};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Answers by flag, as the record will hold them. A flag with no answer was left empty on purpose.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Given(BTreeMap<String, Vec<String>>);

impl Given {
    /// Returns the answers of a flag; none when it was not answered or left empty.
    pub fn all(&self, flag: &str) -> &[String] {
        self.0.get(flag).map_or(&[], Vec::as_slice)
    }

    /// Returns the one answer of a flag.
    pub fn one(&self, flag: &str) -> Option<&str> {
        self.all(flag).first().map(String::as_str)
    }

    /// Returns the text of a flag that must have one by now; empty when it has none.
    pub fn text(&self, flag: &str) -> String {
        self.one(flag).unwrap_or_default().to_owned()
    }

    /// Returns the moment that answers a flag.
    pub fn moment(&self, flag: &str) -> Option<Moment> {
        self.one(flag)?.parse().ok()
    }

    /// Returns the day that answers a flag.
    pub fn date(&self, flag: &str) -> Option<Date> {
        self.one(flag)?.parse().ok()
    }

    /// Returns whether a flag was answered, or left empty on purpose.
    pub fn has(&self, flag: &str) -> bool {
        self.0.contains_key(flag)
    }

    /// Answers a flag.
    pub fn set(&mut self, flag: &str, answers: Vec<String>) {
        self.0.insert(flag.to_owned(), answers);
    }

    /// Answers a flag, and returns the whole.
    pub fn with<S: Into<String>>(mut self, flag: &str, answers: impl IntoIterator<Item = S>) -> Given {
        self.set(flag, answers.into_iter().map(Into::into).collect());
        self
    }

    /// Takes the answers of a flag away.
    pub fn forget(&mut self, flag: &str) {
        self.0.remove(flag);
    }

    /// Returns the flags that were answered.
    pub fn flags(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }

    /// Returns whether nothing was answered.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Adds the answers of another one; where both have some, the other one's count.
    pub fn joined(mut self, other: Given) -> Given {
        self.0.extend(other.0);
        self
    }
}
