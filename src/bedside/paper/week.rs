//! The days that a sheet is for: a day or a week, named or left open.

use crate::record::Date;
use chrono::{Days, NaiveDate, Weekday};

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span {
    Day(Option<Date>),
    Week(Option<Week>),
}

/// A week that begins on Monday.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Week {
    monday: NaiveDate,
}

impl Week {
    /// Returns the week named as ISO 8601 does, `2026-W48`; nothing when there is none of that name.
    pub fn named(text: &str) -> Option<Week> {
        let (year, week) = text.split_once("-W")?;
        let digits = |text: &str, count| text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit());
        if !digits(year, 4) || !digits(week, 2) {
            return None;
        }
        let monday = NaiveDate::from_isoywd_opt(year.parse().ok()?, week.parse().ok()?, Weekday::Mon)?;
        Some(Week { monday })
    }

    /// Returns its name: `2026-W48`.
    pub fn name(self) -> String {
        self.monday.format("%G-W%V").to_string()
    }

    /// Returns its seven days, Monday first.
    pub fn days(self) -> Vec<Date> {
        (0..7).filter_map(|day| self.monday.checked_add_days(Days::new(day))).map(Date).collect()
    }
}

impl Span {
    /// Returns the first and the last day; nothing when they are left open.
    pub fn ends(self) -> Option<(Date, Date)> {
        match self {
            Span::Day(day) => day.map(|day| (day, day)),
            Span::Week(week) => week.and_then(|week| Some((*week.days().first()?, *week.days().last()?))),
        }
    }

    /// Returns the last part of a file's name: `day`, `2026-11-26`, `week`, `2026-W48`.
    pub fn name(self) -> String {
        match self {
            Span::Day(None) => "day".to_owned(),
            Span::Day(Some(day)) => day.to_string(),
            Span::Week(None) => "week".to_owned(),
            Span::Week(Some(week)) => week.name(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_weeks_that_exist_have_a_name() {
        for name in ["2026-W01", "2026-W48", "2026-W53", "2020-W53"] {
            assert_eq!(Week::named(name).map(Week::name).as_deref(), Some(name));
        }
        for text in ["2025-W53", "2026-W00", "2026-W54", "2026-w48", "2026-48", "26-W48", "2026-W4", "2026-W+8", ""] {
            assert_eq!(Week::named(text), None, "{text}");
        }
    }
}
