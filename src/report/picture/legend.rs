//! Words around a picture: the head, which says what is counted and what each mark means, and flags over the plot.
//!
//! A mark is explained beside a copy of itself. Takes words and places; draws them so that none covers another.

use super::drawing::{Anchor, Drawing, Label, Point, Role, Size, Stroke};
use super::metrics;

/// A mark to explain: it draws itself around a place, `width` wide, and has its words.
pub struct Entry<'a> {
    pub width: f64,
    pub words: &'a str,
    pub mark: &'a dyn Fn(&mut Drawing, Point),
}

/// A word over a plot, which belongs to a place on the axis.
#[derive(Clone, Debug)]
pub struct Flag<'a> {
    pub x: f64,
    pub words: &'a str,
    /// The line down from the words.
    pub stroke: Stroke,
}

/// How far the lines of a head and of flags stand apart.
const LINE: f64 = 11.0;
const BASE: f64 = 7.5;
const GAP: f64 = 4.0;
const BETWEEN: f64 = 13.0;

/// Writes what is counted, and the entries at the right of the same line, or where that is full on the next.
///
/// Returns the height it took. An entry without words is left out.
pub fn head(sheet: &mut Drawing, title: &str, entries: &[Entry]) -> f64 {
    let entries: Vec<&Entry> = entries.iter().filter(|entry| !entry.words.trim().is_empty()).collect();
    let title = Label::new(title, (0.0, BASE), sheet.width).bold(true);
    let used = if title.content.trim().is_empty() { 0.0 } else { metrics::taken(&title) + 2.0 * BETWEEN };
    sheet.text(title);
    let words: Vec<f64> = entries.iter().map(|entry| metrics::width(entry.words, Size::Small, false)).collect();
    let marks = entries.iter().map(|entry| entry.width + GAP + BETWEEN).sum::<f64>() - BETWEEN;
    let natural = words.iter().sum::<f64>();
    if entries.is_empty() {
        return if used > 0.0 { LINE } else { 0.0 };
    }
    let beside = used + marks + natural <= sheet.width;
    let (mut x, y) = if beside { (sheet.width - marks - natural, BASE) } else { (0.0, BASE + LINE) };
    // Where even a whole line is short, each gives up its share.
    let share = ((sheet.width - marks).max(0.0) / natural.max(1.0)).min(1.0);
    for (entry, natural) in entries.iter().zip(words) {
        (entry.mark)(sheet, (x + entry.width / 2.0, y - 2.4));
        x += entry.width + GAP;
        sheet.text(Label::new(entry.words, (x, y), natural * share).small());
        x += natural * share + BETWEEN;
    }
    if beside { LINE } else { 2.0 * LINE }
}

/// Returns for each flag the lane it stands in so that none covers another, and the number of lanes.
pub fn lanes(flags: &[Flag], left: f64, right: f64) -> (Vec<usize>, usize) {
    let mut order: Vec<usize> = (0..flags.len()).collect();
    order.sort_by(|one, other| flags[*one].x.total_cmp(&flags[*other].x));
    let mut taken: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut found = vec![0; flags.len()];
    for at in order {
        let (from, to) = extent(&flags[at], left, right);
        let free = |lane: &Vec<(f64, f64)>| lane.iter().all(|(start, end)| to + 3.0 < *start || end + 3.0 < from);
        let lane = taken.iter().position(free).unwrap_or(taken.len());
        if lane == taken.len() {
            taken.push(Vec::new());
        }
        taken[lane].push((from, to));
        found[at] = lane;
    }
    let count = taken.len();
    (found, count)
}

/// Returns the height that so many lanes take.
pub fn height(lanes: usize) -> f64 {
    lanes as f64 * LINE
}

/// Draws a line down to `bottom` for each flag, with its words at the top; the first lane stands lowest.
pub fn flags(sheet: &mut Drawing, flags: &[Flag], (left, right): (f64, f64), (top, bottom): (f64, f64)) {
    let (lanes, count) = lanes(flags, left, right);
    for (flag, lane) in flags.iter().zip(lanes) {
        let y = top + (count - 1 - lane) as f64 * LINE;
        sheet.line((flag.x, y + 1.0), (flag.x, bottom), flag.stroke);
        let (from, to) = extent(flag, left, right);
        let label = Label { size: Size::Small, role: Role::Ink, ..Label::new(flag.words, (from, y + BASE), to - from) };
        sheet.text(if from < flag.x { Label { at: (to, y + BASE), ..label }.anchored(Anchor::End) } else { label });
    }
}

/// Returns from where to where the words of a flag reach: to its right, or where there is more room to its left.
fn extent(flag: &Flag, left: f64, right: f64) -> (f64, f64) {
    const AWAY: f64 = 3.0;
    let wanted = metrics::width(flag.words, Size::Small, false) + 0.1;
    let (before, after) = ((flag.x - left - AWAY).max(0.0), (right - flag.x - AWAY).max(0.0));
    if wanted <= after || after >= before {
        (flag.x + AWAY, flag.x + AWAY + wanted.min(after))
    } else {
        (flag.x - AWAY - wanted.min(before), flag.x - AWAY)
    }
}
