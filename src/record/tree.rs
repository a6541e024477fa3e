//! Text to a tree that knows the place of every key and value.
//!
//! Takes the bytes of one file and gives a tree of [`Node`]s and every problem found on the way. Records are a plain subset
//! of YAML 1.2: one document, no anchors, aliases, tags or merge keys, no repeated key, bounded size and depth.
//! A byte-order mark and CRLF from Windows editors are welcome. Nothing here knows what a record means.

use super::unmerged;
use crate::diagnostic::{Diagnostic, Place, counted};
use saphyr_parser::{Event, Parser, ScalarStyle};
use std::ops::Range;

/// The largest file that is read, in bytes.
pub const LARGEST_FILE: u64 = 64 * 1024;
/// The deepest nesting that is read.
pub const DEEPEST_NESTING: usize = 24;

/// A value and the bytes it stands in.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    pub value: Value,
    pub span: Range<usize>,
}

/// A value of the plain subset. Numbers keep their text: `1.50` is not `1.5` to someone who reads a gauge.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    Null,
    Bool(bool),
    Number(String),
    Text(String),
    List(Vec<Node>),
    Map(Vec<Member>),
}

/// A key of a map and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    pub key: String,
    pub key_span: Range<usize>,
    pub node: Node,
}

impl Node {
    /// Returns the member of a map by its key.
    pub fn get(&self, key: &str) -> Option<&Member> {
        match &self.value {
            Value::Map(members) => members.iter().find(|m| m.key == key),
            _ => None,
        }
    }

    /// Returns the text of a text value.
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Returns the same value for the schema to judge.
    pub fn to_json(&self) -> serde_json::Value {
        use serde_json::Value as Json;
        match &self.value {
            Value::Null => Json::Null,
            Value::Bool(b) => Json::Bool(*b),
            Value::Number(text) => serde_json::from_str(text).unwrap_or_else(|_| Json::String(text.clone())),
            Value::Text(text) => Json::String(text.clone()),
            Value::List(items) => Json::Array(items.iter().map(Node::to_json).collect()),
            Value::Map(members) => Json::Object(members.iter().map(|m| (m.key.clone(), m.node.to_json())).collect()),
        }
    }

    /// Returns the member or element at a JSON pointer, with the span of its key when it has one.
    pub fn at(&self, pointer: &str) -> Option<(&Node, Option<Range<usize>>)> {
        let mut node = self;
        let mut key_span = None;
        for part in pointer.split('/').skip(1) {
            let part = part.replace("~1", "/").replace("~0", "~");
            match &node.value {
                Value::Map(members) => {
                    let member = members.iter().find(|m| m.key == part)?;
                    key_span = Some(member.key_span.clone());
                    node = &member.node;
                }
                Value::List(items) => {
                    key_span = None;
                    node = items.get(part.parse::<usize>().ok()?)?;
                }
                _ => return None,
            }
        }
        Some((node, key_span))
    }
}

/// Returns a JSON pointer one step further, with `~` and `/` in the key escaped (RFC 6901).
pub fn step(pointer: &str, key: &str) -> String {
    format!("{pointer}/{}", key.replace('~', "~0").replace('/', "~1"))
}

/// Reads a file's bytes into a tree, collecting every problem. There is no tree when the text is not YAML.
pub fn read(path: &str, bytes: &[u8]) -> (Option<Node>, Vec<Diagnostic>) {
    if bytes.len() as u64 > LARGEST_FILE {
        return (None, vec![too_large(path, bytes.len() as u64)]);
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let at = error.valid_up_to();
            return (
                None,
                vec![
                    Diagnostic::problem(
                        "not-utf-8",
                        Place::bytes(path, at..at + 1),
                        format!("text is not UTF-8 from byte {} on", at + 1),
                    )
                    .label("this byte belongs to another encoding")
                    .help("save the file again with the encoding set to UTF-8"),
                ],
            );
        }
    };
    if let Some(problem) = unmerged::problem(path, text) {
        return (None, vec![problem]);
    }
    Builder::new(path, text).build()
}

/// Returns the first tab in the line of a place or in the two after it: the parser stops before the tab that it cannot take.
fn tab_near(text: &str, at: usize) -> Option<Range<usize>> {
    let begin = text[..at].rfind('\n').map_or(0, |end| end + 1);
    let lines: usize = text[begin..].split_inclusive('\n').take(3).map(str::len).sum();
    let tab = begin + text[begin..begin + lines].find('\t')?;
    Some(tab..tab + 1)
}

/// Returns the problem for a file over the size limit.
pub fn too_large(path: &str, size: u64) -> Diagnostic {
    Diagnostic::problem(
        "file-too-large",
        Place::file(path),
        format!("file has {} bytes, more than the {LARGEST_FILE} that a record may have", size),
    )
    .help("keep pictures and scans elsewhere, and write only their name under `remarks`")
}

struct Builder<'a> {
    path: &'a str,
    text: &'a str,
    /// Length of a byte-order mark, which the parser must not see.
    mark: usize,
    /// Byte offset of each character after the mark: the parser counts characters.
    offsets: Vec<usize>,
    problems: Vec<Diagnostic>,
    open: Vec<Open>,
    root: Option<Node>,
    documents: usize,
}

enum Open {
    List { start: usize, items: Vec<Node> },
    Map { start: usize, members: Vec<Member>, key: Option<(String, Range<usize>)> },
}

impl<'a> Builder<'a> {
    fn new(path: &'a str, text: &'a str) -> Builder<'a> {
        let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        let mut offsets: Vec<usize> = text[mark..].char_indices().map(|(i, _)| i + mark).collect();
        offsets.push(text.len());
        Builder { path, text, mark, offsets, problems: Vec::new(), open: Vec::new(), root: None, documents: 0 }
    }

    fn byte(&self, character: usize) -> usize {
        self.offsets.get(character).copied().unwrap_or(self.text.len())
    }

    /// Returns the bytes of a span, without the line breaks and blanks a block leaves behind it.
    fn bytes(&self, span: saphyr_parser::Span) -> Range<usize> {
        let start = self.byte(span.start.index());
        let end = self.byte(span.end.index()).max(start);
        let trimmed = self.text[start..end].trim_end().len();
        start..start + trimmed
    }

    fn build(mut self) -> (Option<Node>, Vec<Diagnostic>) {
        self.refuse_hidden_characters();
        let text = self.text;
        let mut parser = Parser::new_from_str(&text[self.mark..]);
        while let Some(next) = parser.next_event() {
            match next {
                Ok((event, span)) => {
                    if !self.take(event, span) {
                        return (None, self.problems);
                    }
                }
                Err(error) => {
                    let at = self.byte(error.marker().index());
                    let end = self.text[at..].chars().next().map_or(at, |c| at + c.len_utf8());
                    // A `#` that took the closing bracket with it is told already.
                    let cut = self.problems.last().is_some_and(|last| last.rule == "text-cut-by-hash");
                    if cut && error.info().contains("flow") {
                        return (None, self.problems);
                    }
                    let problem = Diagnostic::problem(
                        "not-yaml",
                        Place::bytes(self.path, at..end),
                        "text is not YAML from here on",
                    )
                    .label(error.info().to_owned());
                    if let Some(tab) = tab_near(self.text, at).filter(|_| error.info().contains("tab")) {
                        self.problems.push(
                            Diagnostic::problem(
                                "not-yaml",
                                Place::bytes(self.path, tab),
                                "text is not YAML from here on",
                            )
                            .label("a tab stands here")
                            .help("write spaces in its place: YAML takes no tab before a key"),
                        );
                        return (None, self.problems);
                    }
                    self.problems.push(match unquoted_colon(self.text, at, error.info()) {
                        Some(line) => {
                            problem.help("if the text itself has a `:` in it, put the whole text in quotes").paste(line)
                        }
                        None => problem.help(
                            "look at this line and the one above it: indentation, a missing `:` or a quote left open",
                        ),
                    });
                    return (None, self.problems);
                }
            }
        }
        if self.root.is_none() {
            self.problems.push(
                Diagnostic::problem("empty-file", Place::file(self.path), "file has nothing in it")
                    .help("write the record, or take the file away if it was never committed"),
            );
        }
        (self.root, self.problems)
    }

    /// Control characters and text-direction overrides can make a record look other than it is.
    fn refuse_hidden_characters(&mut self) {
        let hidden = self.text[self.mark..].char_indices().find(|(_, c)| {
            (c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
                || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
        });
        if let Some((i, c)) = hidden {
            let at = i + self.mark;
            self.problems.push(
                Diagnostic::problem(
                    "hidden-character",
                    Place::bytes(self.path, at..at + c.len_utf8()),
                    format!("text holds the invisible character U+{:04X}", c as u32),
                )
                .label("invisible, but it can change how the line looks")
                .help("delete the character and type the text again"),
            );
        }
    }

    /// Takes one event in; returns false when reading further makes no sense.
    fn take(&mut self, event: Event<'_>, span: saphyr_parser::Span) -> bool {
        let bytes = self.bytes(span);
        match event {
            Event::DocumentStart(_) => {
                self.documents += 1;
                if self.documents == 2 {
                    self.problems.push(
                        Diagnostic::problem(
                            "more-than-one-document",
                            Place::bytes(self.path, bytes),
                            "file holds a second document",
                        )
                        .label("a second document begins here")
                        .help("put each record in a file of its own"),
                    );
                    return false;
                }
            }
            Event::Scalar(text, style, anchor, tag) => {
                self.refuse_beyond_subset(anchor != 0, tag.is_some(), &bytes);
                let value = if style == ScalarStyle::Plain { plain(&text) } else { Value::Text(text.into_owned()) };
                self.put(Node { value, span: bytes }, style);
            }
            Event::SequenceStart(anchor, tag) => {
                self.refuse_beyond_subset(anchor != 0, tag.is_some(), &bytes);
                self.open.push(Open::List { start: bytes.start, items: Vec::new() });
            }
            Event::MappingStart(anchor, tag) => {
                self.refuse_beyond_subset(anchor != 0, tag.is_some(), &bytes);
                self.open.push(Open::Map { start: bytes.start, members: Vec::new(), key: None });
            }
            Event::SequenceEnd | Event::MappingEnd => {
                let closed = self.open.pop();
                let flow_end = self.text[bytes.start..].starts_with([']', '}']);
                let end = if flow_end { bytes.start + 1 } else { bytes.start };
                let node = match closed {
                    Some(Open::List { start, items }) => {
                        let end = if flow_end { end } else { items.last().map_or(end, |n| n.span.end) };
                        Node { value: Value::List(items), span: start..end.max(start) }
                    }
                    Some(Open::Map { start, members, .. }) => {
                        let end = if flow_end { end } else { members.last().map_or(end, |m| m.node.span.end) };
                        Node { value: Value::Map(members), span: start..end.max(start) }
                    }
                    None => return false,
                };
                self.put(node, ScalarStyle::Plain);
            }
            Event::Alias(_) => {
                self.refuse_beyond_subset(true, false, &bytes);
                self.put(Node { value: Value::Null, span: bytes }, ScalarStyle::Plain);
            }
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => {}
        }
        if self.open.len() > DEEPEST_NESTING {
            let at = self.byte(span.start.index());
            self.problems.push(
                Diagnostic::problem(
                    "nested-too-deep",
                    Place::bytes(self.path, at..at + 1),
                    format!("text is nested deeper than {DEEPEST_NESTING} levels"),
                )
                .label("too deep here")
                .help("a record never needs more than a few levels; write it flat"),
            );
            return false;
        }
        true
    }

    fn refuse_beyond_subset(&mut self, anchor: bool, tag: bool, bytes: &Range<usize>) {
        let (what, how) = match (anchor, tag) {
            (true, _) => ("an anchor or alias (`&name`, `*name`)", "write the value out in each place"),
            (false, true) => ("a tag (`!name`)", "write the value without the tag"),
            (false, false) => return,
        };
        self.problems.push(
            Diagnostic::problem(
                "not-plain-yaml",
                Place::bytes(self.path, bytes.clone()),
                format!("record uses {what}"),
            )
            .label("not part of the plain YAML that records are written in")
            .help(how),
        );
    }

    fn put(&mut self, node: Node, style: ScalarStyle) {
        match self.open.last_mut() {
            None => self.root = Some(node),
            Some(Open::List { items, .. }) => items.push(node),
            Some(Open::Map { members, key, .. }) => match key.take() {
                Some((name, key_span)) => {
                    let cut = members.last().is_some_and(|last| cut_number(last, &name, &key_span, &node).is_some());
                    if let Some(first) = members.iter().find(|m| m.key == name).filter(|_| !cut) {
                        self.problems.push(
                            Diagnostic::problem(
                                "repeated-key",
                                Place::bytes(self.path, key_span.clone()),
                                format!("`{name}` is written twice"),
                            )
                            .label("second time")
                            .also(Place::bytes(self.path, first.key_span.clone()), "first time here")
                            .help("keep the one that is right and delete the other"),
                        );
                    } else {
                        let mut node = node;
                        if let Some((problem, whole)) =
                            cut_by_hash(self.path, self.text, &name, &key_span, &node, style)
                        {
                            self.problems.push(problem);
                            // The text is taken as it was meant, so that what the cut did to it is told once.
                            node.value = Value::Text(whole);
                        }
                        members.push(Member { key: name, key_span, node });
                    }
                }
                None => {
                    let name = match &node.value {
                        Value::Text(text) => text.clone(),
                        Value::Number(_) | Value::Bool(_) | Value::Null => self.text[node.span.clone()].to_owned(),
                        Value::List(_) | Value::Map(_) => {
                            self.problems.push(
                                Diagnostic::problem(
                                    "not-plain-yaml",
                                    Place::bytes(self.path, node.span.clone()),
                                    "a list or map stands where a key belongs",
                                )
                                .label("a key must be a word")
                                .help("write a word before the `:`"),
                            );
                            String::new()
                        }
                    };
                    if name == "<<" && style == ScalarStyle::Plain {
                        self.problems.push(
                            Diagnostic::problem(
                                "not-plain-yaml",
                                Place::bytes(self.path, node.span.clone()),
                                "record uses a merge key (`<<`)",
                            )
                            .label("not part of the plain YAML that records are written in")
                            .help("write the values out in each place"),
                        );
                    }
                    *key = Some((name, node.span));
                }
            },
        }
    }
}

/// The fields that hold free text, in which a person may want to write anything.
const FREE_TEXTS: [&str; 7] = ["what", "work", "because", "remarks", "remark", "restricted", "not-done"];

/// Returns the problem of an unquoted free text that ` #` ends before its line does.
///
/// With it comes the text as it was meant.
fn cut_by_hash(
    path: &str,
    text: &str,
    key: &str,
    key_span: &Range<usize>,
    node: &Node,
    style: ScalarStyle,
) -> Option<(Diagnostic, String)> {
    if style != ScalarStyle::Plain || !FREE_TEXTS.contains(&key) {
        return None;
    }
    // A text that begins with the `#` is gone altogether.
    let (start, stop) = match &node.value {
        Value::Text(_) => (node.span.start, node.span.end),
        Value::Null if node.span.is_empty() => {
            let colon = key_span.end + text.get(key_span.end..)?.lines().next()?.find(':')? + 1;
            (colon, colon)
        }
        _ => return None,
    };
    let rest = text.get(stop..)?.lines().next()?;
    if !rest.starts_with([' ', '\t']) || !rest.trim_start().starts_with('#') {
        return None;
    }
    let mut end = stop + rest.trim_end().len();
    // The bracket around it belongs to the file and not to the text.
    for (open, close) in [('{', '}'), ('[', ']')] {
        if rest.trim_end().ends_with(close) && !rest.contains(open) {
            end -= close.len_utf8();
        }
    }
    let hash = stop + rest.find('#')?;
    let whole: Vec<&str> = text.get(start..end)?.trim().lines().map(str::trim).collect();
    let whole = whole.join(" ");
    Some((
        Diagnostic::problem(
            "text-cut-by-hash",
            Place::bytes(path, hash..end),
            format!("`{key}` is cut short by a `#`"),
        )
        .label("everything after # is a comment")
        .help("put the text in quotes; if it is a comment, give it a line of its own")
        .paste(format!("{key}: {}", quoted(&whole))),
        whole,
    ))
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace('\t', "\\t"))
}

/// Returns a line with its text in quotes, when an unquoted text with `: ` in it is why the file is not YAML.
fn unquoted_colon(text: &str, at: usize, why: &str) -> Option<String> {
    if !why.contains("mapping values") {
        return None;
    }
    let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    let line = text.get(start..)?.lines().next()?.trim();
    let (key, value) = line.split_once(": ")?;
    let plain = value.contains(": ") && !value.starts_with(['"', '\'', '{', '[']);
    plain.then(|| format!("{key}: {}", quoted(value.trim())))
}

/// Returns the whole number when a decimal comma cut it in two: a bare number, and right behind its comma a key without
/// a value that begins with a digit.
pub(super) fn cut_number(front: &Member, key: &str, key_span: &Range<usize>, node: &Node) -> Option<String> {
    let Value::Number(number) = &front.node.value else { return None };
    if FREE_TEXTS.contains(&front.key.as_str()) {
        return None;
    }
    let behind_comma = (1..=2).contains(&key_span.start.saturating_sub(front.node.span.end));
    let digits = key.starts_with(|c: char| c.is_ascii_digit());
    let whole = number.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    (behind_comma && digits && whole && node.value == Value::Null).then(|| format!("{number}.{key}"))
}

/// Resolves an unquoted scalar as the core schema of YAML 1.2 does, for the forms a record can use.
/// `no` is a text, `012` and `0x1F` are texts: a number is what a person reads as a decimal number.
fn plain(text: &str) -> Value {
    match text {
        "" | "~" | "null" | "Null" | "NULL" => Value::Null,
        "true" | "True" | "TRUE" => Value::Bool(true),
        "false" | "False" | "FALSE" => Value::Bool(false),
        _ if serde_json::from_str::<serde_json::Number>(text).is_ok() => Value::Number(text.to_owned()),
        _ => Value::Text(text.to_owned()),
    }
}

/// Returns a sentence part that names what a value is, for messages.
pub fn name_of(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::Bool(b) => format!("`{b}` (a yes or no)"),
        Value::Number(text) => format!("the bare number `{text}`"),
        Value::Text(text) => format!("the text `{text}`"),
        Value::List(items) => format!("a list of {}", counted(items.len(), "thing")),
        Value::Map(members) => format!("a map with {}", counted(members.len(), "key")),
    }
}
