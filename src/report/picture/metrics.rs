//! How wide a text becomes, by the letters of the report's own font.
//!
//! A web page may show another font; its letters are of much the same width, and every text has some room to spare.

use std::sync::LazyLock;

use ttf_parser::Face;
use unicode_segmentation::UnicodeSegmentation;

use super::drawing::{Anchor, Label, Size};
use crate::report::typeset::FONTS;

static FACES: LazyLock<Vec<Face<'static>>> =
    LazyLock::new(|| FONTS.iter().filter_map(|(_, font)| Face::parse(font, 0).ok()).collect());

/// The commonest characters, regular and bold, looked up once.
static PLAIN: LazyLock<[Vec<f64>; 2]> =
    LazyLock::new(|| [false, true].map(|bold| ('\0'..='\u{17F}').map(|c| looked_up(c, bold)).collect()));

const CUT: &str = "…";

/// Returns the width of a text in points.
pub fn width(text: &str, size: Size, bold: bool) -> f64 {
    let ems: f64 = text.chars().map(|c| advance(c, bold)).sum();
    ems * size.points()
}

/// Returns the width that a text takes on the sheet: its own, and never more than its room.
pub fn taken(label: &Label) -> f64 {
    width(&label.content, label.size, label.bold).min(label.room)
}

/// Returns the text as it fits its room, with a sign where it was cut.
pub fn fitted(label: &Label) -> String {
    // Measured letters leave a rounding difference, which must not cut a text that has just its own width.
    const SPARE: f64 = 0.01;
    let of = |text: &str| width(text, label.size, label.bold);
    if of(&label.content) <= label.room + SPARE {
        return label.content.clone();
    }
    if of(CUT) > label.room + SPARE {
        return String::new();
    }
    let mut left = label.room + SPARE - of(CUT);
    let mut kept = String::new();
    for letter in label.content.graphemes(true) {
        left -= of(letter);
        if left < 0.0 {
            break;
        }
        kept.push_str(letter);
    }
    kept.truncate(kept.trim_end().len());
    kept + CUT
}

/// Returns a text around its middle, moved so far that all of it stands between two places.
pub fn centred(label: Label, left: f64, right: f64) -> Label {
    let half = taken(&label) / 2.0;
    let x = label.at.0.min(right - half).max(left + half);
    Label { at: (x, label.at.1), anchor: Anchor::Middle, ..label }
}

/// Returns how far a character moves on, as a share of the size; one that no font has is taken for a wide one.
fn advance(c: char, bold: bool) -> f64 {
    let plain = &PLAIN[usize::from(bold)];
    plain.get(c as usize).copied().unwrap_or_else(|| looked_up(c, bold))
}

fn looked_up(c: char, bold: bool) -> f64 {
    // The fonts stand in the order of their use: regular and bold, then regular and bold of the further font.
    let found = FACES.iter().skip(usize::from(bold)).step_by(2).find_map(|face| {
        let glyph = face.glyph_index(c)?;
        Some(f64::from(face.glyph_hor_advance(glyph)?) / f64::from(face.units_per_em().max(1)))
    });
    found.unwrap_or(if c.is_control() { 0.0 } else { 1.0 })
}
