//! Axes: where a value stands on the sheet, and round numbers to read it by.
//!
//! Only the four operations and the square root are used, which give the same digits on every platform.

use chrono::{Datelike, Days, Months, NaiveDate};

/// A scale from values to places on the sheet; it may run downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    pub low: f64,
    pub high: f64,
    /// The places of `low` and `high`.
    pub start: f64,
    pub end: f64,
}

/// A step between round numbers: 1, 2 or 5 times a power of ten.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    digit: i32,
    power: i32,
}

impl Scale {
    /// Returns the place of a value; one beyond the scale stands at its end.
    pub fn at(&self, value: f64) -> f64 {
        let span = self.high - self.low;
        if span <= 0.0 || !value.is_finite() {
            return self.start;
        }
        let share = ((value - self.low) / span).clamp(0.0, 1.0);
        self.start + share * (self.end - self.start)
    }
}

impl Step {
    /// Returns the smallest round step that divides a span into at most so many parts.
    pub fn dividing(span: f64, parts: u32) -> Step {
        let span = sane(span);
        let steps = (-6..=12).flat_map(|power| [1, 2, 5].map(|digit| Step { digit, power }));
        let fits = |step: &Step| step.times(f64::from(parts.max(1))) >= span * (1.0 - 1e-12);
        steps.into_iter().find(fits).unwrap_or(Step { digit: 1, power: 13 })
    }

    /// Returns so many steps.
    pub fn times(self, count: f64) -> f64 {
        let ten = (0..self.power.abs()).fold(1.0, |product, _| product * 10.0);
        let whole = count * f64::from(self.digit);
        if self.power < 0 { whole / ten } else { whole * ten }
    }

    /// Returns the round numbers from `low` to `high`.
    pub fn ticks(self, low: f64, high: f64) -> Vec<f64> {
        let one = self.times(1.0);
        // A difference of rounding must not lose the last one.
        let (first, last) = ((sane(low) / one - 1e-9).ceil(), (sane(high) / one + 1e-9).floor());
        let count = (last - first).clamp(-1.0, 100.0) as i32;
        (0..=count).map(|at| self.times(first + f64::from(at))).map(|tick| tick + 0.0).collect()
    }

    /// Returns a number with the decimals that this step needs.
    pub fn word(self, value: f64) -> String {
        format!("{value:.*}", usize::try_from(-self.power).unwrap_or(0))
    }

    /// Returns the first round number that is not below a value.
    pub fn above(self, value: f64) -> f64 {
        self.times((sane(value) / self.times(1.0) - 1e-9).ceil())
    }
}

/// Returns a number that can be drawn: no infinity, nothing so large that its words would not end.
pub fn sane(value: f64) -> f64 {
    if value.is_nan() { 0.0 } else { value.clamp(-1e12, 1e12) }
}

/// Returns how far an axis from zero must reach: to every value, and to most ends of the intervals.
///
/// One month with a single check has an interval of nearly everything; it must not press all others flat.
/// An interval that reaches further is drawn with an arrow.
pub fn reach(values: impl IntoIterator<Item = f64>, ends: impl IntoIterator<Item = f64>) -> f64 {
    let value = values.into_iter().map(sane).fold(0.0, f64::max);
    let mut ends: Vec<f64> = ends.into_iter().map(sane).collect();
    ends.sort_by(f64::total_cmp);
    let most = ends.get((ends.len() * 3) / 4).copied().unwrap_or(0.0);
    let all = ends.last().copied().unwrap_or(0.0);
    let enough = most.max(value * 1.05);
    if all <= enough * 1.5 { all.max(enough) } else { enough }
}

/// Returns dates to read an axis by, as days from its start, with their words: every week of a short axis, every
/// month, quarter or year of a longer one. The year stands with the first and with each January.
pub fn dates(start: NaiveDate, days: f64) -> Vec<(f64, String)> {
    let days = sane(days).clamp(0.0, 200_000.0);
    let end = start.checked_add_days(Days::new(days as u64)).unwrap_or(NaiveDate::MAX);
    let apart = |date: NaiveDate| date.signed_duration_since(start).num_days() as f64;
    if days <= 62.0 {
        let step = if days <= 14.0 { 1 } else { 7 };
        let weeks = start.iter_days().step_by(step).take_while(|date| *date <= end);
        let words = |(at, date): (usize, NaiveDate)| {
            let year = if at == 0 { format!(" {}", date.year()) } else { String::new() };
            (apart(date), format!("{} {}{year}", date.day(), month(date)))
        };
        return weeks.enumerate().map(words).collect();
    }
    let every = if days <= 430.0 {
        1
    } else if days <= 1300.0 {
        3
    } else {
        12
    };
    let months = (0..u32::try_from(days as u64 / 28 + 2).unwrap_or(0))
        .map_while(|count| start.with_day(1)?.checked_add_months(Months::new(count)).filter(|date| *date <= end));
    let firsts = months.filter(|date| *date >= start && date.month0() % every == 0);
    let words = |(at, date): (usize, NaiveDate)| {
        let year = if at == 0 || date.month() == 1 { format!(" {}", date.year()) } else { String::new() };
        (apart(date), format!("{}{year}", month(date)))
    };
    firsts.enumerate().map(words).collect()
}

fn month(date: NaiveDate) -> &'static str {
    const NAMES: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    NAMES[date.month0() as usize % 12]
}

#[cfg(test)]
mod tests {
    use super::{Scale, Step, dates, reach};

    #[test]
    fn steps_are_round_and_few() {
        for (span, parts, step, last) in
            [(7.3, 4, 2.0, 6.0), (0.031, 4, 0.01, 0.03), (100.0, 5, 20.0, 100.0), (1.0, 5, 0.2, 1.0)]
        {
            let found = Step::dividing(span, parts);
            assert_eq!(found.times(1.0), step, "{span}");
            assert_eq!(found.ticks(0.0, span).last(), Some(&last), "{span}");
        }
        assert_eq!(Step::dividing(0.3, 3).word(0.2), "0.2");
        assert_eq!(Step::dividing(40.0, 4).word(30.0), "30");
    }

    #[test]
    fn odd_spans_have_ticks_that_end() {
        for span in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e300, 1e-300] {
            assert!(Step::dividing(span, 4).ticks(0.0, span).len() <= 101);
        }
        assert_eq!(Scale { low: 1.0, high: 1.0, start: 3.0, end: 9.0 }.at(5.0), 3.0);
    }

    #[test]
    fn one_wide_interval_does_not_decide_the_axis() {
        assert_eq!(reach([1.0, 2.0], [5.0, 6.0, 6.0, 97.5]), 97.5);
        assert_eq!(reach([1.0, 2.0], [5.0, 6.0, 6.0, 6.0, 97.5]), 6.0);
        assert_eq!(reach([20.0], [6.0]), 21.0);
        assert_eq!(reach([], []), 0.0);
    }

    #[test]
    fn dates_are_as_far_apart_as_the_axis_is_long() {
        let start = chrono::NaiveDate::from_ymd_opt(2026, 10, 3).unwrap();
        let words = |days: f64| dates(start, days).into_iter().map(|(_, words)| words).collect::<Vec<_>>();
        assert_eq!(words(15.0), ["3 Oct 2026", "10 Oct", "17 Oct"]);
        assert_eq!(words(120.0), ["Nov 2026", "Dec", "Jan 2027"]);
        assert_eq!(words(500.0), ["Jan 2027", "Apr", "Jul", "Oct", "Jan 2028"]);
        assert_eq!(words(2000.0), ["Jan 2027", "Jan 2028", "Jan 2029", "Jan 2030", "Jan 2031", "Jan 2032"]);
        assert_eq!(dates(start, 120.0)[0].0, 29.0);
        assert_eq!(words(f64::NAN), ["3 Oct 2026"]);
    }
}
