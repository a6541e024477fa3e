//! The period of a report: a calendar month in the site's time zone.

use crate::record::Date;
use chrono::{Datelike, NaiveDate};

/// A calendar month, from its first day up to and without the first day of the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Period {
    pub first: Date,
    pub after: Date,
}

impl Period {
    /// Returns the month named `2026-10`; nothing for any other text.
    pub fn month(text: &str) -> Option<Period> {
        let (year, month) = text.split_once('-')?;
        let digits = |text: &str, n: usize| text.len() == n && text.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(month, 2) {
            return None;
        }
        Period::of(year.parse().ok()?, month.parse().ok()?)
    }

    /// Returns a month by its numbers.
    pub fn of(year: i32, month: u32) -> Option<Period> {
        let first = NaiveDate::from_ymd_opt(year, month, 1)?;
        let after = first.checked_add_months(chrono::Months::new(1))?;
        Some(Period { first: Date(first), after: Date(after) })
    }

    /// Returns the month a day lies in.
    pub fn containing(date: Date) -> Option<Period> {
        Period::of(date.0.year(), date.0.month())
    }

    /// Returns the month before.
    pub fn before(self) -> Option<Period> {
        Period::containing(Date(self.first.0.pred_opt()?))
    }

    /// Returns the first day of the twelve months that end with this one.
    pub fn year_before(self) -> Date {
        Date(self.after.0.checked_sub_months(chrono::Months::new(12)).unwrap_or(self.first.0))
    }

    /// Returns whether a day lies in it.
    pub fn contains(self, date: Date) -> bool {
        self.first <= date && date < self.after
    }

    /// Returns the last day.
    pub fn last(self) -> Date {
        Date(self.after.0.pred_opt().unwrap_or(self.first.0))
    }

    /// Returns the name it is asked for by: `2026-10`.
    pub fn name(self) -> String {
        self.first.0.format("%Y-%m").to_string()
    }

    /// Returns it in words: `October 2026`.
    pub fn words(self) -> String {
        self.first.0.format("%B %Y").to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_have_their_days() {
        let october = Period::month("2026-10").unwrap();
        assert_eq!(october.first.to_string(), "2026-10-01");
        assert_eq!(october.last().to_string(), "2026-10-31");
        assert_eq!(october.words(), "October 2026");
        assert_eq!(october.year_before().to_string(), "2025-11-01");
        assert_eq!(Period::month("2026-02").unwrap().last().to_string(), "2026-02-28");
        assert_eq!(Period::month("2026-01").unwrap().before().unwrap().name(), "2025-12");
        for wrong in ["2026-13", "2026-1", "26-10", "2026", "2026-10-01", "october", "+026-10"] {
            assert!(Period::month(wrong).is_none(), "{wrong}");
        }
    }
}
