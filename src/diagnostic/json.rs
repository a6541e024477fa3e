//! One JSON object a line, for scripts. Every field is always there; a field is only ever added, never renamed.

use super::{Located, Severity, Spot, hidden};
use serde::Serialize;

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Line<'a> {
    path: &'a str,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    severity: Severity,
    rule: &'a str,
    headline: &'a str,
    label: &'a str,
    limit: Option<&'a str>,
    help: &'a str,
    paste: Option<&'a str>,
    also: Vec<Also<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Also<'a> {
    path: &'a str,
    line: usize,
    column: usize,
    text: &'a str,
}

/// Returns the JSON form on one line, without a line break.
pub fn render(located: &Located) -> String {
    let d = &located.diagnostic;
    let Spot { path, line, column, end_line, end_column, .. } = &located.spot;
    let line = Line {
        path,
        line: *line,
        column: *column,
        end_line: *end_line,
        end_column: *end_column,
        severity: d.severity,
        rule: d.rule,
        headline: &d.headline,
        label: &d.label,
        limit: d.limit.as_deref(),
        help: &d.help,
        paste: d.paste.as_deref(),
        also: located
            .also
            .iter()
            .zip(&d.also)
            .map(|(spot, (_, text))| Also { path: &spot.path, line: spot.line, column: spot.column, text })
            .collect(),
    };
    hidden::json(&serde_json::to_string(&line).unwrap_or_default())
}
