//! What a change of the people does to keys that stood there before.
//!
//! A key in the list stays in the list, and its end is final: signatures of the past are judged by what the list says today,
//! so that a key taken off or brought back would turn them.

use super::Person;
use crate::record::Date;
use crate::signature::Fingerprint;
use std::collections::{BTreeMap, BTreeSet};

/// What was done to a key of a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyChange {
    /// The id and the name of whose key it was.
    pub id: String,
    pub name: String,
    pub key: Fingerprint,
    pub done: KeyDeed,
}

/// The things that are done to a key and should not be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KeyDeed {
    /// It does not stand under this id any more.
    TakenAway,
    /// Its end was taken back or put off.
    BroughtBack(BroughtBack),
}

/// An end of a key that was taken back or put off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BroughtBack {
    /// The day from which on it was revoked, if it was.
    pub revoked: Option<Date>,
    /// The last day on which it counted before.
    pub last: Option<Date>,
    /// The last day on which it counts now; nothing when it has no end.
    pub now: Option<Date>,
    /// Whether the end had come: it was revoked, or its last day was over.
    pub had_ended: bool,
}

/// The days of a key under one id, over all its entries.
struct Days {
    last: Option<Date>,
    revoked: Option<Date>,
}

/// Returns what a change of the people, made on a day at the site, does to the keys that stood there before.
pub fn key_changes(before: &BTreeMap<String, Person>, after: &BTreeMap<String, Person>, day: Date) -> Vec<KeyChange> {
    let mut changes = Vec::new();
    for (id, person) in before {
        let keys: BTreeSet<Fingerprint> = person.fingerprints().collect();
        for key in keys {
            let now = after.get(id).and_then(|person| days(person, &key));
            let done = match (days(person, &key), now) {
                (_, None) => Some(KeyDeed::TakenAway),
                (Some(before), Some(now)) => brought_back(&before, &now, day).map(KeyDeed::BroughtBack),
                (None, Some(_)) => None,
            };
            changes.extend(done.map(|done| KeyChange { id: id.clone(), name: person.name.clone(), key, done }));
        }
    }
    changes
}

fn days(person: &Person, key: &Fingerprint) -> Option<Days> {
    let mut days: Option<Days> = None;
    for entry in person.signing_keys.iter().filter(|entry| entry.is(key)) {
        let last = entry.days(person.from, person.until).1;
        let revoked = entry.revoked.as_ref().map(|revoked| revoked.on);
        days = Some(match days {
            None => Days { last, revoked },
            Some(other) => Days {
                last: other.last.zip(last).map(|(one, other)| one.max(other)),
                revoked: [other.revoked, revoked].into_iter().flatten().min(),
            },
        });
    }
    days
}

fn brought_back(before: &Days, now: &Days, day: Date) -> Option<BroughtBack> {
    let is_back = |was: Option<Date>, now: Option<Date>| was.is_some_and(|was| now.is_none_or(|now| was < now));
    if !is_back(before.revoked, now.revoked) && !is_back(before.last, now.last) {
        return None;
    }
    let had_ended = before.revoked.is_some() || before.last.is_some_and(|last| last < day);
    Some(BroughtBack { revoked: before.revoked, last: before.last, now: now.last, had_ended })
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEY: &str = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIAevnEBRxDbPOiCKMi1uEAeOSGyykh91pEK858u4YBrD";

    fn people(yaml: &str) -> BTreeMap<String, Person> {
        let text = yaml.replace("KEY", &format!("key: {KEY}"));
        let text = format!("m-okafor:\n  name: M\n  role: provider\n  email: m@h.example\n  {text}\n");
        serde_yaml::from_str(&text).unwrap()
    }

    /// What is done to the one key by a change on 2026-06-15: the deed, and whether the key had ended.
    fn done(before: &str, after: &str) -> Option<(bool, bool)> {
        let changes = key_changes(&people(before), &people(after), "2026-06-15".parse().unwrap());
        assert!(changes.len() < 2);
        changes.first().map(|change| match &change.done {
            KeyDeed::TakenAway => (true, false),
            KeyDeed::BroughtBack(back) => (false, back.had_ended),
        })
    }

    const OPEN: &str = "signing-keys: [{KEY, from: 2026-01-01}]";
    const ENDED: &str = "signing-keys: [{KEY, from: 2026-01-01, until: 2026-05-31}]";
    const ENDS: &str = "signing-keys: [{KEY, from: 2026-01-01, until: 2026-06-15}]";
    const REVOKED: &str = "signing-keys: [{KEY, from: 2026-01-01, revoked: {on: 2026-06-01, because: lost}}]";
    const REVOKED_LATER: &str = "signing-keys: [{KEY, from: 2026-01-01, revoked: {on: 2026-06-02, because: lost}}]";
    const LEFT: &str = "until: 2026-05-31\n  signing-keys: [{KEY, from: 2026-01-01}]";
    const TWICE: &str =
        "signing-keys: [{KEY, from: 2026-01-01, revoked: {on: 2026-06-01, because: lost}}, {KEY, from: 2026-06-10}]";

    #[test]
    fn an_end_may_come_earlier_and_never_later() {
        for (before, after) in [(OPEN, OPEN), (OPEN, ENDED), (ENDED, ENDED), (OPEN, REVOKED), (ENDS, REVOKED)] {
            assert_eq!(done(before, after), None, "{before} -> {after}");
        }
        assert_eq!(done(REVOKED_LATER, REVOKED), None);
        assert_eq!(done(LEFT, ENDED), None, "whoever comes back has their old key end with the day they left");
        for (before, after) in
            [(ENDED, OPEN), (REVOKED, OPEN), (REVOKED, REVOKED_LATER), (LEFT, OPEN), (REVOKED, TWICE)]
        {
            assert_eq!(done(before, after), Some((false, true)), "{before} -> {after}");
        }
        assert_eq!(done(ENDS, OPEN), Some((false, false)), "it still counts on its last day");
    }

    #[test]
    fn a_key_that_is_gone_was_taken_away() {
        assert_eq!(done(REVOKED, "from: 2026-01-01"), Some((true, false)));
        let nobody = key_changes(&people(OPEN), &BTreeMap::new(), "2026-06-15".parse().unwrap());
        assert_eq!(nobody.len(), 1);
    }
}
