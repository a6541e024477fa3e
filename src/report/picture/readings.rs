//! Readings over time with their limit, the line through them, and the day before which it does not meet the limit.
//!
//! Takes days and values; gives the drawing. A calibration or a replaced part starts a series anew: it is a line
//! from top to bottom, and readings before the last one are hollow because the line does not count them.

use chrono::NaiveDate;

use super::axis::{Scale, Step, dates, sane};
use super::drawing::{Anchor, Drawing, Label, Point, Role, Size, Stroke};
use super::legend::{self, Entry, Flag};
use super::{Range, WIDTH, metrics};

/// Readings of one item of one machine. Days are counted from `start`, with fractions.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// What was read, with its unit, such as `oxygen at 21 %, reading in %`.
    pub axis: String,
    /// The day that is day 0.
    pub start: NaiveDate,
    /// How many days the picture shows.
    pub days: f64,
    pub readings: Vec<Reading>,
    pub limits: Vec<Level>,
    pub drift: Option<Drift>,
    /// What starts the series anew, such as `calibrated`.
    pub restarts: Vec<(f64, String)>,
    /// The first day on which the limit may be met, such as `not before 14 March 2027`.
    pub crossing: Option<(f64, String)>,
    /// What the line is, such as `trend and its 95 % interval`.
    pub line: String,
    /// What a filled dot is, such as `reading`. Shown when there is one.
    pub filled: String,
    /// What a hollow dot is, such as `before the last calibration`. Shown when there is one.
    pub hollow: String,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    pub day: f64,
    pub value: f64,
    /// Whether the line through the readings counts it.
    pub counted: bool,
}

/// A limit with its words, such as `at least 20.0 %`.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    pub value: f64,
    pub label: String,
}

/// A line through readings: it passes the pivot with a slope, which lies in an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// Day and value that every line passes.
    pub pivot: (f64, f64),
    /// In units per day.
    pub slope: f64,
    pub interval: Range,
    /// The first and last day it is drawn for.
    pub from: f64,
    pub to: f64,
}

const LEFT: f64 = 30.0;
const RIGHT: f64 = WIDTH - 6.0;
const PLOT: f64 = 104.0;
/// Room inside the plot, above and below what is drawn, for the words of a limit.
const INSIDE: f64 = 10.0;

/// The two axes of a plot.
struct Axes {
    across: Scale,
    up: Scale,
    step: Step,
}

impl Readings {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 0.0);
        let days = sane(self.days).max(1.0);
        let across = Scale { low: 0.0, high: days, start: LEFT, end: RIGHT };
        let inside = |day: f64| (0.0..=days).contains(&day);
        let shown = |flag: &&(f64, String)| inside(flag.0);
        let restarts: Vec<&(f64, String)> = self.restarts.iter().filter(shown).collect();
        let crossing: Vec<&(f64, String)> = self.crossing.iter().filter(shown).collect();
        let head = self.head(&mut sheet) + 2.0;
        let all: Vec<Flag> = restarts
            .iter()
            .chain(&crossing)
            .map(|(day, words)| Flag { x: across.at(*day), words, stroke: Stroke::dashed(Role::Ink, 0.8) })
            .collect();
        let top = head + 2.0 + legend::height(legend::lanes(&all, LEFT, RIGHT).1);
        let axes = self.axes(across, top);
        let bottom = top + PLOT;
        sheet.height = bottom + 13.0;
        axes.grid(&mut sheet, self.start, days, bottom);
        self.drift(&mut sheet, &axes);
        self.levels(&mut sheet, &axes);
        legend::flags(&mut sheet, &all, (LEFT, RIGHT), (head, bottom));
        self.words_of_limits(&mut sheet, &axes);
        for reading in self.readings.iter().filter(|reading| inside(reading.day)) {
            let at = (axes.across.at(reading.day), axes.up.at(reading.value));
            mark(&mut sheet, at, reading.counted);
        }
        sheet
    }

    fn head(&self, sheet: &mut Drawing) -> f64 {
        let line = if self.drift.is_some() { &self.line } else { "" };
        let any = |counted: bool| self.readings.iter().any(|reading| reading.counted == counted);
        let filled = if any(true) { &self.filled } else { "" };
        let hollow = if any(false) { &self.hollow } else { "" };
        legend::head(
            sheet,
            &self.axis,
            &[
                Entry {
                    width: 16.0,
                    words: line,
                    mark: &|sheet, (x, y)| {
                        sheet.area(
                            vec![(x - 8.0, y - 3.5), (x + 8.0, y - 1.0), (x + 8.0, y + 3.5), (x - 8.0, y + 1.0)],
                            Role::Band,
                            None,
                        );
                        sheet.line((x - 8.0, y - 1.2), (x + 8.0, y + 1.2), Stroke::solid(Role::Accent, 1.3));
                    },
                },
                Entry { width: 5.0, words: filled, mark: &|sheet, at| mark(sheet, at, true) },
                Entry { width: 5.0, words: hollow, mark: &|sheet, at| mark(sheet, at, false) },
            ],
        )
    }

    fn axes(&self, across: Scale, top: f64) -> Axes {
        let values = || {
            let readings = self.readings.iter().map(|reading| reading.value);
            readings.chain(self.limits.iter().map(|limit| limit.value)).map(sane)
        };
        let low = values().fold(f64::INFINITY, f64::min);
        let high = values().fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = if low <= high { (low, high) } else { (0.0, 1.0) };
        // All the same number: a step of a hundredth of it, so that the dots stand in the middle.
        let (low, high) = if high - low > high.abs() * 1e-9 {
            (low, high)
        } else {
            (low - (low.abs() / 100.0).max(0.01), high + (high.abs() / 100.0).max(0.01))
        };
        let step = Step::dividing(high - low, 4);
        Axes { across, up: Scale { low, high, start: top + PLOT - INSIDE, end: top + INSIDE }, step }
    }

    fn levels(&self, sheet: &mut Drawing, axes: &Axes) {
        for limit in &self.limits {
            let y = axes.up.at(limit.value);
            sheet.line((LEFT, y), (RIGHT, y), Stroke::solid(Role::Ink, 1.1));
        }
    }

    /// Writes the words of each limit on a ground of their own, so that no line of a day strikes them through.
    fn words_of_limits(&self, sheet: &mut Drawing, axes: &Axes) {
        let mut values: Vec<f64> = self.readings.iter().map(|reading| sane(reading.value)).collect();
        values.sort_by(f64::total_cmp);
        let middle = values.get(values.len() / 2).copied();
        for limit in &self.limits {
            let y = axes.up.at(limit.value);
            // On the side away from the readings.
            let below = middle.is_none_or(|middle| middle >= sane(limit.value));
            let (x, base) = (LEFT + 4.0, if below { y + 8.0 } else { y - 3.0 });
            let label = Label { size: Size::Small, ..Label::new(&limit.label, (x, base), RIGHT - LEFT - 8.0) };
            if !label.content.trim().is_empty() {
                let end = x + metrics::taken(&label);
                sheet.rectangle((x - 2.0, base - 6.0), (end + 2.0, base + 1.3), Role::Ground, None);
            }
            sheet.text(label);
        }
    }

    fn drift(&self, sheet: &mut Drawing, axes: &Axes) {
        let Some(drift) = &self.drift else { return };
        let (from, to) = (sane(drift.from).max(0.0), sane(drift.to).min(axes.across.high));
        if from >= to {
            return;
        }
        let at = |slope: f64, day: f64| sane(drift.pivot.1 + slope * (day - drift.pivot.0));
        let days: Vec<f64> = (0..=PARTS).map(|part| from + (to - from) * f64::from(part) / f64::from(PARTS)).collect();
        let edge = |pick: fn(f64, f64) -> f64| {
            let Range { low, high } = drift.interval;
            let place = move |day: &f64| (axes.across.at(*day), axes.up.at(pick(at(low, *day), at(high, *day))));
            days.iter().map(place).collect::<Vec<_>>()
        };
        let outline = edge(f64::max).into_iter().chain(edge(f64::min).into_iter().rev()).collect();
        sheet.area(outline, Role::Band, None);
        // Beyond the last reading it is a continuation, not an observation.
        let last = self.readings.iter().filter(|one| one.counted).map(|one| one.day).fold(from, f64::max).min(to);
        let part = |from: f64, to: f64| {
            let (from, to) = within(|day| at(drift.slope, day), (from, to), (axes.up.low, axes.up.high))?;
            let place = |day: f64| (axes.across.at(day), axes.up.at(at(drift.slope, day)));
            Some(vec![place(from), place(to)])
        };
        if let Some(points) = part(from, last) {
            sheet.path(points, Stroke::solid(Role::Accent, 1.3));
        }
        if let Some(points) = part(last, to) {
            sheet.path(points, Stroke::dashed(Role::Accent, 1.3));
        }
    }
}

/// Draws a reading: a dot, or a ring that is larger, so that a copy in grey tells them apart.
fn mark(sheet: &mut Drawing, at: Point, counted: bool) {
    if counted { sheet.dot(at, 1.3, Role::Accent, false) } else { sheet.dot(at, 2.2, Role::Accent, true) }
}

/// Into how many parts the rim of a band is cut, so that it bends only where it meets the edge of the plot.
const PARTS: i32 = 40;

/// Returns from where to where a straight line runs between two values; nothing where it never does.
fn within(line: impl Fn(f64) -> f64, (from, to): (f64, f64), (low, high): (f64, f64)) -> Option<(f64, f64)> {
    let (start, end) = (line(from), line(to));
    if to <= from {
        return None;
    }
    if start == end {
        return (low..=high).contains(&start).then_some((from, to));
    }
    let day = |value: f64| from + (to - from) * (value - start) / (end - start);
    let (one, other) = (day(low), day(high));
    let (from, to) = (from.max(one.min(other)), to.min(one.max(other)));
    (from < to).then_some((from, to))
}

impl Axes {
    fn grid(&self, sheet: &mut Drawing, start: NaiveDate, days: f64, bottom: f64) {
        for tick in self.step.ticks(self.up.low, self.up.high) {
            let y = self.up.at(tick);
            sheet.line((LEFT, y), (RIGHT, y), Stroke::solid(Role::Line, 0.5));
            let label = Label::new(&self.step.word(tick), (LEFT - 4.0, y + 2.4), LEFT - 4.0);
            sheet.text(label.small().anchored(Anchor::End));
        }
        sheet.line((LEFT, bottom), (RIGHT, bottom), Stroke::solid(Role::Edge, 0.7));
        let mut last = f64::NEG_INFINITY;
        for (day, words) in dates(start, days) {
            let x = self.across.at(day);
            sheet.line((x, bottom), (x, bottom + 3.0), Stroke::solid(Role::Edge, 0.7));
            let label = Label::new(&words, (x, bottom + 10.5), 60.0).small();
            let half = metrics::taken(&label) / 2.0;
            let label = metrics::centred(label, 0.0, WIDTH);
            // Where there is no room for a date, its mark stands alone.
            if label.at.0 - half > last + 6.0 {
                last = label.at.0 + half;
                sheet.text(label);
            }
        }
    }
}
