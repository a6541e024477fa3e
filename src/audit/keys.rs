//! What commits did to the keys and addresses of people: taken off the list, brought back after their end, given to another.
//!
//! Signatures of the past are judged by what the list says today. Whoever changes it so that a key is missing or counts again
//! turns what was said of them.

use super::account::RecordAccount;
use super::known::{List, address};
use super::people::People;
use super::words::{made, place};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Severity};
use crate::logbook::{PEOPLE_FILE, Step};
use crate::record::Moment;
use crate::register::{BroughtBack, KeyChange, KeyDeed, key_changes};
use std::collections::HashSet;

/// Returns what is wrong with the changes of keys and addresses.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let people = People::of(evidence);
    let nobody = List::new();
    let mut told: Vec<Found> = Vec::new();
    let mut seen = HashSet::new();
    for (at, before, now) in people.changes() {
        let Some(step) = evidence.trail.steps.get(at) else { continue };
        let (before, now) = (before.unwrap_or(&nobody), now.unwrap_or(&nobody));
        let day = evidence.contents.day(Moment(step.commit.time));
        let of_keys = key_changes(before, now, day).into_iter().map(|change| of_key(step, &change));
        let all =
            of_keys.chain(keys_of_others(&people, step, before, now)).chain(addresses(&people, step, before, now));
        // A merge changes what each of its sides had, and does it once.
        told.extend(all.filter(|one| seen.insert((at, one.headline.clone()))).map(|one| (Some(at), one)));
    }
    told
}

fn of_key(step: &Step, change: &KeyChange) -> Diagnostic {
    let name = &change.name;
    let told = match &change.done {
        KeyDeed::TakenAway => {
            Diagnostic::problem("key-taken-away", place(step), format!("a key of {name} was taken off the list"))
                .label(format!("key {}; taken away {}", change.key, made(step)))
                .help("put it back as it stood; a key that must not count any more gets `until` or `revoked`")
        }
        KeyDeed::BroughtBack(back) => {
            let mut told = Diagnostic::problem(
                "key-brought-back",
                place(step),
                format!("a key of {name} {}", brought_back(back)),
            )
            .label(format!("key {}; changed {}", change.key, made(step)))
            .help(format!(
                "ask {} and {name}; what ended stays as it was, and whoever needs a key again makes another one",
                step.commit.committer_name
            ));
            if !back.had_ended {
                told.severity = Severity::Finding;
            }
            told
        }
    };
    shown(told, step)
}

fn brought_back(back: &BroughtBack) -> String {
    let was = match (back.revoked, back.last) {
        (Some(on), _) => format!("was revoked from {on} on"),
        (None, Some(last)) => format!("had {last} as its last day"),
        (None, None) => "had an end".to_owned(),
    };
    match back.now {
        Some(now) => format!("{was}, and counts until {now} now"),
        None => format!("{was}, and counts without an end now"),
    }
}

/// Returns a problem for each key that somebody gets and that is or was somebody else's.
fn keys_of_others(people: &People<'_>, step: &Step, before: &List, now: &List) -> Vec<Diagnostic> {
    let known = people.known_before(step);
    let mut problems = Vec::new();
    for (id, person) in now {
        let is_new = |key: &_| !before.get(id).is_some_and(|person| person.has_key(key));
        for key in person.fingerprints().filter(is_new) {
            let also = now.iter().find(|(other, person)| *other != id && person.has_key(&key)).map(|(_, other)| other);
            let was = if known.has_key(&key) && !known.is_key_of(&key, id) { known.owner(&key) } else { None };
            let Some(other) = was.or(also) else { continue };
            let headline = format!("a key was put under the name of {} that is the key of {}", person.name, other.name);
            let problem = Diagnostic::problem("key-of-another-person", place(step), headline)
                .label(format!("key {key}; put there {}", made(step)))
                .help(format!("ask {} why; what is signed with it counts for nobody else", step.commit.committer_name));
            problems.push(shown(problem, step));
        }
    }
    problems
}

/// Returns a problem for each address that two people have, and a finding for each that was somebody else's before.
fn addresses(people: &People<'_>, step: &Step, before: &List, now: &List) -> Vec<Diagnostic> {
    let known = people.known_before(step);
    let mut told = Vec::new();
    for (id, person) in now {
        let own = address(person);
        if before.get(id).is_some_and(|person| address(person) == own) {
            continue;
        }
        let also = now.iter().find(|(other, person)| *other != id && address(person) == own).map(|(_, other)| other);
        let was = known.other_with_address(&own, id).filter(|_| !known.had_address(&own, id));
        let (headline, is_shared) = match (also, was) {
            (Some(other), _) => (format!("{} and {} got one address", other.name, person.name), true),
            (None, Some(other)) => (format!("{} got the address that was that of {}", person.name, other.name), false),
            (None, None) => continue,
        };
        let mut diagnostic = Diagnostic::problem("address-of-another-person", place(step), headline)
            .label(format!("{own}; put there {}", made(step)))
            .help(format!(
                "ask {} why; git knows people by their address, and what was committed with this one could be either's",
                step.commit.committer_name
            ));
        if !is_shared {
            diagnostic.severity = Severity::Finding;
        }
        told.push(shown(diagnostic, step));
    }
    told
}

fn shown(diagnostic: Diagnostic, step: &Step) -> Diagnostic {
    diagnostic.paste(format!("git show {} -- {PEOPLE_FILE}", step.commit.short()))
}
