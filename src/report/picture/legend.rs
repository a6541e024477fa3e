//! One line that says what the marks of a picture mean, each mark drawn as it is in the picture.

use super::drawing::{Drawing, Label, Point, Size};
use super::metrics;

/// A mark to explain: draws itself around a place within `width`, and its words.
pub struct Entry<'a> {
    pub width: f64,
    pub words: &'a str,
    pub mark: &'a dyn Fn(&mut Drawing, Point),
}

const GAP: f64 = 4.0;
const BETWEEN: f64 = 14.0;

/// Writes the entries side by side from `left` on, on the base line `y`; the room is shared when it is short.
///
/// An entry without words is left out.
pub fn line(sheet: &mut Drawing, entries: &[Entry], left: f64, right: f64, y: f64) {
    let entries: Vec<&Entry> = entries.iter().filter(|entry| !entry.words.trim().is_empty()).collect();
    let marks: f64 = entries.iter().map(|entry| entry.width + GAP + BETWEEN).sum();
    let natural: Vec<f64> = entries.iter().map(|entry| metrics::width(entry.words, Size::Small, false)).collect();
    let room = (right - left - marks + BETWEEN).max(0.0);
    let share = (room / natural.iter().sum::<f64>().max(1.0)).min(1.0);
    let mut x = left;
    for (entry, natural) in entries.iter().zip(natural) {
        (entry.mark)(sheet, (x + entry.width / 2.0, y - 2.4));
        x += entry.width + GAP;
        sheet.text(Label::new(entry.words, (x, y), natural * share).small());
        x += natural * share + BETWEEN;
    }
}
