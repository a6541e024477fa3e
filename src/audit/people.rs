//! The people as `people.yaml` named them at each commit.

use super::Evidence;
use super::known::{Known, List};
use super::versions::Versions;
use crate::logbook::{PEOPLE_FILE, Step};
use crate::record::Date;
use crate::register::{KeyStanding, Person};
use crate::signature::Fingerprint;
use std::rc::Rc;

/// The people by id, at every commit and in the last one.
pub(super) struct People<'a> {
    lists: Versions<List>,
    known: Vec<Rc<Known>>,
    last: &'a List,
}

impl<'a> People<'a> {
    pub(super) fn of(evidence: &Evidence<'a>) -> People<'a> {
        let lists = Versions::of(evidence.trail, PEOPLE_FILE, |contents| {
            (!contents.unreadable.contains(PEOPLE_FILE)).then_some(contents.people)
        });
        let known = Known::of(&evidence.trail.steps, &lists);
        People { lists, known, last: &evidence.contents.people }
    }

    /// Returns everybody with an address, as the commit at a step had them or as the last commit has them.
    pub(super) fn with_email<'s>(&'s self, step: usize, email: &'s str) -> Vec<(&'s str, &'s Person)> {
        self.lists
            .at(step)
            .into_iter()
            .chain(std::iter::once(self.last))
            .flat_map(|people| having(people, email))
            .collect()
    }

    /// Returns whether the commit that a step stands on knew nobody with an address, although it knew people.
    pub(super) fn was_stranger_before(&self, step: &Step, email: &str) -> bool {
        let before = step.parents.first().and_then(|parent| self.lists.at(*parent));
        before.is_some_and(|people| having(people, email).next().is_none())
    }

    /// Returns everybody with an address, as the commits that a step stands on had them.
    pub(super) fn before<'s>(&'s self, step: &'s Step, email: &'s str) -> Vec<(&'s str, &'s Person)> {
        let before = step.parents.iter().filter_map(|parent| self.lists.at(*parent));
        before.flat_map(|people| having(people, email)).collect()
    }

    /// Returns everybody with an address, as any commit had them that is no younger than that of a step, in whatever line
    /// of the history.
    pub(super) fn earlier<'s>(&'s self, steps: &'s [Step], step: usize, email: &'s str) -> Vec<(&'s str, &'s Person)> {
        let Some(own) = steps.get(step) else { return Vec::new() };
        let is_earlier =
            |at: &usize| *at != step && steps.get(*at).is_some_and(|one| one.commit.time <= own.commit.time);
        let changes = self.lists.changes().filter(|(at, ..)| is_earlier(at));
        changes.filter_map(|(_, _, now)| now).flat_map(|people| having(people, email)).collect()
    }

    /// Returns everybody with an address, as the commit of a step itself has them.
    pub(super) fn own<'s>(&'s self, step: usize, email: &'s str) -> Vec<(&'s str, &'s Person)> {
        self.lists.at(step).into_iter().flat_map(|people| having(people, email)).collect()
    }

    /// Returns whether a key was that of a person, and of nobody else before, in the history up to a step.
    pub(super) fn is_key_of(&self, step: usize, key: &Fingerprint, id: &str) -> bool {
        self.known.get(step).is_some_and(|known| known.is_key_of(key, id))
    }

    /// Returns somebody with a key as the last commit has them, if it has the key under this id.
    pub(super) fn with_key_today(&self, id: &str, key: &Fingerprint) -> Option<&Person> {
        self.last.get(id).filter(|person| person.has_key(key))
    }

    /// Returns whether the last commit still lets any key count that a person could sign with on a day.
    pub(super) fn still_counts(&self, id: &str, then: &Person, day: Date) -> bool {
        let counts = |key: &Fingerprint| match self.with_key_today(id, key) {
            Some(today) => today.standing_of_key(key, day) == Some(KeyStanding::InForce),
            None => true,
        };
        then.keys_in_force(day).iter().any(|key| counts(&key.fingerprint()))
    }

    /// Returns whether anybody but the person with an address was there on a day, by the commits that a step stands on.
    pub(super) fn has_others(&self, step: &Step, email: &str, day: Date) -> bool {
        let mut before = step.parents.iter().filter_map(|parent| self.lists.at(*parent)).flat_map(List::values);
        before.any(|person| !person.email.eq_ignore_ascii_case(email) && person.is_here_on(day))
    }

    /// Returns the name of whose key it is: of whoever had it first, up to a step or later.
    pub(super) fn owner(&self, step: usize, key: &Fingerprint) -> Option<&str> {
        let then = self.known.get(step).filter(|known| known.has_key(key));
        match then {
            Some(known) => known.owner(key),
            None => self.last.values().find(|person| person.has_key(key)),
        }
        .map(|person| person.name.as_str())
    }

    /// Returns the list of people at each change of it: the step, what stood there before, and what stands there then.
    pub(super) fn changes(&self) -> impl Iterator<Item = (usize, Option<&List>, Option<&List>)> {
        self.lists.changes()
    }

    /// Returns what the commits know that a step stands on.
    pub(super) fn known_before(&self, step: &Step) -> Rc<Known> {
        Known::before(&self.known, step)
    }
}

fn having<'a>(people: &'a List, email: &'a str) -> impl Iterator<Item = (&'a str, &'a Person)> + 'a {
    people
        .iter()
        .filter(move |(_, person)| person.email.eq_ignore_ascii_case(email))
        .map(|(id, person)| (id.as_str(), person))
}
