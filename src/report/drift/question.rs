//! One question: do the readings of a series drift toward one bound of a limit, and when would they reach it?
//!
//! Takes a series and a bound. A series is cut where the machine was changed; only the readings after the last cut answer.
//! How sure a trend must be depends on how many questions a report asks, so that [`Question::conclude`] comes second.

use super::series::{Change, Reading, Series, Why};
use crate::record::{Date, Moment, Quantity};
use crate::register::Limit;
use crate::report::proportion::CONFIDENCE;
use crate::statistics::serial::widened;
use crate::statistics::slope::{Crossing, NotDated, Slope, crossing, theil_sen};
use chrono::Duration;

/// The fewest readings since the last cut that can show a drift.
pub const FEWEST_READINGS: usize = 8;

/// The fewest days between the first and the last of them.
pub const FEWEST_DAYS: i64 = 28;

/// The share of the limit that a step to the safe side must exceed to cut a series.
const STEP: f64 = 0.2;

/// How often such a step must exceed the usual one from one reading to the next. Readings that scatter widely step that
/// far by chance, and a row that begins at each of its low points would seem to rise.
const STEP_IN_USUAL_ONES: f64 = 5.0;

/// What the arithmetic of a crossing may miss, in days; it must not turn a whole day into the one before.
const NOISE: f64 = 1e-6;

/// One bound of a limit, in the unit of the series.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    pub value: f64,
    /// Whether readings must stay above it, else below.
    pub from_below: bool,
    /// Whether the bound itself still passes.
    inclusive: bool,
    /// The bound in words, such as `at least 19 %`.
    pub words: String,
    pub source: String,
}

/// A place at which a series begins anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    /// How many readings lie before it.
    pub before: usize,
    pub at: Moment,
    pub why: Why,
}

/// What came of a question.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finding {
    /// The newest reading is beyond the limit: that is a failed item, and no drift.
    Beyond,
    TooFew,
    /// No trend toward the limit that the interval of the slope could tell from none.
    NoTrend,
    /// A trend toward the limit that may be chance, among so many questions.
    MayBeChance,
    /// A trend toward the limit that reaches it too far ahead to say when.
    TooFar,
    Dated(Dates),
}

/// When a straight line through the readings reaches the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dates {
    pub earliest: Date,
    pub estimate: Date,
    /// Nothing when that is too far ahead to say.
    pub latest: Option<Date>,
    /// The line has reached the limit already, though the newest reading is within it.
    pub reached: bool,
}

/// A question with its answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    pub bound: Bound,
    /// In the order of time.
    pub cuts: Vec<Cut>,
    /// The slope of the readings since the last cut, in units a day, days counted from the first of them; nothing when
    /// there are too few.
    pub slope: Option<Slope>,
    pub finding: Finding,
}

/// Returns every bound of a limit, on the scale of a series. A bound of another kind of measure is left out.
pub fn bounds(series: &Series<'_>, limit: &Limit) -> Vec<Bound> {
    let bound = |quantity: &Option<Quantity>, words: &str, from_below, inclusive| {
        let quantity = quantity.as_ref().filter(|quantity| series.scale.measures(quantity))?;
        let (words, source) = (format!("{words} {quantity}"), limit.source_words());
        Some(Bound { value: series.scale.number(quantity), from_below, inclusive, words, source })
    };
    let all = [
        bound(&limit.at_least, "at least", true, true),
        bound(&limit.above, "more than", true, false),
        bound(&limit.at_most, "at most", false, true),
        bound(&limit.below, "less than", false, false),
    ];
    all.into_iter().flatten().collect()
}

impl Bound {
    /// Returns how far a number is on the safe side.
    fn room(&self, value: f64) -> f64 {
        if self.from_below { value - self.value } else { self.value - value }
    }

    /// Returns whether a number is beyond the bound; one part in 10⁹ is the rounding of a conversion.
    fn beyond(&self, value: f64) -> bool {
        let room = self.room(value);
        let equal = room.abs() <= 1e-9 * value.abs().max(self.value.abs());
        if equal { !self.inclusive } else { room < 0.0 }
    }

    /// Returns whether every slope of an interval leads toward the bound.
    fn draws(&self, slope: &Slope) -> bool {
        if self.from_below { slope.upper < 0.0 } else { slope.lower > 0.0 }
    }
}

impl Question {
    /// Asks a question, and concludes what does not depend on how many others are asked. `known` are the slopes of the
    /// same series since other cuts: two bounds mostly share one.
    pub fn new(series: &Series<'_>, bound: Bound, last: Moment, known: &[Question]) -> Question {
        let cuts = cuts(series, &bound, last);
        let mut question = Question { bound, cuts, slope: None, finding: Finding::TooFew };
        let counted = question.counted(series);
        if counted.len() >= FEWEST_READINGS && question.days(series) >= FEWEST_DAYS {
            let twin = known.iter().find(|twin| twin.first() == question.first());
            question.slope = match twin {
                Some(twin) => twin.slope,
                None => slope_of(counted),
            };
        }
        let beyond = counted.last().is_some_and(|newest| question.bound.beyond(newest.value));
        question.finding = match &question.slope {
            _ if beyond => Finding::Beyond,
            None => Finding::TooFew,
            Some(slope) if question.bound.draws(slope) => Finding::MayBeChance,
            Some(_) => Finding::NoTrend,
        };
        question
    }

    /// Concludes what came of it when a trend must be as unlikely by chance as `p`.
    pub fn conclude(&mut self, series: &Series<'_>, p: f64) {
        let Some(slope) = self.slope.filter(|slope| slope.kendall_p < p) else { return };
        if self.finding != Finding::MayBeChance {
            return;
        }
        let span = self.days(series) as f64;
        let counted = self.counted(series);
        let (Some(first), Some(newest)) = (counted.first(), counted.last()) else { return };
        let day = |days: f64| Some(Date(first.day.0.checked_add_signed(Duration::try_days(days as i64)?)?));
        let dates = match crossing(&slope, self.bound.value, span, span) {
            Crossing::NotDated(NotDated::AlreadyReached) => {
                Some(Dates { earliest: newest.day, estimate: newest.day, latest: None, reached: true })
            }
            Crossing::NotDated(_) => None,
            // The earliest day is rounded down and the latest up, so that the days span what the line spans.
            Crossing::Dated { earliest, estimate, latest } => {
                day((earliest + NOISE).floor()).zip(day(estimate.round())).map(|(earliest, estimate)| Dates {
                    earliest,
                    estimate,
                    latest: latest.and_then(|latest| day((latest - NOISE).ceil())),
                    reached: false,
                })
            }
        };
        self.finding = dates.map_or(Finding::TooFar, Finding::Dated);
    }

    /// Returns how many readings lie before the last cut.
    pub fn first(&self) -> usize {
        self.cuts.last().map_or(0, |cut| cut.before)
    }

    /// Returns the readings since the last cut.
    pub fn counted<'s>(&self, series: &'s Series<'_>) -> &'s [Reading] {
        series.readings.get(self.first()..).unwrap_or_default()
    }

    /// Returns the days from the first to the last of these readings.
    pub fn days(&self, series: &Series<'_>) -> i64 {
        let counted = self.counted(series);
        let ends = counted.first().zip(counted.last());
        ends.map_or(0, |(first, last)| last.day.0.signed_duration_since(first.day.0).num_days())
    }

    /// Returns the dates, if there are any.
    pub fn dates(&self) -> Option<Dates> {
        match self.finding {
            Finding::Dated(dates) => Some(dates),
            _ => None,
        }
    }
}

/// Returns the slope of readings. Where it seems to lead anywhere, its limits and p allow for days that resemble the one
/// before; where they then no longer can be given, nothing leads anywhere.
fn slope_of(readings: &[Reading]) -> Option<Slope> {
    let points = points(readings);
    let slope = theil_sen(&points, CONFIDENCE)?;
    if slope.lower <= 0.0 && slope.upper >= 0.0 {
        return Some(slope);
    }
    let none = Slope { lower: slope.lower.min(0.0), upper: slope.upper.max(0.0), kendall_p: 1.0, ..slope };
    Some(widened(&points, &slope, CONFIDENCE).unwrap_or(none))
}

/// Returns readings as days from the first one, and numbers.
fn points(readings: &[Reading]) -> Vec<(f64, f64)> {
    let Some(first) = readings.first() else { return Vec::new() };
    let day = |day: Date| day.0.signed_duration_since(first.day.0).num_days() as f64;
    readings.iter().map(|reading| (day(reading.day), reading.value)).collect()
}

/// Returns where a series begins anew for a bound. Several changes between two readings are one cut.
fn cuts(series: &Series<'_>, bound: &Bound, last: Moment) -> Vec<Cut> {
    let readings = &series.readings;
    let usual = usual_step(readings);
    let mut changes = series.changes.iter().peekable();
    let mut cuts = Vec::new();
    for (before, reading) in readings.iter().enumerate() {
        let mut done: Option<&Change> = None;
        while let Some(change) = changes.next_if(|change| change.at < reading.at) {
            done = Some(change);
        }
        let Some(earlier) = before.checked_sub(1).and_then(|before| readings.get(before)) else { continue };
        let step = bound.room(reading.value) - bound.room(earlier.value);
        let is_step = bound.value != 0.0 && step > STEP * bound.value.abs() && step > STEP_IN_USUAL_ONES * usual;
        if let Some(change) = done {
            cuts.push(Cut { before, at: change.at, why: change.why });
        } else if is_step {
            cuts.push(Cut { before, at: reading.at, why: Why::Step });
        }
    }
    // After such a change there is no reading yet that could say anything.
    if let Some(change) = changes.take_while(|change| change.at <= last).last() {
        cuts.push(Cut { before: readings.len(), at: change.at, why: change.why });
    }
    cuts
}

/// Returns the usual step from one reading to the next, whichever way: the median.
fn usual_step(readings: &[Reading]) -> f64 {
    let step = |two: &[Reading]| match two {
        [one, next] => (next.value - one.value).abs(),
        _ => 0.0,
    };
    let mut steps: Vec<f64> = readings.windows(2).map(step).collect();
    steps.sort_unstable_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied().unwrap_or(0.0)
}
