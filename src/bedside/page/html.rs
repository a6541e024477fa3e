//! The page as one HTML text: its data, its program and its style, and nothing from outside.

use super::Page;
use crate::bedside::policy;
use crate::diagnostic::hidden::{by_number, markup};
use serde_json::Value;

const STYLE: &str = include_str!("page.css");
/// In the order of their dependence: each part only asks those before it.
const PROGRAM: [&str; 10] = [
    include_str!("judge.js"),
    include_str!("record.js"),
    include_str!("holds.js"),
    include_str!("dom.js"),
    include_str!("draft.js"),
    include_str!("alone.js"),
    include_str!("notices.js"),
    include_str!("card.js"),
    include_str!("ends.js"),
    include_str!("page.js"),
];

/// Returns the page.
///
/// Its policy allows exactly its own program and style, by their SHA-256, and no request at all.
///
/// # Errors
/// Only when a part of the page has no form in JSON, which no page has.
pub fn html(page: &Page) -> serde_json::Result<String> {
    // A text of the logbook can hold the end of a script: no `<` is left in the data that could begin it.
    let data = shown(serde_json::to_value(page)?).to_string().replace('<', "\\u003c");
    let program = PROGRAM.concat();
    let title = markup(&format!("{}: {}", page.machine.name, page.procedure.title));
    let policy = policy::of(STYLE, &program);
    Ok(format!(
        r#"<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>{title}</title>
<style>{STYLE}</style>
</head>
<body>
<noscript><p>This page needs JavaScript, and this browser runs none here. Use another browser, or the paper form: <code>pinindex paper {machine}</code> makes it.</p></noscript>
<div id="page"></div>
<script type="application/json" id="data">{data}</script>
<script>{program}</script>
</body>
</html>
"#,
        machine = markup(&page.machine.id),
    ))
}

/// Returns the data with what is hidden in its texts by its number: a name must not turn the sentences of the page.
///
/// What the page writes into a record are ids, which hold no such sign.
fn shown(data: Value) -> Value {
    match data {
        Value::String(text) => Value::String(by_number(&text)),
        Value::Array(items) => Value::Array(items.into_iter().map(shown).collect()),
        Value::Object(members) => members.into_iter().map(|(key, value)| (key, shown(value))).collect(),
        other => other,
    }
}
