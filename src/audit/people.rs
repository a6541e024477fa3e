//! The people as `people.yaml` named them at each commit.

use super::Evidence;
use crate::contents;
use crate::logbook::{Content, FileContent, PEOPLE_FILE, Snapshot, Source, Step};
use crate::register::Person;
use crate::signature::Fingerprint;
use std::collections::{BTreeMap, HashMap};

/// The people by id, at every commit and in the last one.
pub(super) struct People<'a> {
    versions: HashMap<Content, BTreeMap<String, Person>>,
    /// Which version each step of the trail has.
    at: Vec<Option<Content>>,
    /// The steps that changed the people, with the version that each brought.
    changes: Vec<(usize, Content)>,
    last: &'a BTreeMap<String, Person>,
}

impl<'a> People<'a> {
    pub(super) fn of(evidence: &Evidence<'a>) -> People<'a> {
        let mut versions = HashMap::new();
        let mut at: Vec<Option<Content>> = Vec::with_capacity(evidence.trail.steps.len());
        let mut changes = Vec::new();
        for step in &evidence.trail.steps {
            let changed = step.changes.iter().find(|change| change.path == PEOPLE_FILE);
            let inherited = || step.parents.first().and_then(|parent| at.get(*parent).copied().flatten());
            let version = changed.map_or_else(inherited, |change| change.now);
            if let Some(content) = version
                && let Some(bytes) = evidence.trail.texts.get(&content)
            {
                versions.entry(content).or_insert_with(|| read(bytes));
            }
            changes.extend(changed.and_then(|change| Some((at.len(), change.now?))));
            at.push(version);
        }
        People { versions, at, changes, last: &evidence.contents.people }
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

    /// Returns everybody with an address, as the commits that a step stands on had them.
    pub(super) fn before<'s>(&'s self, step: &'s Step, email: &'s str) -> Vec<&'s Person> {
        let before = step.parents.iter().filter_map(|parent| self.version(self.at.get(*parent).copied().flatten()));
        before.flat_map(|people| having(people, email)).map(|(_, person)| person).collect()
    }

    /// Returns everybody with an address, as any commit had them that is no younger than that of a step, in whatever line
    /// of the history.
    pub(super) fn earlier<'s>(&'s self, steps: &'s [Step], step: usize, email: &'s str) -> Vec<&'s Person> {
        let Some(own) = steps.get(step) else { return Vec::new() };
        let is_earlier =
            |at: &usize| *at != step && steps.get(*at).is_some_and(|one| one.commit.time <= own.commit.time);
        let versions = self.changes.iter().filter(|(at, _)| is_earlier(at));
        let people = versions.filter_map(|(_, content)| self.version(Some(*content)));
        people.flat_map(|people| having(people, email)).map(|(_, person)| person).collect()
    }

    /// Returns everybody with an address, as the commit of a step itself has them.
    pub(super) fn own<'s>(&'s self, step: usize, email: &'s str) -> Vec<&'s Person> {
        let people = self.version(self.at.get(step).copied().flatten());
        people.into_iter().flat_map(|people| having(people, email)).map(|(_, person)| person).collect()
    }

    /// Returns whoever the last commit says has a key, whatever their address is by now.
    pub(super) fn owner_today(&self, key: &Fingerprint) -> Option<&Person> {
        self.last.values().find(|person| person.signing_keys.iter().any(|entry| entry.is(key)))
    }

    /// Returns the name of whose key it is, today or at a step.
    pub(super) fn owner(&self, step: usize, key: &Fingerprint) -> Option<&str> {
        let then = self.version(self.at.get(step).copied().flatten()).into_iter().flat_map(BTreeMap::values);
        let mut then = then.filter(|person| person.signing_keys.iter().any(|entry| entry.is(key)));
        self.owner_today(key).or_else(|| then.next()).map(|person| person.name.as_str())
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
