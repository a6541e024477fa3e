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
/// The letters of a browser without any of the fonts named are nearly a tenth wider (DejaVu Sans beside Noto Sans), and the
/// last words of a head end at the rim of the picture.
const WIDER: f64 = 1.1;

/// Writes what is counted, and the entries at the right of the same line, or where that is full on the lines below it.
///
/// Returns the height it took. An entry without words is left out.
pub fn head(sheet: &mut Drawing, title: &str, entries: &[Entry]) -> f64 {
    let entries: Vec<&Entry> = entries.iter().filter(|entry| !entry.words.trim().is_empty()).collect();
    let title = Label::new(title, (0.0, BASE), sheet.width).bold(true);
    let used = if title.content.trim().is_empty() { 0.0 } else { metrics::taken(&title) + 2.0 * BETWEEN };
    sheet.text(title);
    let wide = |entry: &&Entry| WIDER * metrics::width(entry.words, Size::Small, false);
    let words: Vec<f64> = entries.iter().map(wide).collect();
    let marks = entries.iter().map(|entry| entry.width + GAP + BETWEEN).sum::<f64>() - BETWEEN;
    let natural = words.iter().sum::<f64>();
    if entries.is_empty() {
        return if used > 0.0 { LINE } else { 0.0 };
    }
    let beside = used + marks + natural <= sheet.width;
    let (mut x, mut y) = if beside { (sheet.width - marks - natural, BASE) } else { (0.0, BASE + LINE) };
    for (entry, natural) in entries.iter().zip(words) {
        // An entry is never cut where it could stand on a line of its own.
        if !beside && x > 0.0 && x + entry.width + GAP + natural > sheet.width {
            (x, y) = (0.0, y + LINE);
        }
        (entry.mark)(sheet, (x + entry.width / 2.0, y - 2.4));
        x += entry.width + GAP;
        let room = natural.min(sheet.width - x).max(0.0);
        sheet.text(Label::new(entry.words, (x, y), room).small());
        x += room + BETWEEN;
    }
    y - BASE + LINE
}

/// Returns for each flag the lane it stands in, the lowest first, and the number of lanes.
///
/// No words cover others, and no line runs through words where that can be had.
pub fn lanes(flags: &[Flag], left: f64, right: f64) -> (Vec<usize>, usize) {
    let extents: Vec<(f64, f64)> = flags.iter().map(|flag| extent(flag, left, right)).collect();
    let leftward = |at: usize| extents[at].0 < flags[at].x;
    // Words reach to the right over the lines that follow. From right to left, each stands above those it reaches over.
    let mut order: Vec<usize> = (0..flags.len()).collect();
    order.sort_by(|one, other| {
        let by_place = flags[*one].x.total_cmp(&flags[*other].x);
        let by_place = if leftward(*one) { by_place } else { by_place.reverse() };
        leftward(*one).cmp(&leftward(*other)).then(by_place)
    });
    let mut found: Vec<Option<usize>> = vec![None; flags.len()];
    let mut count = 0;
    for at in order {
        let (from, to) = extents[at];
        let over = |x: f64, (from, to): (f64, f64)| from - 1.0 < x && x < to + 1.0;
        let clash = |lane: usize| {
            let mut placed = found.iter().enumerate().filter_map(|(other, place)| Some((other, (*place)?)));
            placed.any(|(other, place)| {
                let words = place == lane && extents[other].0 < to + 3.0 && from < extents[other].1 + 3.0;
                let its_line = place >= lane && flags[other].x != flags[at].x && over(flags[other].x, (from, to));
                let own_line = place <= lane && flags[other].x != flags[at].x && over(flags[at].x, extents[other]);
                words || its_line || own_line
            })
        };
        let lane = (0..count).find(|lane| !clash(*lane)).unwrap_or(count);
        count = count.max(lane + 1);
        found[at] = Some(lane);
    }
    (found.into_iter().map(|lane| lane.unwrap_or(0)).collect(), count)
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

#[cfg(test)]
mod tests {
    use super::super::drawing::{Drawing, Mark, Role, Size, Stroke};
    use super::super::metrics;
    use super::{Entry, Flag, LINE, WIDER, head, lanes};

    #[test]
    fn entries_that_do_not_fit_one_line_stand_on_several_and_are_not_cut() {
        let words = "where a month like the others stands in nineteen of twenty years";
        let mut sheet = Drawing { width: 300.0, height: 100.0, marks: Vec::new() };
        let entry = || Entry { width: 6.0, words, mark: &|_, _| {} };
        let height = head(&mut sheet, "faults in 100 checks", &[entry(), entry(), entry()]);
        assert_eq!(height, 4.0 * LINE, "the title and three entries");
        let labels =
            sheet.marks.iter().filter_map(|mark| if let Mark::Text(label) = mark { Some(label) } else { None });
        let whole = WIDER * metrics::width(words, Size::Small, false);
        let rooms: Vec<f64> = labels.filter(|label| label.content == words).map(|label| label.room).collect();
        assert_eq!(rooms, [whole; 3]);
    }

    fn of(flags: &[(f64, &str)]) -> Vec<usize> {
        let flags: Vec<Flag> =
            flags.iter().map(|(x, words)| Flag { x: *x, words, stroke: Stroke::solid(Role::Ink, 1.0) }).collect();
        lanes(&flags, 0.0, 480.0).0
    }

    #[test]
    fn words_that_reach_over_a_line_stand_above_it() {
        assert_eq!(of(&[(10.0, "near"), (200.0, "far")]), [0, 0]);
        assert_eq!(of(&[(10.0, "reaches over the next line"), (40.0, "next")]), [1, 0]);
        assert_eq!(of(&[(40.0, "next"), (10.0, "reaches over the next line")]), [0, 1]);
        assert_eq!(of(&[(10.0, "reaches over both"), (30.0, "reaches over one"), (60.0, "last")]), [2, 1, 0]);
        assert_eq!(of(&[(10.0, "same"), (10.0, "place")]), [0, 1]);
        // Near the right edge the words stand to the left of their line.
        assert_eq!(of(&[(400.0, "first"), (475.0, "at the edge of the picture")]), [0, 1]);
        assert_eq!(lanes(&[], 0.0, 480.0), (vec![], 0));
    }
}
