//! The file by which git judges signatures is not what `people.yaml` gives.

use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::logbook::ALLOWED_SIGNERS_FILE;

pub const RULE: Rule = Rule {
    name: "allowed-signers-differ",
    severity: Severity::Problem,
    page: include_str!("allowed_signers_differ.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    // Without a site nobody knows when its days begin, and without people there is nothing to compare with.
    if facts.contents.site.is_none() || facts.contents.people.is_empty() {
        return Vec::new();
    }
    let headline = match (&facts.contents.allowed_signers, facts.contents.due_allowed_signers()) {
        (None, Some(_)) => "`people.yaml` has signing keys, and there is no `allowed-signers`",
        (Some(_), None) => "`allowed-signers` names keys, and `people.yaml` has none",
        (Some(is), Some(due)) if *is != due => "`allowed-signers` is not what `people.yaml` gives",
        _ => return Vec::new(),
    };
    vec![
        Diagnostic::problem("allowed-signers-differ", Place::file(ALLOWED_SIGNERS_FILE), headline)
            .help("look at the keys in `people.yaml`; `pinindex keep --by ID` writes `allowed-signers` anew from them"),
    ]
}
