//! One line a diagnostic: `path:line:column: problem[rule]: headline`.

use super::{Located, one_line};

/// Returns the one-line form, without a line break.
pub fn render(located: &Located) -> String {
    let d = &located.diagnostic;
    format!(
        "{}:{}:{}: {}[{}]: {}",
        one_line(&located.spot.path),
        located.spot.line,
        located.spot.column,
        d.severity.word(),
        d.rule,
        one_line(&d.headline)
    )
}
