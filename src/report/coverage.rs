//! Which characters the fonts of a PDF can draw.
//!
//! An archival PDF must not hold a character without a picture, and the typesetter then gives no PDF at all. So a
//! character that no font draws is shown by its number, and the report says so. Takes the fonts and the report;
//! gives a report that can be drawn and the characters it had to replace.

use std::collections::BTreeSet;

use serde_json::Value;
use ttf_parser::Face;
use unicode_segmentation::UnicodeSegmentation;

use super::document::{Block, Report, Section};
use crate::diagnostic::hidden;

/// The fonts that a report is drawn with.
pub struct Coverage<'a> {
    faces: Vec<Face<'a>>,
}

impl<'a> Coverage<'a> {
    /// Returns what the fonts cover; a file that is no font covers nothing.
    pub fn of(fonts: &[&'a [u8]]) -> Coverage<'a> {
        let faces = |font: &&'a [u8]| {
            let font = *font;
            let count = ttf_parser::fonts_in_collection(font).unwrap_or(1);
            (0..count).filter_map(move |index| Face::parse(font, index).ok())
        };
        Coverage { faces: fonts.iter().flat_map(faces).collect() }
    }

    /// Returns the report with every character that can't be drawn shown by its number, and those characters.
    ///
    /// When there are any, the first section closes with a notice that says so.
    pub fn drawable(&self, report: &Report) -> (Report, Vec<char>) {
        let mut missing = BTreeSet::new();
        let mut drawn = report.map_texts(|text| self.draw(text, &mut missing));
        if !missing.is_empty() {
            if drawn.sections.is_empty() {
                drawn.sections.push(Section {
                    id: "print".to_owned(),
                    title: String::new(),
                    blocks: Vec::new(),
                    new_page: false,
                });
            }
            let notice = notice(&missing, "report");
            drawn.sections[0].blocks.push(Block::Notice(format!(
                "{notice} The attached file report.json holds every text as it was recorded."
            )));
        }
        (drawn, missing.into_iter().collect())
    }

    /// Returns every text of some data as it can be drawn; what was missing is added to `missing`. Keys stay as they are.
    pub fn draw_all(&self, data: Value, missing: &mut BTreeSet<char>) -> Value {
        match data {
            Value::String(text) => Value::String(self.draw(&text, missing)),
            Value::Array(parts) => parts.into_iter().map(|part| self.draw_all(part, missing)).collect(),
            Value::Object(parts) => parts.into_iter().map(|(key, part)| (key, self.draw_all(part, missing))).collect(),
            other => other,
        }
    }

    /// Returns a text with every character that can't be drawn shown by its number, and adds those to `missing`.
    fn draw(&self, text: &str, missing: &mut BTreeSet<char>) -> String {
        if text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
            return text.to_owned();
        }
        let mut drawn = String::with_capacity(text.len());
        for letter in text.graphemes(true) {
            match letter {
                "\n" | "\r\n" | "\r" => drawn.push('\n'),
                "\t" => drawn.push(' '),
                letter if self.covers(letter) => drawn.push_str(letter),
                letter => self.draw_apart(letter, &mut drawn, missing),
            }
        }
        drawn
    }

    /// Draws what can be drawn of a letter whose parts are in no font together.
    fn draw_apart(&self, letter: &str, drawn: &mut String, missing: &mut BTreeSet<char>) {
        for (at, c) in letter.char_indices() {
            if at == 0 && self.covers(c.encode_utf8(&mut [0; 4])) {
                drawn.push(c);
            } else {
                missing.insert(c);
                drawn.push_str(&hidden::number(c));
            }
        }
    }

    /// Returns whether one font has all parts of the letter.
    ///
    /// A letter whose parts come from two fonts is worse than a missing one: the typesetter draws the mark and
    /// leaves out the letter, and says nothing.
    fn covers(&self, letter: &str) -> bool {
        let pictured = |face: &Face, c: char| face.glyph_index(c).is_some_and(|glyph| glyph.0 != 0);
        letter.chars().all(visible) && self.faces.iter().any(|face| letter.chars().all(|c| pictured(face, c)))
    }
}

/// Returns whether a character has an agreed picture: nothing hidden, no private sign and none of special use.
fn visible(c: char) -> bool {
    let code = u32::from(c);
    let private = (0xE000..=0xF8FF).contains(&code) || code >= 0xF_0000;
    let special = matches!(code, 0xFFF0..=0xFFFC);
    !(hidden::is_hidden(c) || hidden::is_no_character(c) || private || special)
}

/// Returns the sentence that says which characters of a paper, such as a report, are shown by number.
pub fn notice(missing: &BTreeSet<char>, paper: &str) -> String {
    const NAMED: usize = 12;
    let named: Vec<_> = missing.iter().take(NAMED).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
    let others = match missing.len().saturating_sub(NAMED) {
        0 => String::new(),
        others => format!(" and {others} more"),
    };
    let subject = match missing.len() {
        1 => format!("1 character of this {paper} has no picture in the fonts at hand and is"),
        count => format!("{count} characters of this {paper} have no picture in the fonts at hand and are"),
    };
    format!("{subject} shown by number in square brackets: {}{others}.", named.join(", "))
}
