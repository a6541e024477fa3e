//! Commits of somebody who is nobody of the hospital, under a name that is not theirs, or by another than wrote the record
//! down.

use super::account::RecordAccount;
use super::people::People;
use super::setup::Bringers;
use super::words::{commit, place, same_words};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{PEOPLE_FILE, Step, is_kept, parse_record_path};
use std::collections::HashSet;

/// Returns what is wrong with who made the commits.
pub(super) fn problems(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let people = People::of(evidence);
    let brought = Bringers::of(records);
    let mut told = Vec::new();
    let mut strangers: HashSet<usize> = HashSet::new();
    let mut names: HashSet<(&str, &str)> = HashSet::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        let touches = step.changes.iter().any(|change| is_kept(&change.path) && change.is_own);
        let brings_records = step.changes.iter().any(|change| parse_record_path(&change.path).is_some());
        // The first commit may be the program's: its examples are there before any person is.
        if !touches || (step.parents.is_empty() && !brings_records) {
            continue;
        }
        let info = &step.commit;
        let author = people.with_email(at, &info.author_email);
        // Until the first record a logbook is being set up, and whoever does it writes themselves in.
        let lets_self_in = lets_self_in(&people, step) && !brought.all_stand_on(&evidence.trail.graph, at);
        if author.is_empty() || lets_self_in {
            strangers.insert(at);
            told.push((Some(at), stranger(step, lets_self_in && !author.is_empty())));
            continue;
        }
        let own_name = |name: &str| author.iter().any(|(_, person)| same_words(&person.name, name));
        if !own_name(&info.author_name) && names.insert((&info.author_name, &info.author_email)) {
            told.push((Some(at), other_name(step, &author[0].1.name)));
        }
        if people.with_email(at, &step.commit.committer_email).is_empty() {
            told.push((Some(at), unknown_committer(step)));
        }
    }
    for (record, at) in records.iter().flat_map(|record| record.brought().map(move |at| (record, at))) {
        let Some((step, says)) = evidence.trail.steps.get(at).zip(record.says.as_ref()) else { continue };
        if strangers.contains(&at) {
            continue;
        }
        let author = people.with_email(at, &step.commit.author_email);
        if author.iter().any(|(id, _)| *id == says.recorder) {
            continue;
        }
        let headline = format!("record says `{}` wrote it down, and its commit is by another author", says.recorder);
        let problem = Diagnostic::problem("author-is-not-recorder", Place::file(&record.path), headline)
            .label(format!("{} is by {}", step.commit.short(), author_of(step)))
            .help("ask both; a record is committed under the name of who wrote it down");
        told.push((Some(at), problem));
    }
    told
}

/// Returns whether a commit changes the people and is by somebody whom the people before it did not have.
fn lets_self_in(people: &People<'_>, step: &Step) -> bool {
    step.changes.iter().any(|change| change.path == PEOPLE_FILE && change.is_own)
        && people.was_stranger_before(step, &step.commit.author_email)
}

fn stranger(step: &Step, lets_self_in: bool) -> Diagnostic {
    let by = commit(&step.commit);
    let (headline, help) = if lets_self_in {
        (
            format!("{by} changes the people and is by somebody who was not among them before"),
            "ask who let them in; somebody who is among the people keeps a change of `people.yaml`",
        )
    } else {
        (
            format!("author of {by} is not among the people"),
            "ask who this is; if they belong here, put them with this address into `people.yaml`",
        )
    };
    Diagnostic::problem("author-not-among-people", place(step), headline)
        .label(format!("by {}", author_of(step)))
        .help(help)
        .paste(format!("git show --format=fuller {}", step.commit.short()))
}

fn unknown_committer(step: &Step) -> Diagnostic {
    let headline = format!("{} was made by somebody who is not among the people", commit(&step.commit));
    Diagnostic::problem("committer-not-among-people", place(step), headline)
        .label(format!(
            "made by {} <{}> in the name of {}",
            step.commit.committer_name, step.commit.committer_email, step.commit.author_name
        ))
        .help("ask both who did this; this program lets each person commit for themselves")
        .paste(format!("git show --format=fuller {}", step.commit.short()))
}

fn other_name(step: &Step, name: &str) -> Diagnostic {
    let headline = format!(
        "author of {} is called `{}` and has the address of {name}",
        commit(&step.commit),
        step.commit.author_name
    );
    Diagnostic::finding("author-name-differs", place(step), headline)
        .label(format!("by {}", author_of(step)))
        .help("ask whose commit it is; look at every letter, some look like others. Told once for each name")
        .paste(format!("git log --format=fuller --author='<{}>'", step.commit.author_email))
}

fn author_of(step: &Step) -> String {
    format!("{} <{}>", step.commit.author_name, step.commit.author_email)
}
