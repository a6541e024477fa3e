//! What was answered for an item of a check: `pass`, a reading, a hold, "not done, because".
//!
//! An item is answered once, or once for each vaporizer or gas. Failed attempts are kept beside the last one.

use super::{Quantity, tree::step};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Map, Value, json};

/// The results of a check in the order they were written: item id and result.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Results(pub Vec<(String, Entry)>);

/// One item's entry.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    One(ItemResult),
    /// One result for each vaporizer or gas, by its id.
    Each(Vec<(String, ItemResult)>),
}

/// An answer with the failed attempts before it and a remark.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemResult {
    pub answer: Answer,
    /// Attempts before the answer that counts, oldest first.
    pub earlier: Vec<Answer>,
    pub remark: Option<String>,
}

/// What was seen.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    Pass,
    Fail,
    NotFitted,
    Reading(Quantity),
    Held(Quantity),
    PressureHeld { from: Quantity, to: Quantity, time: Quantity },
    Choice(String),
    NotDone(String),
}

/// Returns where a check is answered, as records name it: `suction-vacuum` or `pipeline-pressure/oxygen`.
pub fn place(item: &str, each: Option<&str>) -> String {
    each.map_or_else(|| item.to_owned(), |each| format!("{item}/{each}"))
}

impl ItemResult {
    /// Returns a result without remark or earlier attempts.
    pub fn plain(answer: Answer) -> ItemResult {
        ItemResult { answer, earlier: Vec::new(), remark: None }
    }
}

impl Results {
    /// Returns the entry of an item.
    pub fn get(&self, item: &str) -> Option<&Entry> {
        self.0.iter().find(|(id, _)| id == item).map(|(_, entry)| entry)
    }

    /// Returns every single result with its item, the vaporizer or gas it is for, and its JSON pointer in the record.
    pub fn single(&self) -> impl Iterator<Item = (&str, Option<&str>, &ItemResult, String)> {
        self.0.iter().flat_map(|(item, entry)| {
            let pointer = step("/results", item);
            match entry {
                Entry::One(result) => vec![(item.as_str(), None, result, pointer)],
                Entry::Each(each) => each
                    .iter()
                    .map(|(id, result)| (item.as_str(), Some(id.as_str()), result, step(&pointer, id)))
                    .collect(),
            }
        })
    }
}

impl Answer {
    fn to_json(&self) -> Value {
        match self {
            Answer::Pass => json!("pass"),
            Answer::Fail => json!("fail"),
            Answer::NotFitted => json!("not-fitted"),
            Answer::Reading(q) => json!({ "reading": q }),
            Answer::Held(q) => json!({ "held": q }),
            Answer::PressureHeld { from, to, time } => json!({ "from": from, "to": to, "in": time }),
            Answer::Choice(id) => json!({ "choice": id }),
            Answer::NotDone(because) => json!({ "not-done": because }),
        }
    }

    fn of_json(value: &Value) -> Result<Answer, String> {
        let quantity = |map: &Map<String, Value>, key: &str| -> Result<Quantity, String> {
            let text = map.get(key).and_then(Value::as_str).ok_or_else(|| format!("no `{key}`"))?;
            text.parse().map_err(|e: super::quantity::NotAQuantity| e.to_string())
        };
        let text = |map: &Map<String, Value>, key: &str| -> Result<String, String> {
            Ok(map.get(key).and_then(Value::as_str).ok_or_else(|| format!("no `{key}`"))?.to_owned())
        };
        match value {
            Value::String(word) => match word.as_str() {
                "pass" => Ok(Answer::Pass),
                "fail" => Ok(Answer::Fail),
                "not-fitted" => Ok(Answer::NotFitted),
                other => Err(format!("`{other}` is no answer")),
            },
            Value::Object(map) if map.contains_key("answer") => Answer::of_json(&map["answer"]),
            Value::Object(map) if map.contains_key("reading") => Ok(Answer::Reading(quantity(map, "reading")?)),
            Value::Object(map) if map.contains_key("held") => Ok(Answer::Held(quantity(map, "held")?)),
            Value::Object(map) if map.contains_key("from") => Ok(Answer::PressureHeld {
                from: quantity(map, "from")?,
                to: quantity(map, "to")?,
                time: quantity(map, "in")?,
            }),
            Value::Object(map) if map.contains_key("choice") => Ok(Answer::Choice(text(map, "choice")?)),
            Value::Object(map) if map.contains_key("not-done") => Ok(Answer::NotDone(text(map, "not-done")?)),
            _ => Err("no answer".to_owned()),
        }
    }
}

/// The keys that mark an object as an answer; an object without any of them holds one result for each id.
const ANSWER_KEYS: [&str; 6] = ["answer", "reading", "held", "from", "choice", "not-done"];

impl ItemResult {
    fn to_json(&self) -> Value {
        let mut value = self.answer.to_json();
        if self.earlier.is_empty() && self.remark.is_none() {
            return value;
        }
        if !value.is_object() {
            value = json!({ "answer": value });
        }
        if !self.earlier.is_empty() {
            value["earlier"] = self.earlier.iter().map(Answer::to_json).collect();
        }
        if let Some(remark) = &self.remark {
            value["remark"] = json!(remark);
        }
        value
    }

    fn of_json(value: &Value) -> Result<ItemResult, String> {
        let earlier = match value.get("earlier").and_then(Value::as_array) {
            Some(attempts) => attempts.iter().map(Answer::of_json).collect::<Result<_, _>>()?,
            None => Vec::new(),
        };
        let remark = value.get("remark").and_then(Value::as_str).map(str::to_owned);
        Ok(ItemResult { answer: Answer::of_json(value)?, earlier, remark })
    }
}

impl Serialize for ItemResult {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.to_json().serialize(serializer)
    }
}

impl Serialize for Results {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(item, entry)| {
            let value = match entry {
                Entry::One(result) => result.to_json(),
                Entry::Each(each) => each.iter().map(|(id, result)| (id.clone(), result.to_json())).collect(),
            };
            (item, value)
        }))
    }
}

impl<'de> Deserialize<'de> for Results {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Results, D::Error> {
        let map = Map::<String, Value>::deserialize(deserializer)?;
        let entry = |value: Value| -> Result<Entry, String> {
            match value {
                Value::Object(map) if !ANSWER_KEYS.iter().any(|key| map.contains_key(*key)) => map
                    .into_iter()
                    .map(|(id, value)| Ok((id, ItemResult::of_json(&value)?)))
                    .collect::<Result<_, _>>()
                    .map(Entry::Each),
                value => ItemResult::of_json(&value).map(Entry::One),
            }
        };
        let mut results = Vec::with_capacity(map.len());
        for (item, value) in map {
            let entry = entry(value).map_err(|why| serde::de::Error::custom(format!("`{item}`: {why}")))?;
            results.push((item, entry));
        }
        Ok(Results(results))
    }
}
