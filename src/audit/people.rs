//! The people as `people.yaml` named them at each commit.

use super::Evidence;
use crate::contents;
use crate::logbook::{Content, FileContent, PEOPLE_FILE, Snapshot, Source, Step};
use crate::record::Date;
use crate::register::{KeyStanding as Standing, Person};
use crate::signature::Fingerprint;
use std::collections::{BTreeMap, HashMap};

/// The people by id, at every commit and in the last one.
pub(super) struct People<'a> {
    versions: HashMap<Content, BTreeMap<String, Person>>,
    /// Which version each step of the trail has.
    at: Vec<Option<Content>>,
    last: &'a BTreeMap<String, Person>,
}

impl<'a> People<'a> {
    pub(super) fn of(evidence: &Evidence<'a>) -> People<'a> {
        let mut versions = HashMap::new();
        let mut at: Vec<Option<Content>> = Vec::with_capacity(evidence.trail.steps.len());
        for step in &evidence.trail.steps {
            let changed = step.changes.iter().find(|change| change.path == PEOPLE_FILE);
            let inherited = || step.parents.first().and_then(|parent| at.get(*parent).copied().flatten());
            let version = changed.map_or_else(inherited, |change| change.now);
            if let Some(content) = version
                && let Some(bytes) = evidence.trail.texts.get(&content)
            {
                versions.entry(content).or_insert_with(|| read(bytes));
            }
            at.push(version);
        }
        People { versions, at, last: &evidence.contents.people }
    }

    /// Returns everybody with an address, as the commit at a step had them or as the last commit has them.
    pub(super) fn with_email<'s>(&'s self, step: usize, email: &'s str) -> Vec<(&'s str, &'s Person)> {
        let then = self.version(self.at.get(step).copied().flatten());
        then.into_iter().chain(std::iter::once(self.last)).flat_map(|people| having(people, email)).collect()
    }

    /// Returns whether the commit that a step stands on knew nobody with an address, although it knew people.
    pub(super) fn was_stranger_before(&self, step: &Step, email: &str) -> bool {
        let before = step.parents.first().and_then(|parent| self.at.get(*parent).copied().flatten());
        self.version(before).is_some_and(|people| having(people, email).next().is_none())
    }

    /// Returns everybody with an address, as the commit that a step stands on had them.
    pub(super) fn before(&self, step: &Step, email: &str) -> Vec<&Person> {
        let before = step.parents.first().and_then(|parent| self.at.get(*parent).copied().flatten());
        let people = self.version(before).into_iter().flatten();
        people.map(|(_, person)| person).filter(|person| person.email.eq_ignore_ascii_case(email)).collect()
    }

    /// Returns how a key stands on a day for those who have an address: as the last commit says, and as that at a step said
    /// where the last one does not have the key any more. Nothing when it is none of their keys.
    pub(super) fn standing_of_key(&self, step: usize, email: &str, key: &Fingerprint, day: Date) -> Option<Standing> {
        let then = self.version(self.at.get(step).copied().flatten());
        let versions = std::iter::once(self.last).chain(then);
        versions.flat_map(|people| having(people, email)).find_map(|(_, person)| person.standing_of_key(key, day))
    }

    /// Returns the name of whose key it is.
    pub(super) fn owner(&self, step: usize, key: &Fingerprint) -> Option<&str> {
        let then = self.version(self.at.get(step).copied().flatten());
        let mut all = std::iter::once(self.last).chain(then).flat_map(BTreeMap::values);
        all.find(|person| person.signing_keys.iter().any(|entry| entry.is(key))).map(|person| person.name.as_str())
    }

    fn version(&self, content: Option<Content>) -> Option<&BTreeMap<String, Person>> {
        self.versions.get(&content?)
    }
}

fn having<'a>(
    people: &'a BTreeMap<String, Person>,
    email: &'a str,
) -> impl Iterator<Item = (&'a str, &'a Person)> + 'a {
    people
        .iter()
        .filter(move |(_, person)| person.email.eq_ignore_ascii_case(email))
        .map(|(id, person)| (id.as_str(), person))
}

fn read(bytes: &std::sync::Arc<[u8]>) -> BTreeMap<String, Person> {
    let files = BTreeMap::from([(PEOPLE_FILE.to_owned(), FileContent::Bytes(bytes.clone()))]);
    let snapshot = Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } };
    contents::read(&snapshot, &mut |_| {}).0.people
}
