//! How wide a text becomes, by the letters of the report's own font.
//!
//! A web page may show another font; its letters are of much the same width, and every text has some room to spare.

use std::sync::LazyLock;

use ttf_parser::Face;
use unicode_segmentation::UnicodeSegmentation;

use super::drawing::{Label, Size};
use crate::report::typeset::FONTS;

static FACES: LazyLock<Vec<Face<'static>>> =
    LazyLock::new(|| FONTS.iter().filter_map(|(_, font)| Face::parse(font, 0).ok()).collect());

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
    let mut kept = String::new();
    for letter in label.content.graphemes(true) {
        kept.push_str(letter);
        if of(&kept) + of(CUT) > label.room + SPARE {
            kept.truncate(kept.len() - letter.len());
            break;
        }
    }
    kept.truncate(kept.trim_end().len());
    kept + CUT
}

/// Returns how far a character moves on, as a share of the size; one that no font has is taken for a wide one.
fn advance(c: char, bold: bool) -> f64 {
    // The fonts stand in the order of their use: regular and bold, then regular and bold of the further font.
    let own = FACES.iter().skip(usize::from(bold)).step_by(2);
    let found = own.into_iter().find_map(|face| {
        let glyph = face.glyph_index(c)?;
        Some(f64::from(face.glyph_hor_advance(glyph)?) / f64::from(face.units_per_em().max(1)))
    });
    found.unwrap_or(if c.is_control() { 0.0 } else { 1.0 })
}
