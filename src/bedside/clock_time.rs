//! From a time as people write it to a moment: `0705`, `07:05`, `2026-11-25 07:05`, or with its offset.
//!
//! A time without a day is one of the day that was named; a time without an offset is what the site's clocks showed, and one
//! with another offset is told as they showed it. In
//! the night on which clocks are changed a time may be shown twice or not at all: it is then asked again, never guessed.

use crate::record::{Date, Moment};
use chrono::{LocalResult, NaiveDateTime, NaiveTime, TimeZone};
use chrono_tz::Tz;

/// What may be typed, for a help sentence.
pub const FORMS: &str = "`0705` or `07:05` for today, or with the day `2026-11-25 07:05`";

/// Returns what may be typed where a time without a day is one of a day that is not today.
pub fn forms(day: Date) -> String {
    format!("`0705` or `07:05` for {day}, or with another day `2026-11-25 07:05`")
}

/// Returns the moment that was meant by `text`; without a day, it is one of `day`.
///
/// # Errors
/// In a sentence: what cannot be understood, or which of two moments must be named.
pub fn moment(text: &str, day: Date, zone: Tz) -> Result<Moment, String> {
    let text = text.trim();
    if let Ok(moment) = text.parse::<Moment>() {
        return Ok(moment.in_zone(zone));
    }
    let not_understood = || format!("`{text}` is no time: write {FORMS}");
    let (day, clock) = match text.split_once([' ', 'T']) {
        Some((day, clock)) => (day.parse::<Date>().map_err(|_| not_understood())?, clock.trim()),
        None => (day, text),
    };
    on_the_wall(day.0.and_time(time_of_day(clock).ok_or_else(not_understood)?), zone)
}

/// Returns the time of a day: two digits of minutes, and of seconds where there are any.
fn time_of_day(text: &str) -> Option<NaiveTime> {
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit()) && !text.is_empty();
    let parts: Vec<&str> = match text.len() {
        3 if digits(text) => vec![text.get(..1)?, text.get(1..)?],
        4 if digits(text) => vec![text.get(..2)?, text.get(2..)?],
        _ => text.split([':', '.']).collect(),
    };
    let (hour, rest) = parts.split_first()?;
    let well_formed = digits(hour) && hour.len() <= 2 && rest.iter().all(|part| digits(part) && part.len() == 2);
    let [minute, second @ ..] = rest else { return None };
    let second = match second {
        [] => "0",
        [second] => second,
        _ => return None,
    };
    let number = |text: &str| text.parse::<u32>().ok();
    NaiveTime::from_hms_opt(number(hour)?, number(minute)?, number(second)?).filter(|_| well_formed)
}

/// Returns the moment at which the clocks of a zone showed a time.
fn on_the_wall(time: NaiveDateTime, zone: Tz) -> Result<Moment, String> {
    let shown = time.format("%H:%M");
    match zone.from_local_datetime(&time) {
        LocalResult::Single(moment) => Ok(Moment(moment.fixed_offset())),
        LocalResult::None => Err(format!(
            "no clock showed {shown} on {}, because the clocks were put forward: write a time before or after that",
            time.date()
        )),
        LocalResult::Ambiguous(first, second) => Err(format!(
            "the clocks showed {shown} twice on {}, because they were put back: write `{}` for the first time or `{}` \
             for the second",
            time.date(),
            Moment(first.fixed_offset()),
            Moment(second.fixed_offset())
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::Europe::Vienna;
    use chrono_tz::{America, Australia};

    fn meant(text: &str) -> Result<String, String> {
        moment(text, "2026-11-25".parse().unwrap(), Vienna).map(|moment| moment.to_string())
    }

    #[test]
    fn times_are_understood_as_people_write_them() {
        for text in ["0705", "705", "07:05", "7:05", "07.05", " 07:05:00 ", "2026-11-25 07:05", "2026-11-25T07:05:00"] {
            assert_eq!(meant(text).as_deref(), Ok("2026-11-25T07:05:00+01:00"), "{text}");
        }
        assert_eq!(meant("07:05:42").as_deref(), Ok("2026-11-25T07:05:42+01:00"));
        assert_eq!(meant("2026-07-01 23:59").as_deref(), Ok("2026-07-01T23:59:00+02:00"));
        assert_eq!(meant("2026-11-25T06:05:00Z").as_deref(), Ok("2026-11-25T07:05:00+01:00"), "told as at the site");
    }

    #[test]
    fn what_is_no_time_is_asked_again() {
        for text in
            ["", "7", "765", "24:00", "0760", "07:5", "07:05:60", "2026-02-30 07:05", "07:05:00:00", "half", "٠٧٠٥"]
        {
            assert!(meant(text).unwrap_err().contains("is no time"), "{text}");
        }
    }

    // The days on which clocks change are those of the IANA time zone database.
    #[test]
    fn the_hour_that_is_skipped_is_no_time() {
        let why = meant("2026-03-29 02:30").unwrap_err();
        assert!(why.contains("no clock showed 02:30 on 2026-03-29"), "{why}");
        assert_eq!(meant("2026-03-29 01:59").as_deref(), Ok("2026-03-29T01:59:00+01:00"));
        assert_eq!(meant("2026-03-29 03:00").as_deref(), Ok("2026-03-29T03:00:00+02:00"));
        assert!(moment("2026-03-08 02:30", "2026-03-08".parse().unwrap(), America::New_York).is_err());
    }

    #[test]
    fn the_hour_that_comes_twice_is_asked_for_with_both_answers() {
        let why = meant("2026-10-25 02:30").unwrap_err();
        for answer in ["2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"] {
            assert!(why.contains(answer), "{why}");
            assert_eq!(meant(answer).as_deref(), Ok(answer));
        }
        // Lord Howe Island turns its clocks by half an hour.
        let lord_howe = |text| moment(text, "2026-04-05".parse().unwrap(), Australia::Lord_Howe);
        assert!(lord_howe("01:45").unwrap_err().contains("twice"));
        assert_eq!(lord_howe("02:15").unwrap().to_string(), "2026-04-05T02:15:00+10:30");
    }
}
