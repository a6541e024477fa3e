//! A record corrects or voids what it cannot: itself, a later one, or one that is corrected already.

use super::words::name;
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Body;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    name: "correction-does-not-fit",
    severity: Severity::Problem,
    page: include_str!("correction_does_not_fit.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts
        .contents
        .records
        .iter()
        .flat_map(|filed| claims(filed).map(|claim| judge(facts, filed, claim)))
        .flatten()
        .collect()
}

/// Returns the record that a record stands in the place of or takes away: the place of its name, its path, the word.
pub(super) fn claims(filed: &Filed) -> impl Iterator<Item = (&'static str, &str, &'static str)> {
    let voided = match &filed.record.body {
        Body::Void(void) => Some(("/of", void.of.as_str(), "voids")),
        _ => None,
    };
    let corrected = filed.record.common.corrects.as_ref().map(|c| ("/corrects/record", c.record.as_str(), "corrects"));
    voided.into_iter().chain(corrected)
}

fn judge(facts: &Facts, filed: &Filed, claim: (&'static str, &str, &'static str)) -> Option<Diagnostic> {
    let (pointer, path, verb) = claim;
    let problem = |why: &str| {
        let headline = format!("{} {verb} {why}", name(filed));
        Diagnostic::problem("correction-does-not-fit", Place::value(&filed.path, pointer), headline)
    };
    if path == filed.path {
        return Some(problem("itself").label("this very record").help("write the path of the record that was wrong"));
    }
    let target = facts.contents.record(path)?;
    if filed.record.common.recorded < target.record.common.recorded {
        return Some(
            problem("a record that was written down after it")
                .label("written down later")
                .also(Place::value(path, "/recorded"), "written down here")
                .help("write the path of the earlier record, or correct the time under `recorded`"),
        );
    }
    // Of those that name each other the later one is right, and settles the earlier; at the same moment none is.
    if names_back(facts, filed, target) {
        return Some(
            problem("a record that names this one in turn")
                .label("each names the other")
                .help("only the later one can name the earlier one"),
        );
    }
    let newest = newest(facts, filed, path)?;
    let problem = problem("a record that another one has corrected already")
        .label("no longer counts")
        .also(Place::value(newest, "/corrects/record"), "corrected here");
    // Whoever puts the reason of an old void right does not mean to take the good correction away as well.
    if pointer == "/of" && filed.record.common.corrects.is_some() {
        return Some(problem.help("leave that void as it is: what it took out was put right since, and that counts"));
    }
    let field = pointer.rsplit('/').next().unwrap_or_default();
    let help = match verb {
        "voids" => "name the newest instead; what that corrected counts again, unless a further void names it",
        _ => "name the newest instead",
    };
    Some(problem.help(help).paste(format!("{field}: {newest}")))
}

/// Returns whether a record leads back to another one of its moment, itself or through others that it names.
fn names_back<'a>(facts: &Facts<'a>, filed: &Filed, target: &'a Filed) -> bool {
    let (mut open, mut seen) = (vec![target], BTreeSet::new());
    while let Some(one) = open.pop() {
        if one.record.common.recorded != filed.record.common.recorded || !seen.insert(&one.path) {
            continue;
        }
        if claims(one).any(|(_, back, _)| back == filed.path) {
            return true;
        }
        open.extend(claims(one).filter_map(|(_, next, _)| facts.contents.record(next)));
    }
    false
}

/// Returns the record that stood in the place of another one when this record was written, and still counts.
fn newest<'a>(facts: &Facts<'a>, filed: &Filed, path: &str) -> Option<&'a str> {
    let key = |filed: &'a Filed| (filed.record.common.recorded, filed.path.as_str());
    let mine = (filed.record.common.recorded, filed.path.as_str());
    let earlier =
        facts.contents.records.iter().filter(|other| {
            other.record.common.corrects.as_ref().is_some_and(|c| c.record == path) && key(other) < mine
        });
    earlier.filter_map(|other| facts.contents.speaking_for(&other.path)).find(|newest| *newest != filed.path)
}
