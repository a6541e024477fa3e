//! The hours of the invented hospital: moments in its zone, working days, public holidays.
//!
//! Takes dates and seconds since midnight and gives moments with the offset the clock on the wall had. Knows nothing
//! of machines.

use crate::record::Moment;
use chrono::{Datelike, Days, Duration, NaiveDate, NaiveTime, TimeZone, Timelike, Weekday};
use chrono_tz::Tz;

/// The zone of the demo's hospital.
pub const ZONE: Tz = chrono_tz::Europe::Vienna;

/// Returns the moment of a day and a time in seconds since midnight.
///
/// A time that the clocks skip is taken an hour later, as people do.
pub fn at(day: NaiveDate, seconds: i64) -> Moment {
    let wall = day.and_time(NaiveTime::MIN) + Duration::seconds(seconds);
    let local = ZONE.from_local_datetime(&wall).earliest();
    let local = local.or_else(|| ZONE.from_local_datetime(&(wall + Duration::hours(1))).earliest());
    local.map_or_else(|| Moment(wall.and_utc().fixed_offset()), |time| Moment(time.fixed_offset()))
}

/// Returns the moment so many seconds after another.
pub fn after(moment: Moment, seconds: i64) -> Moment {
    Moment(moment.0 + Duration::seconds(seconds)).in_zone(ZONE)
}

/// Returns the civil day of a moment.
pub fn day(moment: Moment) -> NaiveDate {
    moment.date_in(ZONE)
}

/// Returns the seconds since midnight that the clock on the wall shows.
pub fn of_day(moment: Moment) -> i64 {
    i64::from(moment.0.with_timezone(&ZONE).num_seconds_from_midnight())
}

/// Returns hours and minutes as seconds since midnight.
pub const fn hm(hours: i64, minutes: i64) -> i64 {
    hours * 3600 + minutes * 60
}

/// Returns a day so many days later, or earlier when negative.
pub fn days_later(day: NaiveDate, days: i64) -> NaiveDate {
    let step = Days::new(days.unsigned_abs());
    let moved = if days < 0 { day.checked_sub_days(step) } else { day.checked_add_days(step) };
    moved.unwrap_or(day)
}

/// Returns the first day of the month that lies so many months before that of a day.
pub fn months_before(day: NaiveDate, months: u32) -> NaiveDate {
    let first = day.with_day(1).unwrap_or(day);
    first.checked_sub_months(chrono::Months::new(months)).unwrap_or(first)
}

/// Returns the first day from this one on that is a Monday.
pub fn monday_from(day: NaiveDate) -> NaiveDate {
    let ahead = (7 - day.weekday().num_days_from_monday()) % 7;
    days_later(day, i64::from(ahead))
}

/// Returns whether the hospital's office and workshop work on a day.
pub fn is_working_day(day: NaiveDate) -> bool {
    !matches!(day.weekday(), Weekday::Sat | Weekday::Sun) && holidays(day.year()).iter().all(|(on, _)| *on != day)
}

/// Returns the first working day after a day.
pub fn next_working_day(day: NaiveDate) -> NaiveDate {
    (1..30).map(|n| days_later(day, n)).find(|d| is_working_day(*d)).unwrap_or(day)
}

/// Returns the first moment from this one on at which the workshop works, which it does from 07:30 until `latest`.
pub fn in_workshop(moment: Moment, latest: i64) -> Moment {
    let (date, time) = (day(moment), of_day(moment));
    match (is_working_day(date), time) {
        (true, ..27_000) => at(date, hm(7, 30) + time % 900),
        (true, _) if time <= latest => moment,
        _ => at(next_working_day(date), hm(7, 30) + time % 2700),
    }
}

/// Returns the days of a year on which there are no planned lists, with their names.
pub fn holidays(year: i32) -> Vec<(NaiveDate, &'static str)> {
    let fixed = [
        (1, 1, "New Year"),
        (1, 6, "Epiphany"),
        (5, 1, "First of May"),
        (8, 15, "Assumption Day"),
        (10, 26, "national day"),
        (11, 1, "All Saints"),
        (12, 8, "public holiday"),
        (12, 24, "Christmas Eve, no planned lists"),
        (12, 25, "Christmas"),
        (12, 26, "Christmas"),
        (12, 31, "New Year's Eve, no planned lists"),
    ];
    let mut days: Vec<(NaiveDate, &'static str)> = fixed
        .iter()
        .filter_map(|(month, day, name)| Some((NaiveDate::from_ymd_opt(year, *month, *day)?, *name)))
        .collect();
    if let Some(easter) = easter(year) {
        for (later, name) in [(1, "Easter Monday"), (39, "Ascension Day"), (50, "Whit Monday"), (60, "public holiday")]
        {
            days.push((days_later(easter, later), name));
        }
    }
    days.sort_unstable();
    days.dedup_by_key(|(day, _)| *day);
    days
}

/// Returns Easter Sunday by the anonymous Gregorian computus.
fn easter(year: i32) -> Option<NaiveDate> {
    let a = year % 19;
    let (b, c) = (year / 100, year % 100);
    let (d, e) = (b / 4, b % 4);
    let f = (b + 8) / 25;
    let g = (b - f + 1) / 3;
    let h = (19 * a + b - d - g + 15) % 30;
    let (i, k) = (c / 4, c % 4);
    let l = (32 + 2 * e + 2 * i - h - k) % 7;
    let m = (a + 11 * h + 22 * l) / 451;
    let n = h + l - 7 * m + 114;
    NaiveDate::from_ymd_opt(year, u32::try_from(n / 31).ok()?, u32::try_from(n % 31 + 1).ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn easter_falls_where_almanacs_put_it() {
        for known in ["2024-03-31", "2025-04-20", "2026-04-05", "2027-03-28", "2038-04-25"] {
            assert_eq!(easter(date(known).year()), Some(date(known)));
        }
    }

    #[test]
    fn the_workshop_opens_in_the_morning_and_not_on_holidays() {
        let evening = at(date("2026-10-23"), hm(18, 0));
        assert_eq!(day(in_workshop(evening, hm(16, 0))), date("2026-10-27"));
        let noon = at(date("2026-10-23"), hm(12, 0));
        assert_eq!(in_workshop(noon, hm(16, 0)), noon);
    }

    #[test]
    fn a_skipped_hour_and_offsets_of_summer_and_winter() {
        assert_eq!(at(date("2026-03-29"), hm(2, 30)).to_string(), "2026-03-29T03:30:00+02:00");
        assert_eq!(at(date("2026-11-25"), hm(6, 30)).to_string(), "2026-11-25T06:30:00+01:00");
    }
}
