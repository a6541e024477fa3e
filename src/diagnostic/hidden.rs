//! Characters that are not seen but change how the text around them looks: the one rule for terminal and report.
//!
//! A machine named with a sign that turns the direction of writing would turn the rest of its sentence around. Takes a
//! character or a text and gives what people see instead. What a record may hold is said where records are read.

/// Returns whether a character is unseen and has an effect: a control sign other than a line feed or a tab, a sign that
/// turns the direction of what stands around it, a mark of byte order, an odd line end.
pub fn is_hidden(c: char) -> bool {
    let controls = c.is_control() && !matches!(c, '\n' | '\t');
    let turns = matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}' | '\u{061C}');
    controls || turns || matches!(c, '\u{FEFF}' | '\u{2028}' | '\u{2029}')
}

/// Returns whether Unicode will never give a meaning to a number; a web page must not hold such a character.
pub fn is_no_character(c: char) -> bool {
    let code = u32::from(c);
    (0xFDD0..=0xFDEF).contains(&code) || code & 0xFFFE == 0xFFFE
}

/// Returns a character by its number, as a report shows it: `[U+202E]`.
pub fn number(c: char) -> String {
    format!("[U+{:04X}]", u32::from(c))
}

/// Returns a text for a report: what is hidden or no character by its number, and every line end as a line feed.
///
/// ```
/// use pinindex::diagnostic::hidden::by_number;
/// assert_eq!(by_number("Theatre \u{202E}1\r\nleft"), "Theatre [U+202E]1\nleft");
/// ```
pub fn by_number(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.replace("\r\n", "\n").replace('\r', "\n").chars() {
        if is_hidden(c) || is_no_character(c) {
            shown.push_str(&number(c));
        } else {
            shown.push(c);
        }
    }
    shown
}

/// Returns JSON for a terminal: what is hidden stands as the escape that means the same to whoever reads JSON.
///
/// ```
/// use pinindex::diagnostic::hidden::json;
/// assert_eq!(json("{\"name\":\"\u{202E}1\u{9B}2J\"}"), r#"{"name":"\u202e1\u009b2J"}"#);
/// ```
pub fn json(line: &str) -> String {
    // A sign of this kind can stand only inside a text, and each of them is one unit of UTF-16.
    let escaped = |c: char| if is_hidden(c) { format!("\\u{:04x}", u32::from(c)) } else { c.to_string() };
    line.chars().map(escaped).collect()
}

/// Returns a text for the inside of an element or an attribute of HTML and XML: as [`by_number`], and nothing in it is
/// markup.
///
/// ```
/// use pinindex::diagnostic::hidden::markup;
/// assert_eq!(markup("\"5 < 6\" & \u{202E}"), "&quot;5 &lt; 6&quot; &amp; [U+202E]");
/// ```
pub fn markup(text: &str) -> String {
    by_number(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
