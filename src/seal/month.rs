//! A calendar month, as seals and the folders of records name it.

use chrono::{Datelike, Months, NaiveDate};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// A calendar month, held as its first day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Month(NaiveDate);

impl Month {
    /// Returns the month a day lies in.
    pub fn of(day: NaiveDate) -> Month {
        Month(day.with_day(1).unwrap_or(day))
    }

    /// Returns its first day.
    pub fn first_day(self) -> NaiveDate {
        self.0
    }

    /// Returns the month after it.
    pub fn next(self) -> Month {
        Month(self.0.checked_add_months(Months::new(1)).unwrap_or(self.0))
    }

    /// Returns the month before it.
    pub fn previous(self) -> Month {
        Month(self.0.checked_sub_months(Months::new(1)).unwrap_or(self.0))
    }

    /// Returns the months from one to another, both with them.
    pub fn through(self, last: Month) -> Vec<Month> {
        let mut months = Vec::new();
        let mut month = self;
        while month <= last {
            months.push(month);
            // The calendar has an end; the month there has none after it.
            if month.next() == month {
                break;
            }
            month = month.next();
        }
        months
    }

    /// Returns it in words: `October 2026`.
    pub fn words(self) -> String {
        self.0.format("%B %Y").to_string()
    }

    /// Returns the folder of its records.
    pub fn folder(self) -> String {
        self.0.format("records/%Y/%m/").to_string()
    }

    /// Returns the path of its seal.
    pub fn seal_path(self) -> String {
        format!("seals/{self}.yaml")
    }

    /// Returns the month whose seal a path is.
    pub fn of_seal_path(path: &str) -> Option<Month> {
        path.strip_prefix("seals/")?.strip_suffix(".yaml")?.parse().ok()
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%Y-%m"))
    }
}

/// A text is not a month.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAMonth;

impl fmt::Display for NotAMonth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not a month such as 2026-10")
    }
}

impl std::error::Error for NotAMonth {}

impl FromStr for Month {
    type Err = NotAMonth;

    fn from_str(text: &str) -> Result<Month, NotAMonth> {
        let month = Month(NaiveDate::parse_from_str(&format!("{text}-01"), "%Y-%m-%d").map_err(|_| NotAMonth)?);
        if month.to_string() == text { Ok(month) } else { Err(NotAMonth) }
    }
}

impl Serialize for Month {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Month {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Month, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_has_one_spelling_a_folder_and_neighbours() {
        let december: Month = "2026-12".parse().unwrap();
        assert_eq!(december.next().to_string(), "2027-01");
        assert_eq!(december.previous().words(), "November 2026");
        assert_eq!(december.folder(), "records/2026/12/");
        assert_eq!(Month::of_seal_path(&december.seal_path()), Some(december));
        let names: Vec<String> = december.previous().through(december.next()).iter().map(Month::to_string).collect();
        assert_eq!(names, ["2026-11", "2026-12", "2027-01"]);
        assert_eq!(december.through(december.previous()), []);
        for wrong in ["2026-13", "2026-1", "26-10", "2026-10-01", "", "+2026-1", "2026-10 "] {
            assert_eq!(wrong.parse::<Month>(), Err(NotAMonth), "{wrong}");
        }
    }
}
