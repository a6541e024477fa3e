//! How a sheet is laid out: which way the page is turned, how high a row is, how large its words are.
//!
//! Both renderings take these numbers, so that a sheet looks the same from the typesetter and from a browser. A row is
//! written in by hand, with gloves on: 7 mm where the sheet allows it (common practice).

use super::Row;
use crate::register::site;
use serde::Serialize;

/// The measures of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Layout {
    pub paper: site::Paper,
    pub landscape: bool,
    /// The least height of a row, in millimetres.
    pub row: f64,
    /// The size of an item's title, in points; its instruction and limits are smaller.
    pub text: f64,
    /// Whether the instructions are printed; where not, the sheet says where they stand.
    pub instructions: bool,
}

/// The margin on every side, in millimetres, without the foot: what old printers leave white.
const MARGIN: f64 = 7.0;

impl Layout {
    /// Returns the measures for these rows.
    pub fn of(paper: site::Paper, rows: &[Row], week: bool) -> Layout {
        if week { of_week(paper, rows) } else { of_day(paper, rows) }
    }
}

/// Returns width and height of a page upright, in millimetres (ISO 216; 8.5 by 11 inches).
fn size(paper: site::Paper) -> (f64, f64) {
    match paper {
        site::Paper::A4 => (210.0, 297.0),
        site::Paper::UsLetter => (215.9, 279.4),
    }
}

/// Landscape where every row finds 7 mm there, upright where it has more rows, and two pages where even that gives
/// less than 5.5 mm.
fn of_week(paper: site::Paper, rows: &[Row]) -> Layout {
    // Head, foot, remarks and the margins.
    const AROUND: f64 = 76.0;
    const WIDEST: f64 = 9.0;
    const WANTED: f64 = 7.0;
    const LEAST: f64 = 5.5;
    let (width, height) = size(paper);
    // Besides the steps: started, finished, initials.
    let lines: usize = rows.iter().map(|row| row.blanks.len().max(1)).sum::<usize>() + 3;
    let lines = u32::try_from(lines).map_or(f64::MAX, f64::from);
    let (lying, upright) = ((width - AROUND) / lines, (height - AROUND) / lines);
    let landscape = lying >= WANTED;
    let row = match (landscape, upright >= LEAST) {
        (true, _) => lying.min(WIDEST),
        (false, true) => upright.min(WIDEST),
        (false, false) => WANTED,
    };
    // In tenths: what is printed must not hang on the last bit.
    let row = (row * 10.0).floor() / 10.0;
    Layout { paper, landscape, row, text: if row < 6.5 { 7.0 } else { 7.5 }, instructions: false }
}

/// On the front alone where that stays legible; else on front and back, with smaller words, and at last without
/// instructions.
fn of_day(paper: site::Paper, rows: &[Row]) -> Layout {
    // Margins, head, foot and the end of the sheet.
    const AROUND: f64 = 170.0;
    // The margins and the table's head on the back, and what may stay white where a row goes over to it.
    const BACK: f64 = 40.0;
    let (width, height) = size(paper);
    let layout = |text: f64, row, instructions| Layout { paper, landscape: false, row, text, instructions };
    let fits = |layout: &Layout, pages: f64| {
        let rows: f64 = rows.iter().map(|row| high(layout, row, width - 2.0 * MARGIN)).sum();
        rows <= pages * height - AROUND - (pages - 1.0) * BACK
    };
    let front = [layout(8.5, 8.0, true), layout(8.0, 7.5, true)].into_iter().find(|layout| fits(layout, 1.0));
    let said = [layout(9.0, 8.5, true), layout(8.5, 8.0, true), layout(8.0, 7.5, true), layout(7.5, 7.0, true)];
    let both = || said.into_iter().chain([layout(8.5, 8.0, false)]).find(|layout| fits(layout, 2.0));
    front.or_else(both).unwrap_or(layout(7.5, 7.0, false))
}

/// Returns about how high a row of a day sheet is, in millimetres.
fn high(layout: &Layout, row: &Row, width: f64) -> f64 {
    const POINT: f64 = 25.4 / 72.0;
    // The columns beside the item's.
    const BESIDE: f64 = 113.0;
    // A letter is about 0.52 of its size wide, a line 1.15 of it high.
    let lines = |letters: usize, size: f64| {
        let letters = u32::try_from(letters).map_or(f64::MAX, f64::from);
        (letters * 0.52 * size * POINT / (width - BESIDE)).ceil() * 1.15 * size * POINT
    };
    let small = layout.text - 1.0;
    let instruction = row.instruction.as_ref().filter(|_| layout.instructions).map_or(0, |text| text.chars().count());
    let sourced: usize = row.limits.iter().map(|limit| limit.name.len() + limit.value.len() + 5).sum();
    let words = lines(row.title.chars().count(), layout.text)
        + lines(instruction, small)
        + lines(sourced.max(row.short_limits.len()), small)
        + lines(row.by.as_ref().map_or(0, |by| by.chars().count()), small)
        + 1.8;
    let room = row.blanks.len().max(row.initials.len()).max(1);
    let room = u32::try_from(room).map_or(f64::MAX, f64::from);
    words.max(layout.row * room)
}
