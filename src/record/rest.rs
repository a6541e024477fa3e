//! What of a check can still be judged although some of its answers do not fit the schema.
//!
//! Each of these stands as one that was not done, so that whatever else is wrong is told at the same time and not only after
//! the first problems are put right. The record made here is never filed.

use super::{Body, Record, kinds, tree};
use crate::diagnostic::{At, Diagnostic};
use serde_json::{Value, json};

/// What makes an entry of the results one answer, and not one for each vaporizer or gas.
const ANSWERS: [&str; 7] = ["reading", "held", "from", "choice", "not-done", "answer", "earlier"];

/// Returns the rest of a check and the JSON pointers of the answers that were left out of it; nothing where it is no check or
/// something besides its answers does not fit.
pub fn of_check(path: &str, bytes: &[u8], problems: &[Diagnostic]) -> Option<(Record, Vec<String>)> {
    let mut json = tree::read(path, bytes).0?.to_json();
    let mut left_out = Vec::new();
    for problem in problems {
        let (At::Value(pointer) | At::Key(pointer)) = &problem.place.at else { return None };
        let answer = answer_at(&json, pointer)?;
        *json.pointer_mut(&answer)? = json!({"not-done": "what stands here does not fit"});
        left_out.push(answer);
    }
    let record = kinds::typed(&json).ok()?;
    matches!(record.body, Body::Check(_)).then_some((record, left_out))
}

/// Returns the pointer of the single answer that a place is in.
fn answer_at(json: &Value, pointer: &str) -> Option<String> {
    let mut parts = pointer.strip_prefix("/results/")?.split('/');
    let entry = format!("/results/{}", parts.next()?);
    let is_one = match json.pointer(&entry)? {
        Value::Object(map) => ANSWERS.iter().any(|word| map.contains_key(*word)),
        _ => true,
    };
    Some(match parts.next().filter(|_| !is_one) {
        Some(each) => format!("{entry}/{each}"),
        None => entry,
    })
}
