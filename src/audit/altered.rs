//! Records and seals that did not stay what they were: edited, renamed, taken away, or lost where two histories met.
//!
//! Every such commit is told, also when a later one brought the old text back: an auditor asks what was done, not only what
//! is left of it.

use super::account::RecordAccount;
use super::words::made;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{Change, Content, Step, Trail, is_for_ever, is_record_kept};
use std::collections::HashMap;

/// What is known of a file on the way.
struct Known<'a> {
    added: &'a Step,
    /// The place of that commit among the steps.
    at: usize,
    /// What it was when it came in.
    first: Content,
    /// Whether a problem already says why it is not there as it was.
    told: bool,
}

/// Returns a problem for every commit that altered a record or a seal.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let mut known: HashMap<&str, Known<'_>> = HashMap::new();
    let mut problems = Vec::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        for change in step.changes.iter().filter(|change| is_for_ever(&change.path)) {
            match known.get_mut(change.path.as_str()) {
                None => {
                    if let Some(first) = change.now {
                        known.insert(&change.path, Known { added: step, at, first, told: false });
                    }
                }
                // Another history that knew nothing of it has one of the same name: told where the two are merged.
                Some(file) if is_new(change) && !evidence.trail.graph.leads_to(file.at, at) => {}
                Some(file) if step.parents.len() < 2 => {
                    // The old text that comes back is told with what took it away.
                    let is_back = file.told && change.now == Some(file.first);
                    if !is_back {
                        problems.push((Some(at), altered(step, change, file)));
                    }
                    file.told = !is_back;
                }
                Some(file) => {
                    if let Some(problem) = in_merge(evidence.trail, step, change, file) {
                        problems.push((Some(at), problem));
                        file.told = true;
                    }
                }
            }
        }
    }
    problems
}

fn is_new(change: &Change) -> bool {
    change.before.iter().all(Option::is_none)
}

/// Returns what lies at a path that is for ever.
pub(super) fn word(path: &str) -> &'static str {
    if path.starts_with("seals/") { "seal" } else { "record" }
}

fn altered(step: &Step, change: &Change, file: &Known<'_>) -> Diagnostic {
    let before = change.before.first().copied().flatten();
    let moved = step.changes.iter().find(|other| {
        change.now.is_none() && other.now.is_some() && other.now == before && other.before.iter().all(Option::is_none)
    });
    let what = match (change.now, moved) {
        (Some(_), _) => "changed".to_owned(),
        (None, Some(other)) => format!("renamed to {}", other.path),
        (None, None) => "taken away".to_owned(),
    };
    let headline = format!("{} was {what} after it was committed", word(&change.path));
    story(Diagnostic::problem("record-altered", Place::file(&change.path), headline), &what, step, file)
}

/// Adds what was done, by whom, and the lines that show it and that bring the committed text back.
fn story(problem: Diagnostic, what: &str, step: &Step, file: &Known<'_>) -> Diagnostic {
    let path = problem.place.path.clone();
    problem
        .label(format!("committed {}; {what} {}", made(file.added), made(step)))
        .help("see what was done with the first line below; the second brings the committed text back")
        .paste(format!(
            "git show {} -- {path}\ngit checkout {} -- {path}",
            step.commit.short(),
            file.added.commit.short()
        ))
}

/// Returns whether a merge left a text of one of its parents out for good: it is no record of this name, with or without a number.
fn is_dropped(trail: &Trail, change: &Change, text: Content) -> bool {
    Some(text) != change.now && !is_record_kept(&trail.last, &change.path, text)
}

/// Returns the problem of a merge that has not what the histories that met in it had.
fn in_merge(trail: &Trail, step: &Step, change: &Change, file: &Known<'_>) -> Option<Diagnostic> {
    let had = change.before.iter().flatten().count();
    let word = word(&change.path);
    let place = Place::file(&change.path);
    let lost = |headline: String| Diagnostic::problem("record-lost-in-merge", place.clone(), headline);
    match change.now {
        None if had > 0 && !file.told => {
            let headline = format!("{word} was lost where two histories were merged");
            Some(story(lost(headline), "left out", step, file))
        }
        Some(now) if !change.before.contains(&Some(now)) && now != file.first => {
            let headline = format!("{word} was changed in a merge after it was committed");
            Some(story(Diagnostic::problem("record-altered", place, headline), "changed", step, file))
        }
        // Two histories had two texts under one name, and only one of them is left.
        Some(_)
            if had > 1 && !file.told && change.before.iter().flatten().any(|one| is_dropped(trail, change, *one)) =>
        {
            let headline = format!("two {word}s had this name, and a merge kept only one of them");
            Some(story(lost(headline), "merged", step, file))
        }
        _ => None,
    }
}
