//! What the commits up to one know of keys, addresses and names: also of those that are not in the list any more.

use super::versions::Versions;
use crate::logbook::Step;
use crate::register::Person;
use crate::signature::Fingerprint;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// The list of people at one commit, by id.
pub(super) type List = BTreeMap<String, Person>;

/// What a commit and those it stands on know.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Known {
    /// Whose each key is: of whoever had it first, by id. Nothing where two had it at once, or each in a line of their own.
    owners: BTreeMap<Fingerprint, Option<String>>,
    /// Everybody who ever had an address, written small, by id.
    addresses: BTreeMap<String, BTreeSet<String>>,
    /// Everybody as they stood in the list last.
    people: List,
}

impl Known {
    /// Returns what is known at each step.
    pub(super) fn of(steps: &[Step], lists: &Versions<List>) -> Vec<Rc<Known>> {
        let mut all: Vec<Rc<Known>> = Vec::with_capacity(steps.len());
        for (at, step) in steps.iter().enumerate() {
            let before = Known::before(&all, step);
            let is_new = step.parents.first().and_then(|parent| lists.version(*parent)) != lists.version(at);
            let now = match lists.at(at) {
                Some(list) if is_new => Rc::new(before.with(list)),
                _ => before,
            };
            all.push(now);
        }
        all
    }

    /// Returns what the parents of a step know together.
    pub(super) fn before(all: &[Rc<Known>], step: &Step) -> Rc<Known> {
        let mut parents = step.parents.iter().filter_map(|parent| all.get(*parent));
        let Some(first) = parents.next() else { return Rc::default() };
        let others: Vec<&Rc<Known>> = parents.filter(|other| !Rc::ptr_eq(other, first) && *other != first).collect();
        if others.is_empty() {
            return Rc::clone(first);
        }
        let mut joined = Known::clone(first);
        for other in others {
            for (key, owner) in &other.owners {
                let own = joined.owners.entry(key.clone()).or_insert_with(|| owner.clone());
                if own != owner {
                    *own = None;
                }
            }
            for (address, ids) in &other.addresses {
                joined.addresses.entry(address.clone()).or_default().extend(ids.iter().cloned());
            }
            for (id, person) in &other.people {
                joined.people.entry(id.clone()).or_insert_with(|| person.clone());
            }
        }
        Rc::new(joined)
    }

    fn with(&self, list: &List) -> Known {
        let mut now = self.clone();
        let mut new: BTreeMap<Fingerprint, BTreeSet<&str>> = BTreeMap::new();
        for (id, person) in list {
            for key in person.fingerprints().filter(|key| !self.owners.contains_key(key)) {
                new.entry(key).or_default().insert(id);
            }
            now.addresses.entry(address(person)).or_default().insert(id.clone());
            now.people.insert(id.clone(), person.clone());
        }
        now.owners.extend(new.into_iter().map(|(key, ids)| {
            let only = ids.first().filter(|_| ids.len() == 1);
            (key, only.map(|id| (*id).to_owned()))
        }));
        now
    }

    /// Returns whether a key is that of one person and never was anybody else's first.
    pub(super) fn is_key_of(&self, key: &Fingerprint, id: &str) -> bool {
        self.owners.get(key).is_some_and(|owner| owner.as_deref() == Some(id))
    }

    /// Returns whether a key stood in the list.
    pub(super) fn has_key(&self, key: &Fingerprint) -> bool {
        self.owners.contains_key(key)
    }

    /// Returns whoever had a key first.
    pub(super) fn owner(&self, key: &Fingerprint) -> Option<&Person> {
        self.people.get(self.owners.get(key)?.as_ref()?)
    }

    /// Returns somebody other than `id` who had an address.
    pub(super) fn other_with_address(&self, address: &str, id: &str) -> Option<&Person> {
        let other = self.addresses.get(address)?.iter().find(|other| *other != id)?;
        self.people.get(other)
    }

    /// Returns whether somebody had an address.
    pub(super) fn had_address(&self, address: &str, id: &str) -> bool {
        self.addresses.get(address).is_some_and(|ids| ids.contains(id))
    }

    /// Returns somebody as they stood in the list last.
    pub(super) fn person(&self, id: &str) -> Option<&Person> {
        self.people.get(id)
    }
}

/// Returns the address of a person as addresses are compared.
pub(super) fn address(person: &Person) -> String {
    person.email.to_ascii_lowercase()
}
