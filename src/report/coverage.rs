//! Which characters the fonts of a PDF can draw.
//!
//! An archival PDF must not hold a character without a picture, and the typesetter then gives no PDF at all. So a
//! character that no font draws is shown by its number, and the report says so. Takes the fonts and the report;
//! gives a report that can be drawn and the characters it had to replace.

use std::collections::BTreeSet;

use serde_json::Value;
use ttf_parser::{Face, name_id};
use unicode_segmentation::UnicodeSegmentation;

use super::document::{Block, Report, Section};
use crate::diagnostic::hidden;

/// The fonts that a report is drawn with.
pub struct Coverage<'a> {
    families: Vec<Family<'a>>,
}

/// Fonts of one name, such as the regular and the bold.
struct Family<'a> {
    name: String,
    faces: Vec<Face<'a>>,
}

impl<'a> Coverage<'a> {
    /// Returns what the fonts cover; a file that is no font, or one without a name, covers nothing.
    pub fn of(fonts: &[&'a [u8]]) -> Coverage<'a> {
        let mut families: Vec<Family> = Vec::new();
        for font in fonts {
            let count = ttf_parser::fonts_in_collection(font).unwrap_or(1);
            for face in (0..count).filter_map(|index| Face::parse(font, index).ok()) {
                let Some(name) = family_name(&face) else { continue };
                match families.iter_mut().find(|family| family.name == name) {
                    Some(family) => family.faces.push(face),
                    None => families.push(Family { name, faces: vec![face] }),
                }
            }
        }
        Coverage { families }
    }

    /// Returns the names of the families, in the order in which a letter is looked for.
    pub fn names(&self) -> Vec<&str> {
        self.families.iter().map(|family| family.name.as_str()).collect()
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

    /// Returns whether one font has all parts of the letter, as plain text and as bold text.
    ///
    /// A letter whose parts come from two fonts is worse than a missing one: the typesetter draws the mark and
    /// leaves out the letter, and says nothing.
    fn covers(&self, letter: &str) -> bool {
        letter.chars().all(visible) && stands_alone(letter) && self.families.iter().any(|family| family.has(letter))
    }
}

impl Family<'_> {
    /// Returns whether every face has all parts of the letter: which of them draws it, the place in the report says.
    fn has(&self, letter: &str) -> bool {
        let pictured = |face: &Face, c: char| face.glyph_index(c).is_some_and(|glyph| glyph.0 != 0);
        self.faces.iter().all(|face| letter.chars().all(|c| pictured(face, c)))
    }
}

/// Returns the family's name that a font gives itself: the typographic one (OpenType `name` table, 16) or the plain one (1).
fn family_name(face: &Face) -> Option<String> {
    let named = |id| face.names().into_iter().filter(|name| name.name_id == id).find_map(|name| name.to_string());
    named(name_id::TYPOGRAPHIC_FAMILY).or_else(|| named(name_id::FAMILY))
}

/// Returns whether a letter stays a letter of its own between others.
///
/// A mark at the start of a text or a line joins whatever is drawn before it, which may be of another font; the typesetter
/// then finds no font for it.
fn stands_alone(letter: &str) -> bool {
    format!("a{letter}a").graphemes(true).count() == 3
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
