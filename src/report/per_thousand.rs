//! Faults per 1000 machine-days in words: never without its counts, never without its limits.

use super::document::Figure;
use super::picture::Estimate;
use super::proportion::CONFIDENCE;
use super::tally::Rated;
use crate::diagnostic::counted;
use crate::statistics::rate::garwood;
use crate::statistics::rounding::{rate, rate_outward};

/// The fewest machine-days from which a rate is printed; from fewer, one fault more or less would be the whole rate.
pub const FEWEST_DAYS: u64 = 30;

const PER: f64 = 1000.0;

impl Rated {
    /// Returns the limits per 1000 machine-days, rounded outward; nothing when there are too few machine-days.
    pub fn limits(self) -> Option<(String, String)> {
        if self.machine_days < FEWEST_DAYS {
            return None;
        }
        let interval = garwood(self.faults, self.machine_days as f64, CONFIDENCE)?;
        Some(rate_outward(interval, PER, 1))
    }

    /// Returns rate and limits per 1000 machine-days, for a picture; nothing when there are too few machine-days.
    pub fn estimate(self) -> Option<Estimate> {
        if self.machine_days < FEWEST_DAYS {
            return None;
        }
        let interval = garwood(self.faults, self.machine_days as f64, CONFIDENCE)?;
        let value = self.faults as f64 * PER / self.machine_days as f64;
        Some(Estimate { value, low: interval.lower * PER, high: interval.upper * PER })
    }

    /// Returns the rate per 1000 machine-days.
    pub fn rate(self) -> String {
        rate(self.faults, self.machine_days as f64, PER, 1)
    }

    /// Returns a sentence: `5 faults in 180 machine-days: 27.8 per 1000 (95 % interval 9.0 to 64.9)`.
    pub fn sentence(self) -> String {
        let counts = format!(
            "{} in {}",
            counted(self.faults as usize, "fault"),
            counted(self.machine_days as usize, "machine-day")
        );
        match self.limits() {
            None => format!("{counts}: too few machine-days for a rate, {FEWEST_DAYS} are needed"),
            Some((_, upper)) if self.faults == 0 => {
                format!(
                    "no fault in {} machine-days; rates up to {upper} per 1000 remain compatible with that (95 % limits)",
                    self.machine_days
                )
            }
            Some((lower, upper)) => {
                format!("{counts}: {} per 1000 (95 % interval {lower} to {upper})", self.rate())
            }
        }
    }

    /// Returns the cells of a table: faults, machine-days, rate, lower limit, upper limit.
    pub fn cells(self) -> Vec<String> {
        let counts = [self.faults.to_string(), self.machine_days.to_string()];
        let rest = match self.limits() {
            Some((lower, upper)) => [self.rate(), lower, upper],
            None => ["too few days", "–", "–"].map(str::to_owned),
        };
        counts.into_iter().chain(rest).collect()
    }
}

/// Returns the rate as a figure; not recorded when no calendar says how many machine-days there were.
pub fn figure(rated: Option<Rated>, figure: &str, of: &str) -> Figure {
    let limits = rated.and_then(Rated::limits);
    let state = match (rated, &limits) {
        (None, _) => "not-recorded",
        (Some(_), None) => "too-little-data",
        (Some(_), Some(_)) => "value",
    };
    Figure {
        figure: figure.to_owned(),
        of: of.to_owned(),
        k: rated.map(|rated| rated.faults),
        n: rated.map(|rated| rated.machine_days),
        value: rated.filter(|_| limits.is_some()).map(Rated::rate),
        unit: "per 1000 machine-days".to_owned(),
        lower: limits.as_ref().map(|(lower, _)| lower.clone()),
        upper: limits.map(|(_, upper)| upper),
        state: state.to_owned(),
        note: rated.map_or(NO_CALENDAR.to_owned(), Rated::sentence),
    }
}

/// Why there is no rate.
pub const NO_CALENDAR: &str = "not recorded: no calendar says on how many machine-days a check was expected";
