//! The period of a report: civil days in the site's time zone, from a first one up to and without another.
//!
//! A month, a quarter and a year are periods like any other and have short names. The name is worked out from the days,
//! so that one period has one name, however it was asked for.

use crate::record::Date;
use chrono::{Datelike, Months, NaiveDate};

/// The days from `first` up to and without `after`; at least one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Period {
    pub first: Date,
    pub after: Date,
}

/// What stands between the two ends of a period that has no short name.
const TO: &str = "..";

impl Period {
    /// Returns the part of it from a day on; nothing when it is over before that day.
    pub fn covered_since(self, since: Date) -> Option<Period> {
        let first = self.first.max(since);
        (first < self.after).then_some(Period { first, ..self })
    }

    /// Returns the period of a name: `2026-10`, `2026-Q3`, `2026`, `2026-10-15`, `2026-02..2026-07`,
    /// `2026-02-10..2026-03-09`.
    ///
    /// Nothing for any other text, and for a span that ends before it begins. Both ends of a span belong to it.
    pub fn named(text: &str) -> Option<Period> {
        let end = |text| Period::short(text).or_else(|| Period::day(text));
        let Some((from, to)) = text.split_once(TO) else { return end(text) };
        let period = Period { first: end(from)?.first, after: end(to)?.after };
        (period.first < period.after).then_some(period)
    }

    /// Returns the period of a name without two ends.
    fn short(text: &str) -> Option<Period> {
        let digits = |text: &str, n: usize| text.len() == n && text.bytes().all(|b| b.is_ascii_digit());
        let (year, part) = text.split_once('-').map_or((text, None), |(year, part)| (year, Some(part)));
        if !digits(year, 4) {
            return None;
        }
        let year = year.parse().ok()?;
        match part {
            None => Period::months(year, 1, 12),
            Some(quarter) if quarter.starts_with('Q') => match quarter {
                "Q1" => Period::months(year, 1, 3),
                "Q2" => Period::months(year, 4, 3),
                "Q3" => Period::months(year, 7, 3),
                "Q4" => Period::months(year, 10, 3),
                _ => None,
            },
            Some(month) if digits(month, 2) => Period::months(year, month.parse().ok()?, 1),
            Some(_) => None,
        }
    }

    fn day(text: &str) -> Option<Period> {
        let first: Date = text.parse().ok()?;
        Some(Period { first, after: Date(first.0.succ_opt()?) })
    }

    fn months(year: i32, month: u32, count: u32) -> Option<Period> {
        let first = NaiveDate::from_ymd_opt(year, month, 1)?;
        Some(Period { first: Date(first), after: Date(first.checked_add_months(Months::new(count))?) })
    }

    /// Returns the month a day lies in.
    pub fn month_of(date: Date) -> Option<Period> {
        Period::months(date.0.year(), date.0.month(), 1)
    }

    /// Returns the month before the one that holds the first day.
    pub fn month_before(self) -> Option<Period> {
        let first = NaiveDate::from_ymd_opt(self.first.0.year(), self.first.0.month(), 1)?;
        Period::month_of(Date(first.pred_opt()?))
    }

    /// Returns the days from 1 January of the last day's year to the end of the period.
    pub fn year_to_date(self) -> Period {
        let new_year = NaiveDate::from_ymd_opt(self.last().0.year(), 1, 1).unwrap_or(self.first.0);
        Period { first: Date(new_year), after: self.after }
    }

    /// Returns the twelve months that end with the period.
    pub fn twelve_months(self) -> Period {
        Period { first: months_earlier(self.after, 12), after: self.after }
    }

    /// Returns the twelve months that end where the period begins.
    pub fn twelve_months_before(self) -> Period {
        Period { first: months_earlier(self.first, 12), after: self.first }
    }

    /// Returns the thirteen months up to and with the one that holds the last day, the oldest first.
    pub fn thirteen_months(self) -> Vec<Period> {
        let mut months: Vec<Period> =
            std::iter::successors(Period::month_of(self.last()), |month| month.month_before()).take(13).collect();
        months.reverse();
        months
    }

    /// Returns whether it is one calendar month.
    pub fn is_month(self) -> bool {
        Period::month_of(self.first) == Some(self)
    }

    /// Returns whether a day lies in it.
    pub fn contains(self, date: Date) -> bool {
        self.first <= date && date < self.after
    }

    /// Returns how many days it has.
    pub fn days(self) -> i64 {
        self.after.0.signed_duration_since(self.first.0).num_days()
    }

    /// Returns the last day.
    pub fn last(self) -> Date {
        Date(self.after.0.pred_opt().unwrap_or(self.first.0))
    }

    /// Returns the name it is asked for by, which is also the stem of the report's files.
    pub fn name(self) -> String {
        let (year, month) = (self.first.0.year(), self.first.0.month());
        if Some(self) == Period::months(year, 1, 12) {
            return format!("{year:04}");
        }
        if month % 3 == 1 && Some(self) == Period::months(year, month, 3) {
            return format!("{year:04}-Q{}", month / 3 + 1);
        }
        if self.days() == 1 {
            return self.first.to_string();
        }
        let [from, to] = match self.whole_months() {
            Some((first, last)) if first == last => return first.format("%Y-%m").to_string(),
            Some((first, last)) => [first, last].map(|day| day.format("%Y-%m").to_string()),
            None => [self.first, self.last()].map(|day| day.to_string()),
        };
        format!("{from}{TO}{to}")
    }

    /// Returns it in words, to stand after "in": `October 2026`, `July to September 2026`, `2026`.
    pub fn words(self) -> String {
        let year = self.first.0.year();
        let same_year = year == self.last().0.year();
        if Some(self) == Period::months(year, 1, 12) {
            return format!("{year:04}");
        }
        let (from, to, with_year, without) = match self.whole_months() {
            Some((first, last)) if first == last => return first.format("%B %Y").to_string(),
            Some((first, last)) => (first, last, "%B %Y", "%B"),
            None => (self.first.0, self.last().0, "%-d %B %Y", "%-d %B"),
        };
        if from == to {
            return from.format(with_year).to_string();
        }
        format!("{} to {}", from.format(if same_year { without } else { with_year }), to.format(with_year))
    }

    /// Returns the first day of its first and of its last month, when it has no other month's part.
    fn whole_months(self) -> Option<(NaiveDate, NaiveDate)> {
        let last = Period::month_of(self.last())?;
        (self.first.0.day() == 1 && self.after == last.after).then_some((self.first.0, last.first.0))
    }
}

/// Returns the day so many months before; the last of a month that has not as many days.
fn months_earlier(date: Date, months: u32) -> Date {
    Date(date.0.checked_sub_months(Months::new(months)).unwrap_or(date.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn periods_have_one_name_and_their_days() {
        for (asked, name, words, first, last) in [
            ("2026-10", "2026-10", "October 2026", "2026-10-01", "2026-10-31"),
            ("2026-Q3", "2026-Q3", "July to September 2026", "2026-07-01", "2026-09-30"),
            ("2026-07..2026-09", "2026-Q3", "July to September 2026", "2026-07-01", "2026-09-30"),
            ("2026", "2026", "2026", "2026-01-01", "2026-12-31"),
            ("2026-Q1..2026-Q4", "2026", "2026", "2026-01-01", "2026-12-31"),
            ("2024-02-01..2024-02-29", "2024-02", "February 2024", "2024-02-01", "2024-02-29"),
            ("2025-11..2026-02", "2025-11..2026-02", "November 2025 to February 2026", "2025-11-01", "2026-02-28"),
            ("2026-08..2026-10", "2026-08..2026-10", "August to October 2026", "2026-08-01", "2026-10-31"),
            (
                "2026-02-10..2026-03-09",
                "2026-02-10..2026-03-09",
                "10 February to 9 March 2026",
                "2026-02-10",
                "2026-03-09",
            ),
            ("2026-03-31..2026-03-31", "2026-03-31", "31 March 2026", "2026-03-31", "2026-03-31"),
            (
                "2025..2026-03-09",
                "2025-01-01..2026-03-09",
                "1 January 2025 to 9 March 2026",
                "2025-01-01",
                "2026-03-09",
            ),
        ] {
            let period = Period::named(asked).unwrap();
            assert_eq!((period.name().as_str(), period.words().as_str()), (name, words), "{asked}");
            assert_eq!((period.first.to_string(), period.last().to_string()), (first.to_owned(), last.to_owned()));
            assert_eq!(Period::named(&period.name()), Some(period));
        }
    }

    #[test]
    fn other_texts_are_no_periods() {
        for wrong in [
            "2026-13",
            "2026-1",
            "26-10",
            "october",
            "+026-10",
            "",
            "..",
            "2026..",
            "..2026",
            "2026-Q5",
            "2026-q3",
            "2026-Q",
            "2026-10..2026-09",
            "2026-02-30..2026-03-01",
            "2026..2027..2028",
            "2026-",
        ] {
            assert!(Period::named(wrong).is_none(), "{wrong}");
        }
    }

    #[test]
    fn a_period_has_months_around_it() {
        let october = Period::named("2026-10").unwrap();
        assert_eq!(october.twelve_months().name(), "2025-11..2026-10");
        assert_eq!(october.twelve_months_before().name(), "2025-10..2026-09");
        assert_eq!(october.year_to_date().name(), "2026-01..2026-10");
        let thirteen: Vec<String> = october.thirteen_months().into_iter().map(Period::name).collect();
        assert_eq!((thirteen.len(), thirteen[0].as_str(), thirteen[12].as_str()), (13, "2025-10", "2026-10"));
        assert_eq!(Period::named("2026-01").unwrap().month_before().unwrap().name(), "2025-12");
        assert_eq!(Period::named("2026-02-10..2026-03-09").unwrap().year_to_date().name(), "2026-01-01..2026-03-09");
        assert_eq!(Period::named("2026-03-31..2026-03-31").unwrap().days(), 1);
    }
}
