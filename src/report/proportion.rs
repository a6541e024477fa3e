//! A share of checks in words: never without its counts, never without its limits.

use super::document::Figure;
use super::picture::Estimate;
use crate::diagnostic::counted;
use crate::statistics::proportion::clopper_pearson;
use crate::statistics::rounding::{percent, percent_outward};

/// `k` failures among `n`, with the exact limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    pub k: u64,
    pub n: u64,
}

/// The confidence of every interval of the report.
pub const CONFIDENCE: f64 = 0.95;

impl Share {
    /// Returns the limits in percent, rounded outward; nothing when there is nothing to count.
    pub fn limits(self) -> Option<(String, String)> {
        clopper_pearson(self.k, self.n, CONFIDENCE).map(|interval| percent_outward(interval, self.decimals()))
    }

    /// Returns the share in percent.
    pub fn percent(self) -> String {
        percent(self.k, self.n, self.decimals())
    }

    /// Returns how many decimals are printed: two below 1 %, so that what happened is not printed as 0.0 %.
    fn decimals(self) -> u32 {
        if self.k > 0 && u128::from(self.k) * 100 < u128::from(self.n) { 2 } else { 1 }
    }

    /// Returns share and limits in percent, for a picture; nothing when there is nothing to count.
    pub fn estimate(self) -> Option<Estimate> {
        let interval = clopper_pearson(self.k, self.n, CONFIDENCE)?;
        let value = self.k as f64 * 100.0 / self.n as f64;
        Some(Estimate { value, low: interval.lower * 100.0, high: interval.upper * 100.0 })
    }

    /// Returns the cells of a table: failed, of, percent, lower limit, upper limit.
    pub fn cells(self) -> Vec<String> {
        match self.limits() {
            Some((lower, upper)) => vec![
                self.k.to_string(),
                self.n.to_string(),
                format!("{} %", self.percent()),
                format!("{lower} %"),
                format!("{upper} %"),
            ],
            None => vec!["0".to_owned(), "0".to_owned(), "no checks".to_owned(), "–".to_owned(), "–".to_owned()],
        }
    }

    /// Returns a sentence: `3 of 62 checks failed (4.8 %, 95 % interval 1.0 to 13.5 %)`.
    pub fn sentence(self, thing: &str) -> String {
        match self.limits() {
            None => format!("no {thing}s"),
            Some((_, upper)) if self.k == 0 => format!(
                "none of {} failed; rates up to {upper} % remain compatible with that (95 % limits)",
                counted(self.n as usize, thing)
            ),
            Some((lower, upper)) => format!(
                "{} of {} failed ({} %, 95 % interval {lower} to {upper} %)",
                self.k,
                counted(self.n as usize, thing),
                self.percent()
            ),
        }
    }

    /// Returns the share as a figure whose note says what is counted: `3 of 62 checks found a new fault (4.8 %, ...)`.
    pub fn named(self, figure: &str, of: &str, what: &str) -> Figure {
        let note = match self.limits() {
            None => format!("0 of 0 {what}"),
            Some((lower, upper)) => {
                format!("{} of {} {what} ({} %, 95 % interval {lower} to {upper} %)", self.k, self.n, self.percent())
            }
        };
        Figure { note, ..self.figure(figure, of, "check") }
    }

    /// Returns the share as a figure.
    pub fn figure(self, figure: &str, of: &str, thing: &str) -> Figure {
        let limits = self.limits();
        Figure {
            figure: figure.to_owned(),
            of: of.to_owned(),
            k: Some(self.k),
            n: Some(self.n),
            value: limits.is_some().then(|| self.percent()),
            unit: "%".to_owned(),
            lower: limits.as_ref().map(|(lower, _)| lower.clone()),
            upper: limits.as_ref().map(|(_, upper)| upper.clone()),
            state: if limits.is_some() { "value" } else { "not-recorded" }.to_owned(),
            note: self.sentence(thing),
        }
    }
}

/// Returns a plain count as a figure. A count is a census and has no limits.
pub fn count(figure: &str, of: &str, k: usize, note: impl Into<String>) -> Figure {
    Figure {
        figure: figure.to_owned(),
        of: of.to_owned(),
        k: Some(k as u64),
        n: None,
        value: Some(k.to_string()),
        unit: "1".to_owned(),
        lower: None,
        upper: None,
        state: "value".to_owned(),
        note: note.into(),
    }
}
