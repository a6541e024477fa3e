//! A typed record as the text of its file.
//!
//! The order of the fields is the order a person reads them in. Every text that another YAML reader could take for
//! something else (`no`, `12:30`, a time) is quoted by the library that writes. A character that turns the direction of a
//! line is written as an escape, because the reader refuses it as such: on a screen it would hide what the record says.

use super::{Body, Record};
use serde::{Serialize, Serializer};
use serde_json::{Map, Value};
use serde_yaml::DoubleQuoted;

/// The order in which fields are written; a field that is not here comes before `remarks`.
const ORDER: [&str; 25] = [
    "record",
    "machine",
    "procedure",
    "revision",
    "fault",
    "faults",
    "of",
    "found",
    "started",
    "finished",
    "released",
    "recorded",
    "by",
    "recorded-by",
    "emergency-start",
    "form",
    "found-during",
    "what",
    "use",
    "cause",
    "work",
    "proved-by",
    "next-due",
    "because",
    "results",
];

/// Returns the YAML text of a record.
///
/// # Errors
/// Only when the library that writes YAML refuses, which no record that can be read makes it do.
pub fn text(record: &Record) -> anyhow::Result<String> {
    let text = serde_yaml::to_string(&Written(&value(record)?))?;
    // They stand in double quotes only, where an escape means the character itself.
    let escaped = |c: char| if turns_the_line(c) { format!("\\u{:04X}", u32::from(c)) } else { c.to_string() };
    Ok(if text.contains(turns_the_line) { text.chars().map(escaped).collect() } else { text })
}

/// Returns what the text of a record says: its fields in the order they are written in.
///
/// # Errors
/// Only when a part of the record has no form in JSON, which no record that can be read has.
pub fn value(record: &Record) -> anyhow::Result<Value> {
    let mut fields = object(serde_json::to_value(&record.common)?);
    fields.insert("record".to_owned(), Value::from(record.kind()));
    fields.extend(object(match &record.body {
        Body::Check(check) => serde_json::to_value(&**check)?,
        Body::Fault(fault) => serde_json::to_value(fault)?,
        Body::Repair(repair) => serde_json::to_value(repair)?,
        Body::Release(release) => serde_json::to_value(release)?,
        Body::Service(service) => serde_json::to_value(service)?,
        Body::Void(void) => serde_json::to_value(void)?,
    }));
    let mut ordered = Map::new();
    for key in ORDER {
        if let Some(value) = fields.shift_remove(key) {
            ordered.insert(key.to_owned(), value);
        }
    }
    let remarks = fields.shift_remove("remarks");
    ordered.extend(fields);
    if let Some(remarks) = remarks {
        ordered.insert("remarks".to_owned(), remarks);
    }
    Ok(Value::Object(ordered))
}

/// A value whose texts are in double quotes where an escape will be needed.
struct Written<'a>(&'a Value);

impl Serialize for Written<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0 {
            Value::String(text) if text.contains(turns_the_line) => DoubleQuoted(text).serialize(serializer),
            Value::Array(items) => serializer.collect_seq(items.iter().map(Written)),
            Value::Object(fields) => serializer.collect_map(fields.iter().map(|(key, value)| (key, Written(value)))),
            other => other.serialize(serializer),
        }
    }
}

/// Returns whether a character embeds, overrides or isolates the direction of the text around it.
fn turns_the_line(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
