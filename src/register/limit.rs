//! A limit: what is measured, its bounds, and the source it comes from.

use crate::record::Quantity;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// Which part of an answer a limit is about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LimitOf {
    /// The reading of a gauge or display.
    #[default]
    Reading,
    /// How long something stayed as it was.
    Held,
    /// The pressure at the start of a pressure held.
    From,
    /// The pressure at its end.
    To,
    /// How long it was watched.
    In,
    /// The fall from start to end.
    Fall,
}

/// How far the source of a limit can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// The number stands in the named publication.
    Published,
    /// The number was written from memory and must be confirmed before it is relied on.
    Memory,
    /// The hospital chose it.
    Local,
    /// The machine's maker states it.
    Maker,
}

/// One limit of an item.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Limit {
    #[serde(default)]
    pub of: LimitOf,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<Quantity>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most: Option<Quantity>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub above: Option<Quantity>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub below: Option<Quantity>,
    pub source: String,
    pub standing: Standing,
}

/// Whether a value meets a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Met {
    Yes,
    No,
    /// The value and the limit measure different things and cannot be compared.
    NotComparable,
}

impl Limit {
    /// Returns whether a value meets every bound of the limit. `at-least` and `at-most` include the bound itself.
    pub fn met_by(&self, value: &Quantity) -> Met {
        let bounds: [(&Option<Quantity>, &[Ordering]); 4] = [
            (&self.at_least, &[Ordering::Equal, Ordering::Greater]),
            (&self.at_most, &[Ordering::Equal, Ordering::Less]),
            (&self.above, &[Ordering::Greater]),
            (&self.below, &[Ordering::Less]),
        ];
        let mut met = Met::Yes;
        for (bound, allowed) in bounds {
            let Some(bound) = bound else { continue };
            match value.compare(bound) {
                None => return Met::NotComparable,
                Some(order) if !allowed.contains(&order) => met = Met::No,
                Some(_) => {}
            }
        }
        met
    }

    /// Returns the bounds in words: `at least 45 psi and at most 55 psi`.
    pub fn words(&self) -> String {
        let named = [
            ("at least", &self.at_least),
            ("at most", &self.at_most),
            ("more than", &self.above),
            ("less than", &self.below),
        ];
        let parts: Vec<String> =
            named.iter().filter_map(|(word, bound)| bound.as_ref().map(|q| format!("{word} {q}"))).collect();
        parts.join(" and ")
    }

    /// Returns the source with how far to trust it: `FDA 1993 step 2`, `... (from memory, confirm)`.
    pub fn source_words(&self) -> String {
        match self.standing {
            Standing::Published => self.source.clone(),
            Standing::Memory => format!("{} (from memory, to be confirmed)", self.source),
            Standing::Local => format!("{} (chosen locally)", self.source),
            Standing::Maker => format!("{} (the maker's limit)", self.source),
        }
    }
}

impl LimitOf {
    /// Returns the part in words.
    pub fn words(self) -> &'static str {
        match self {
            LimitOf::Reading => "reading",
            LimitOf::Held => "time held",
            LimitOf::From => "pressure at the start",
            LimitOf::To => "pressure at the end",
            LimitOf::In => "time watched",
            LimitOf::Fall => "fall in pressure",
        }
    }
}
