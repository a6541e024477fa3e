//! A card with a square code that a camera reads (QR, ISO/IEC 18004), and lines of words beside it.
//!
//! The code is black on white whatever the colours of the page, with the four modules of white around it that the
//! standard asks for, and large enough for a copy of a copy.

use super::WIDTH;
use super::drawing::{Drawing, Label, Role};
use fast_qr::{ECL, QRBuilder};

/// A text as a square code, and what stands beside it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Card {
    pub code: String,
    pub lines: Vec<CardLine>,
}

/// One line beside the code.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CardLine {
    pub words: String,
    pub bold: bool,
}

/// The side of a module in points: 0.6 mm.
const MODULE: f64 = 1.7;
/// The modules of white on each side.
const QUIET: usize = 4;
const GAP: f64 = 14.0;
const LINE: f64 = 11.0;

impl Card {
    /// Draws it. A text that is too long for a code has none.
    pub fn draw(&self) -> Drawing {
        let rows = modules(&self.code);
        let side = if rows.is_empty() { 0.0 } else { MODULE * (rows.len() + 2 * QUIET) as f64 };
        let words = LINE * self.lines.len() as f64 + 3.0;
        let mut drawing = Drawing::sheet(WIDTH, side.max(words));
        if !rows.is_empty() {
            let quiet = MODULE * QUIET as f64;
            drawing.rectangle((0.0, 0.0), (side, side), Role::White, None);
            drawing.cells((quiet, quiet), MODULE, rows, Role::Black);
        }
        let left = if side > 0.0 { side + GAP } else { 0.0 };
        for (at, line) in self.lines.iter().enumerate() {
            let place = (left, LINE * (at + 1) as f64 - 2.0);
            drawing.text(Label::new(&line.words, place, (WIDTH - left).max(0.0)).bold(line.bold));
        }
        drawing
    }
}

/// Returns which modules of the code of a text are dark; none for no text or one that is too long.
fn modules(text: &str) -> Vec<Vec<bool>> {
    // 15 % of what is read may be lost: a stain, a fold.
    let code = match QRBuilder::new(text).ecl(ECL::M).build() {
        Ok(code) if !text.is_empty() && MODULE * (code.size + 2 * QUIET) as f64 <= WIDTH / 2.0 => code,
        _ => return Vec::new(),
    };
    (0..code.size).map(|row| code[row].iter().map(|module| module.value()).collect()).collect()
}
