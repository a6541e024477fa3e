//! When: moments with their offset, and civil dates.
//!
//! A moment is written as RFC 3339 with seconds and an offset, so that a record says both the instant and what the
//! clock on the wall showed. Civil days are counted in the site's time zone.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::Tz;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// Two clocks in one hospital may differ by this many seconds.
pub const CLOCKS_DIFFER: i64 = 5 * 60;

/// A moment with the offset it was written in. Two moments compare as instants.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(pub DateTime<FixedOffset>);

impl Moment {
    /// Returns the civil date on the wall of a time zone.
    pub fn date_in(self, zone: Tz) -> NaiveDate {
        self.0.with_timezone(&zone).date_naive()
    }

    /// Returns the same instant in the offset of a time zone.
    pub fn in_zone(self, zone: Tz) -> Moment {
        Moment(self.0.with_timezone(&zone).fixed_offset())
    }

    /// Returns the seconds from another moment to this one; negative when this one is earlier.
    pub fn seconds_since(self, earlier: Moment) -> i64 {
        (self.0 - earlier.0).num_seconds()
    }

    /// Returns date and time to the minute, as people write them: `2026-11-25 06:42`.
    pub fn short(self) -> String {
        self.0.format("%Y-%m-%d %H:%M").to_string()
    }
}

/// Returns the first moment of a civil day in a time zone.
///
/// Where the clocks skip midnight, that is the first moment that exists after it.
pub fn start_of_day(date: NaiveDate, zone: Tz) -> Moment {
    let midnight = date.and_time(NaiveTime::MIN);
    (0..24 * 4)
        .find_map(|quarter| zone.from_local_datetime(&(midnight + chrono::Duration::minutes(15 * quarter))).earliest())
        .map_or_else(|| Moment(midnight.and_utc().fixed_offset()), |t| Moment(t.fixed_offset()))
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%Y-%m-%dT%H:%M:%S%:z"))
    }
}

impl fmt::Debug for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// A text is not a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAMoment;

impl fmt::Display for NotAMoment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not a date and time with its offset, such as 2026-11-25T06:42:10+01:00")
    }
}

impl std::error::Error for NotAMoment {}

impl FromStr for Moment {
    type Err = NotAMoment;

    /// Takes only the canonical form: chrono alone also takes a leap second, a blank for `T` and lower case.
    fn from_str(text: &str) -> Result<Moment, NotAMoment> {
        let moment = Moment(DateTime::parse_from_rfc3339(text).map_err(|_| NotAMoment)?);
        // chrono keeps a leap second as nanoseconds past the 59th; no clock in a theatre shows one.
        if moment.0.timestamp_subsec_nanos() != 0 {
            return Err(NotAMoment);
        }
        let canonical = moment.to_string();
        let utc = canonical.strip_suffix("+00:00").map(|front| format!("{front}Z"));
        if text == canonical || Some(text) == utc.as_deref() { Ok(moment) } else { Err(NotAMoment) }
    }
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Moment {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Moment, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

/// A civil date, `2026-11-25`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(pub NaiveDate);

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%Y-%m-%d"))
    }
}

impl fmt::Debug for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl FromStr for Date {
    type Err = NotADate;

    fn from_str(text: &str) -> Result<Date, NotADate> {
        let date = Date(NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| NotADate)?);
        if date.to_string() == text { Ok(date) } else { Err(NotADate) }
    }
}

/// A text is not a date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotADate;

impl fmt::Display for NotADate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not a date such as 2026-11-25")
    }
}

impl std::error::Error for NotADate {}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Date, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

/// Returns a number of seconds as people say it: `45 min`, `6 h 20 min`, `3 d 4 h`.
pub fn spoken(seconds: i64) -> String {
    let minutes = seconds / 60;
    match minutes {
        ..1 => format!("{seconds} s"),
        1..60 => format!("{minutes} min"),
        60..2880 if minutes % 60 == 0 => format!("{} h", minutes / 60),
        60..2880 => format!("{} h {} min", minutes / 60, minutes % 60),
        _ if (minutes / 60) % 24 == 0 => format!("{} d", minutes / 1440),
        _ => format!("{} d {} h", minutes / 1440, (minutes / 60) % 24),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_canonical_form_is_a_moment() {
        for good in ["2026-11-25T06:42:10+01:00", "2026-11-25T05:42:10Z", "2026-11-25T05:42:10+00:00"] {
            assert!(good.parse::<Moment>().is_ok(), "{good}");
        }
        for bad in [
            "2026-11-25 06:42:10+01:00",
            "2026-11-25T06:42:60+01:00",
            "2026-11-25t06:42:10+01:00",
            "2026-11-25T06:42:10",
            "2026-02-30T06:42:10+01:00",
            "2026-11-25T06:42:10.5+01:00",
        ] {
            assert_eq!(bad.parse::<Moment>(), Err(NotAMoment), "{bad}");
        }
    }

    #[test]
    fn a_day_begins_even_where_midnight_is_skipped() {
        // Cairo moved its clocks from 00:00 to 01:00 on 2024-04-26 (IANA time zone database).
        let date = NaiveDate::from_ymd_opt(2024, 4, 26).unwrap();
        assert_eq!(start_of_day(date, chrono_tz::Africa::Cairo).to_string(), "2024-04-26T01:00:00+03:00");
    }

    #[test]
    fn durations_are_spoken() {
        assert_eq!(spoken(42), "42 s");
        assert_eq!(spoken(22_800), "6 h 20 min");
        assert_eq!(spoken(3 * 86_400 + 4 * 3600 + 59), "3 d 4 h");
    }
}
