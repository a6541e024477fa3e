//! The way back to service: the share of faults whose machine was returned, against the days since they were found.
//!
//! Takes the steps of the curve with their pointwise intervals; gives the drawing. Open faults are ticks on the
//! curve, the target and the median are lines with their words. On more than a week, the early days are drawn wider:
//! a day stands where the root of its number is, which the words under the axis should say.

use super::axis::{Scale, Step, sane};
use super::drawing::{Anchor, Drawing, Label, Point, Role, Size, Stroke};
use super::legend::{self, Entry, Flag};
use super::{Range, WIDTH, metrics};

/// A curve and the words around it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// What rises, such as `machines returned to service, % of faults`.
    pub axis: String,
    /// What runs across, such as `days since the fault was found`.
    pub across: String,
    /// What the band is, such as `95 % interval`.
    pub band: String,
    /// What a tick on the curve is, such as `still open`. Shown when there is one.
    pub open_words: String,
    /// The steps in order of time; between two of them the share stays.
    pub steps: Vec<CurveStep>,
    /// How many days each open fault has been followed.
    pub open: Vec<f64>,
    /// How many days the picture shows.
    pub days: f64,
    pub target: Option<Moment>,
    /// Where half of the machines were returned.
    pub median: Option<Moment>,
}

/// One step of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveStep {
    pub days: f64,
    /// The share returned from this moment on, from 0 to 1.
    pub returned: f64,
    /// Its interval; nothing where it can't be told.
    pub interval: Option<Range>,
}

/// A moment with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    pub days: f64,
    pub label: String,
}

const LEFT: f64 = 28.0;
const PLOT: f64 = 118.0;
/// From here on the early days are drawn wider: a target of three days must not stand at the edge of a month.
pub const LONG: f64 = 7.0;

impl Curve {
    /// Returns the drawing.
    pub fn draw(&self) -> Drawing {
        let mut sheet = Drawing::sheet(WIDTH, 0.0);
        let days = if sane(self.days) > 0.0 { sane(self.days) } else { 1.0 };
        let across = Across { scale: Scale { low: 0.0, high: root(days), start: LEFT, end: WIDTH - 6.0 }, days };
        let shown = |moment: &&Moment| sane(moment.days) <= days;
        let target = self.target.iter().filter(shown).map(|moment| (moment, Stroke::dashed(Role::Ink, 0.9)));
        let median = self.median.iter().filter(shown).map(|moment| (moment, Stroke::dotted(Role::Ink, 0.9)));
        let flags: Vec<Flag> = target
            .chain(median)
            .map(|(moment, stroke)| Flag { x: across.at(moment.days), words: &moment.label, stroke })
            .collect();
        let head = self.head(&mut sheet);
        let top = head + 4.0 + legend::height(legend::lanes(&flags, LEFT, WIDTH).1);
        let up = Scale { low: 0.0, high: 1.0, start: top + PLOT, end: top };
        sheet.height = top + PLOT + 23.0;
        grid(&mut sheet, &across, &up);
        sheet.text(Label::new(&self.across, (WIDTH, top + PLOT + 20.0), 400.0).small().anchored(Anchor::End));
        self.band(&mut sheet, &across, &up);
        legend::flags(&mut sheet, &flags, (LEFT, WIDTH), (head + 2.0, up.start));
        sheet.path(self.line(&across, &up), Stroke::solid(Role::Accent, 1.6));
        self.half(&mut sheet, &across, &up);
        for open in self.open.iter().filter(|open| sane(**open) <= days) {
            let (x, y) = (across.at(*open), up.at(self.returned(*open)));
            sheet.line((x, y - 4.0), (x, y + 4.0), Stroke::solid(Role::Ink, 1.1));
        }
        self.beyond(&mut sheet, &up, days);
        sheet
    }

    fn head(&self, sheet: &mut Drawing) -> f64 {
        let band = if self.steps.iter().any(|step| step.interval.is_some()) { &self.band } else { "" };
        let open = if self.open.is_empty() { "" } else { &self.open_words };
        legend::head(
            sheet,
            &self.axis,
            &[
                Entry {
                    width: 14.0,
                    words: band,
                    mark: &|sheet, (x, y)| {
                        sheet.rectangle((x - 7.0, y - 3.5), (x + 7.0, y + 3.5), Role::Band, None);
                        sheet.line((x - 7.0, y), (x + 7.0, y), Stroke::solid(Role::Accent, 1.6));
                    },
                },
                Entry {
                    width: 10.0,
                    words: open,
                    mark: &|sheet, (x, y)| {
                        sheet.line((x - 5.0, y), (x + 5.0, y), Stroke::solid(Role::Accent, 1.6));
                        sheet.line((x, y - 4.0), (x, y + 4.0), Stroke::solid(Role::Ink, 1.1));
                    },
                },
            ],
        )
    }

    /// Returns the share returned by a day.
    fn returned(&self, day: f64) -> f64 {
        self.steps.iter().take_while(|step| step.days <= day).last().map_or(0.0, |step| step.returned)
    }

    fn line(&self, across: &Across, up: &Scale) -> Vec<Point> {
        let mut points = vec![(across.at(0.0), up.at(0.0))];
        let mut share = 0.0;
        for step in self.steps.iter().filter(|step| sane(step.days) <= across.days) {
            let x = across.at(step.days);
            points.extend([(x, up.at(share)), (x, up.at(step.returned))]);
            share = step.returned;
        }
        points.push((across.at(across.days), up.at(share)));
        points
    }

    /// Draws the intervals from each step to the next, those that touch as one shape.
    fn band(&self, sheet: &mut Drawing, across: &Across, up: &Scale) {
        let shown: Vec<&CurveStep> = self.steps.iter().filter(|step| sane(step.days) <= across.days).collect();
        let (mut above, mut below): (Vec<Point>, Vec<Point>) = (Vec::new(), Vec::new());
        for (at, step) in shown.iter().enumerate() {
            if let Some(range) = step.interval {
                let from = across.at(step.days);
                let to = across.at(shown.get(at + 1).map_or(across.days, |next| next.days));
                above.extend([(from, up.at(range.high)), (to, up.at(range.high))]);
                below.extend([(from, up.at(range.low)), (to, up.at(range.low))]);
            }
            if step.interval.is_none() || at + 1 == shown.len() {
                let outline = above.drain(..).chain(below.drain(..).rev()).collect();
                sheet.area(outline, Role::Band, None);
            }
        }
    }

    /// Marks where half of the machines were returned; the line down to its day is its flag's.
    fn half(&self, sheet: &mut Drawing, across: &Across, up: &Scale) {
        let Some(median) = self.median.as_ref().filter(|median| sane(median.days) <= across.days) else { return };
        let (x, y) = (across.at(median.days), up.at(0.5));
        sheet.line((LEFT, y), (x, y), Stroke::dotted(Role::Ink, 0.9));
        sheet.dot((x, y), 2.4, Role::Ink, true);
    }

    /// Says how many are open for longer than the picture shows: the oldest faults must not fall off its edge.
    fn beyond(&self, sheet: &mut Drawing, up: &Scale, days: f64) {
        let longer = self.open.iter().filter(|open| sane(**open) > days).count();
        if longer > 0 {
            let y = up.at(self.returned(days));
            let y = if y - up.end > 14.0 { y - 5.0 } else { y + 12.0 };
            let words = format!("{longer} {} after {days:.0} days →", self.open_words);
            let label = Label::new(&words, (WIDTH - 6.0, y), 200.0);
            sheet.text(Label { size: Size::Small, ..label }.anchored(Anchor::End));
        }
    }
}

/// Days along the axis.
struct Across {
    scale: Scale,
    days: f64,
}

impl Across {
    fn at(&self, days: f64) -> f64 {
        // On a long axis a day's place is by its root, on a short one by itself; `high` is the root of the whole.
        let share = (sane(days) / self.days).clamp(0.0, 1.0);
        let share = if self.days > LONG { root(share) } else { share };
        self.scale.at(share * self.scale.high)
    }

    fn ticks(&self) -> Vec<(f64, String)> {
        const LIKED: [f64; 15] =
            [0.0, 1.0, 3.0, 7.0, 14.0, 21.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 365.0, 730.0, 1095.0];
        if self.days <= LONG {
            let step = Step::dividing(self.days, 7);
            return step.ticks(0.0, self.days).into_iter().map(|tick| (tick, step.word(tick))).collect();
        }
        let step = Step::dividing(self.days, 4);
        let liked = LIKED.into_iter().chain(step.ticks(0.0, self.days).into_iter().filter(|tick| *tick > 1095.0));
        let mut last = f64::NEG_INFINITY;
        liked
            .filter(|day| *day <= self.days)
            .filter(|day| {
                let far = self.at(*day) - last >= 24.0;
                last = if far { self.at(*day) } else { last };
                far
            })
            .map(|day| (day, format!("{day:.0}")))
            .collect()
    }
}

fn root(value: f64) -> f64 {
    libm::sqrt(value.max(0.0))
}

fn grid(sheet: &mut Drawing, across: &Across, up: &Scale) {
    for percent in [0, 25, 50, 75, 100] {
        let y = up.at(f64::from(percent) / 100.0);
        let stroke = if percent > 0 { Stroke::solid(Role::Line, 0.5) } else { Stroke::solid(Role::Edge, 0.7) };
        sheet.line((LEFT, y), (WIDTH - 6.0, y), stroke);
        let label = Label::new(&format!("{percent} %"), (LEFT - 4.0, y + 2.4), LEFT - 4.0);
        sheet.text(label.small().anchored(Anchor::End));
    }
    for (day, words) in across.ticks() {
        let x = across.at(day);
        sheet.line((x, up.start), (x, up.start + 3.0), Stroke::solid(Role::Edge, 0.7));
        sheet.text(metrics::centred(Label::new(&words, (x, up.start + 10.5), 40.0).small(), 0.0, WIDTH));
    }
}
