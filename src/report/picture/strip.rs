//! Thirteen months in a row: each a dot with its interval, and behind it the range in which a quiet month would lie.
//!
//! Takes the months as numbers and words; gives the drawing. A month outside its range is a diamond, one without
//! checks says so. Low enough to stand on page one.

use super::axis::{Scale, Step, reach};
use super::drawing::{Anchor, Drawing, Label, Role, Stroke};
use super::legend::{self, Entry};
use super::{Estimate, Range, WIDTH};

/// The months of a strip and the words around them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Strip {
    /// What the axis counts, with its unit, such as `failed checks, % of checks done`.
    pub axis: String,
    /// What a dot with its line is, such as `share failed with its 95 % interval`.
    pub dot: String,
    /// What the range is, such as `range to expect if nothing changed`.
    pub quiet: String,
    /// What a diamond is, such as `outside that range`. Shown when there is one.
    pub outside: String,
    /// What a month without an estimate says, such as `no checks`.
    pub empty: String,
    /// The months, oldest first.
    pub months: Vec<StripMonth>,
}

/// One month of a strip.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StripMonth {
    /// Its short name, such as `Nov`.
    pub name: String,
    /// Its year, shown at the first month and where it changes.
    pub year: String,
    /// The count above the line, such as `3`.
    pub count: String,
    /// The count below it, such as `of 62`.
    pub of: String,
    pub estimate: Option<Estimate>,
    /// The exact range in which a month like the twelve before it would lie.
    pub quiet: Option<Range>,
    /// Whether the month lies outside its range.
    pub outside: bool,
    /// Whether this is the month of the report.
    pub current: bool,
}

const LEFT: f64 = 24.0;
const PLOT: f64 = 58.0;
const BELOW: f64 = 33.0;

impl Strip {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 0.0);
        let top = self.head(&mut sheet) + 6.0;
        let base = top + PLOT;
        sheet.height = base + BELOW;
        let estimates = || self.months.iter().filter_map(|month| month.estimate);
        let ranges = self.months.iter().filter_map(|month| month.quiet.map(|range| range.high));
        let high = reach(ranges.chain(estimates().map(|one| one.value)), estimates().map(|one| one.high));
        let high = if high > 0.0 { high } else { 1.0 };
        let step = Step::dividing(high, 3);
        let scale = Scale { low: 0.0, high: step.above(high), start: base, end: top };
        let column = (WIDTH - LEFT) / self.months.len().max(1) as f64;
        let left = |at: usize| LEFT + column * at as f64;
        for (at, _) in self.months.iter().enumerate().filter(|(_, month)| month.current) {
            sheet.rectangle((left(at), base), (left(at) + column, sheet.height), Role::Shade, None);
        }
        // Below the lines of the axis, and from month to month without a gap: bars would be taken for the counts.
        for (at, month) in self.months.iter().enumerate() {
            if let Some(range) = month.quiet {
                quiet(&mut sheet, range, &scale, (left(at), left(at) + column));
            }
        }
        for tick in step.ticks(0.0, scale.high) {
            let y = scale.at(tick);
            let stroke = if tick > 0.0 { Stroke::solid(Role::Line, 0.5) } else { Stroke::solid(Role::Edge, 0.7) };
            sheet.line((LEFT, y), (WIDTH, y), stroke);
            let label = Label::new(&step.word(tick), (LEFT - 4.0, y + 2.4), LEFT - 4.0);
            sheet.text(label.small().anchored(Anchor::End));
        }
        for (at, month) in self.months.iter().enumerate() {
            let dated = at == 0 || self.months[at - 1].year != month.year;
            self.month(&mut sheet, month, &scale, (left(at), column), dated);
        }
        sheet
    }

    fn month(&self, sheet: &mut Drawing, month: &StripMonth, scale: &Scale, (left, column): (f64, f64), dated: bool) {
        let middle = left + column / 2.0;
        let room = (column - 1.5).max(0.0);
        let base = scale.start;
        let centred = |text: &str, y: f64| Label::new(text, (middle, y), room).small().anchored(Anchor::Middle);
        match month.estimate {
            Some(estimate) => point(sheet, estimate, month.outside, middle, scale),
            None => sheet.text(centred(&self.empty, base - 4.0)),
        }
        let name = if dated { format!("{} {}", month.name, month.year) } else { month.name.clone() };
        sheet.text(centred(name.trim(), base + 9.5).bold(month.current));
        sheet.text(Label { role: Role::Ink, ..centred(&month.count, base + 20.5) }.bold(month.current));
        sheet.text(centred(&month.of, base + 29.0));
    }

    fn head(&self, sheet: &mut Drawing) -> f64 {
        let outside = if self.months.iter().any(|month| month.outside) { &self.outside } else { "" };
        let quiet = if self.months.iter().any(|month| month.quiet.is_some()) { &self.quiet } else { "" };
        legend::head(
            sheet,
            &self.axis,
            &[
                Entry {
                    width: 6.0,
                    words: &self.dot,
                    mark: &|sheet, (x, y)| {
                        sheet.line((x, y - 4.5), (x, y + 4.5), Stroke::solid(Role::Accent, 1.2));
                        sheet.dot((x, y), 2.2, Role::Accent, false);
                    },
                },
                Entry {
                    width: 12.0,
                    words: quiet,
                    mark: &|sheet, (x, y)| {
                        sheet.rectangle((x - 6.0, y - 3.5), (x + 6.0, y + 3.5), Role::Shade, None);
                        sheet.line((x - 6.0, y - 3.5), (x + 6.0, y - 3.5), Stroke::solid(Role::Edge, 0.6));
                    },
                },
                Entry { width: 8.0, words: outside, mark: &|sheet, at| sheet.diamond(at, 4.0, Role::Ink) },
            ],
        )
    }
}

/// Draws the range of a month as a part of a band, faint so that the dots are what is seen, with a fine line where it
/// ends.
fn quiet(sheet: &mut Drawing, range: Range, scale: &Scale, (left, right): (f64, f64)) {
    let (low, high) = (scale.at(range.low), scale.at(range.high));
    sheet.rectangle((left, low), (right, high), Role::Shade, None);
    let rim = Stroke::solid(Role::Edge, 0.6);
    sheet.line((left, high), (right, high), rim);
    if low < scale.start {
        sheet.line((left, low), (right, low), rim);
    }
}

fn point(sheet: &mut Drawing, estimate: Estimate, outside: bool, x: f64, scale: &Scale) {
    let (low, high) = (scale.at(estimate.low), scale.at(estimate.high));
    let stroke = Stroke::solid(Role::Accent, 1.2);
    sheet.line((x, low), (x, high), stroke);
    if estimate.high > scale.high {
        sheet.path(vec![(x - 2.5, high + 3.5), (x, high), (x + 2.5, high + 3.5)], stroke);
    }
    let at = (x, scale.at(estimate.value));
    if outside { sheet.diamond(at, 4.0, Role::Ink) } else { sheet.dot(at, 2.2, Role::Accent, false) }
}
