//! A typed record as the text of its file.
//!
//! The order of the fields is the order a person reads them in. Every text that another YAML reader could take for
//! something else (`no`, `12:30`, a time) is quoted by the library that writes.

use super::{Body, Record};
use serde_json::{Map, Value};

/// The order in which fields are written; a field that is not here comes before `remarks`.
const ORDER: [&str; 24] = [
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
    let mut fields = object(serde_json::to_value(&record.common)?);
    fields.insert("record".to_owned(), Value::from(record.kind()));
    fields.extend(object(match &record.body {
        Body::Check(check) => serde_json::to_value(check)?,
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
    Ok(serde_yaml::to_string(&Value::Object(ordered))?)
}

fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
