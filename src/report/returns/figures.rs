//! Times and shares in digits and words: hours for scripts, hours and days for people.
//!
//! Takes estimates in seconds, gives figures and the cells of a table. A limit is rounded outward, once, here: a lower
//! one down, an upper one up, and what is "more than" a time down. What the data cannot tell says so.

use super::super::document::Figure;
use super::estimates::{Bounded, Time};
use crate::record::moment::spoken;
use crate::statistics::rounding::percent_outward;
use crate::statistics::survival::{Quantile, ShareEnded};

/// What stands where the data give no limit or no estimate.
pub const TOO_LITTLE_DATA: &str = "too little data";

/// Returns seconds as hours with one decimal, rounded half to even on whole tenths.
pub fn hours(seconds: i64) -> String {
    let (tenths, rest) = (seconds / 360, seconds % 360);
    let up = rest > 180 || (rest == 180 && tenths % 2 == 1);
    tenths_of_hours(tenths + i64::from(up))
}

fn hours_down(seconds: i64) -> String {
    tenths_of_hours(seconds.div_euclid(360))
}

fn hours_up(seconds: i64) -> String {
    tenths_of_hours(seconds.div_euclid(360) + i64::from(seconds.rem_euclid(360) > 0))
}

fn tenths_of_hours(tenths: i64) -> String {
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// Returns seconds in words, rounded up to the last unit that is spoken.
fn spoken_up(seconds: i64) -> String {
    let unit = match seconds {
        ..60 => 1,
        60..172_800 => 60,
        _ => 3600,
    };
    spoken(seconds.saturating_add((unit - seconds.rem_euclid(unit)) % unit))
}

/// Returns a time that was reached, or not, in words.
pub fn words(quantile: Quantile) -> String {
    match quantile {
        Quantile::At(seconds) => spoken(seconds),
        Quantile::MoreThan(seconds) => format!("more than {}", spoken(seconds)),
        Quantile::NoData => TOO_LITTLE_DATA.to_owned(),
    }
}

fn upper_words(quantile: Quantile) -> String {
    match quantile {
        Quantile::At(seconds) => spoken_up(seconds),
        other => words(other),
    }
}

/// Returns the limits of a time: `95 % interval 2 h to 3 d 4 h`, `95 % interval 2 h to more than 30 d`.
pub fn interval_words(time: Time) -> String {
    match (time.lower, time.upper) {
        (Quantile::NoData, _) | (_, Quantile::NoData) => "its limits could not be told".to_owned(),
        (Quantile::MoreThan(seconds), Quantile::MoreThan(_)) => format!("95 % interval more than {}", spoken(seconds)),
        (lower, upper) => format!("95 % interval {} to {}", words(lower), upper_words(upper)),
    }
}

/// Returns the cells of a time: estimate, lower limit, upper limit.
pub fn time_cells(time: Time) -> [String; 3] {
    let estimate = match time.at {
        Quantile::At(seconds) => format!("{} ({} h)", spoken(seconds), hours(seconds)),
        Quantile::MoreThan(seconds) => format!("more than {} ({} h)", spoken(seconds), hours_down(seconds)),
        Quantile::NoData => TOO_LITTLE_DATA.to_owned(),
    };
    [estimate, words(time.lower), upper_words(time.upper)]
}

/// Returns the cells of a mean: estimate, lower limit, upper limit.
pub fn mean_cells(mean: Bounded) -> [String; 3] {
    let estimate = format!("{} ({} h)", spoken(mean.seconds), hours(mean.seconds));
    match mean.limits {
        Some((lower, upper)) => [estimate, spoken(lower), spoken_up(upper)],
        None => [estimate, TOO_LITTLE_DATA.to_owned(), TOO_LITTLE_DATA.to_owned()],
    }
}

/// Returns a share in percent with one decimal.
pub fn share_percent(share: f64) -> String {
    format!("{:.1}", share * 100.0)
}

/// Returns the cells of a share: estimate, lower limit, upper limit.
pub fn share_cells(share: ShareEnded) -> [String; 3] {
    let estimate = format!("{} %", share_percent(share.share));
    match share.interval.map(|interval| percent_outward(interval, 1)) {
        Some((lower, upper)) => [estimate, format!("{lower} %"), format!("{upper} %")],
        None => [estimate, TOO_LITTLE_DATA.to_owned(), TOO_LITTLE_DATA.to_owned()],
    }
}

/// What every figure of the section shares: how many faults it looks at, and what it says of itself.
pub struct Frame {
    pub name: &'static str,
    pub k: Option<usize>,
    pub n: usize,
    pub unit: &'static str,
    pub note: String,
}

impl Frame {
    fn figure(self, state: &str) -> Figure {
        Figure {
            figure: self.name.to_owned(),
            of: "all".to_owned(),
            k: self.k.map(|k| k as u64),
            n: Some(self.n as u64),
            value: None,
            unit: self.unit.to_owned(),
            lower: None,
            upper: None,
            state: state.to_owned(),
            note: self.note,
        }
    }

    /// Returns the figure without a number: nothing was found, or too little.
    pub fn without(self) -> Figure {
        let state = if self.n == 0 { "not-recorded" } else { "too-little-data" };
        self.figure(state)
    }

    /// Returns the figure as one that the hospital has not asked for.
    pub fn not_recorded(self) -> Figure {
        self.figure("not-recorded")
    }

    /// Returns the figure of a time.
    pub fn time(self, time: Option<Time>) -> Figure {
        let Some(time) = time else { return self.without() };
        let (value, state) = match time.at {
            Quantile::At(seconds) => (hours(seconds), "value"),
            Quantile::MoreThan(seconds) => (hours_down(seconds), "more-than"),
            Quantile::NoData => return self.without(),
        };
        let lower = match time.lower {
            Quantile::At(seconds) | Quantile::MoreThan(seconds) => Some(hours_down(seconds)),
            Quantile::NoData => None,
        };
        let upper = match time.upper {
            Quantile::At(seconds) => Some(hours_up(seconds)),
            Quantile::MoreThan(_) | Quantile::NoData => None,
        };
        Figure { value: Some(value), lower, upper, ..self.figure(state) }
    }

    /// Returns the figure of a mean.
    pub fn mean(self, mean: Option<Bounded>) -> Figure {
        let Some(mean) = mean else { return self.without() };
        let (lower, upper) = mean.limits.map(|(lower, upper)| (hours_down(lower), hours_up(upper))).unzip();
        Figure { value: Some(hours(mean.seconds)), lower, upper, ..self.figure("value") }
    }

    /// Returns the figure of a share.
    pub fn share(self, share: Option<ShareEnded>) -> Figure {
        let Some(share) = share else { return self.without() };
        let (lower, upper) = share.interval.map(|interval| percent_outward(interval, 1)).unzip();
        Figure { value: Some(share_percent(share.share)), lower, upper, ..self.figure("value") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_rounded_outward_and_estimates_to_the_nearest() {
        // 359 s are just below a tenth of an hour, 361 s just above.
        assert_eq!((hours(359), hours_down(359), hours_up(359)), ("0.1".into(), "0.0".into(), "0.1".into()));
        assert_eq!((hours(361), hours_down(361), hours_up(361)), ("0.1".into(), "0.1".into(), "0.2".into()));
        assert_eq!((hours(540), hours(900)), ("0.2".into(), "0.2".into()));
        assert_eq!((spoken(61), spoken_up(61), spoken_up(60)), ("1 min".into(), "2 min".into(), "1 min".into()));
        assert_eq!((spoken_up(172_801), spoken_up(172_800)), ("2 d 1 h".into(), "2 d".into()));
    }

    #[test]
    fn an_interval_says_what_it_does_not_know() {
        let time = |lower, upper| Time { at: Quantile::At(7200), lower, upper };
        let (at, more, none) = (Quantile::At, Quantile::MoreThan, Quantile::NoData);
        assert_eq!(interval_words(time(at(3600), at(7201))), "95 % interval 1 h to 2 h 1 min");
        assert_eq!(interval_words(time(at(3600), more(7201))), "95 % interval 1 h to more than 2 h");
        assert_eq!(interval_words(time(more(7200), more(7200))), "95 % interval more than 2 h");
        assert_eq!(interval_words(time(none, at(7200))), "its limits could not be told");
    }
}
