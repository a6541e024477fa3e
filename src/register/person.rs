//! The people who check, repair and audit.

use super::signing_key::{KeyStanding, SigningKey};
use crate::record::Date;
use crate::signature::{Fingerprint, PublicKey};
use serde::{Deserialize, Serialize};

/// What a person's work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Gives the anaesthetic and answers for the check.
    Provider,
    /// Trained helper who may do delegated items.
    Technician,
    /// Repairs, tests, returns to service.
    Biomed,
    /// Reads the records.
    Auditor,
}

impl Role {
    /// Returns the role as it is written.
    pub fn word(self) -> &'static str {
        match self {
            Role::Provider => "provider",
            Role::Technician => "technician",
            Role::Biomed => "biomed",
            Role::Auditor => "auditor",
        }
    }
}

/// One person of `people.yaml`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Person {
    pub name: String,
    pub role: Role,
    pub email: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Date>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
    /// The public keys that this person signs with, each with its days.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signing_keys: Vec<SigningKey>,
}

impl Person {
    /// Returns whether the person is with the hospital on a day, the first and the last one included.
    pub fn is_here_on(&self, day: Date) -> bool {
        self.not_here_on(day).is_none()
    }

    /// Returns which of a person's days, in words, a day lies beyond: before the first one, or after the last one.
    pub fn not_here_on(&self, day: Date) -> Option<(&'static str, Date)> {
        let before = self.from.filter(|from| day < *from).map(|from| ("first day", from));
        before.or(self.until.filter(|until| *until < day).map(|until| ("last day", until)))
    }

    /// Returns the keys that stand under this person's name, whether they count or not.
    pub fn fingerprints(&self) -> impl Iterator<Item = Fingerprint> {
        self.signing_keys.iter().filter_map(|entry| Some(entry.public().ok()?.fingerprint()))
    }

    /// Returns whether a key stands under this person's name.
    pub fn has_key(&self, key: &Fingerprint) -> bool {
        self.signing_keys.iter().any(|entry| entry.is(key))
    }

    /// Returns the keys that this person may sign with on a day at the site.
    pub fn keys_in_force(&self, day: Date) -> Vec<PublicKey> {
        let in_force = self.signing_keys.iter().filter(|key| self.standing_of_entry(key, day) == KeyStanding::InForce);
        in_force.filter_map(|key| key.public().ok()).collect()
    }

    /// Returns how a key stands on a day at the site; nothing when it is none of this person's keys.
    ///
    /// A key that has several entries is in force when one of them says so; otherwise the last entry counts.
    pub fn standing_of_key(&self, key: &Fingerprint, day: Date) -> Option<KeyStanding> {
        let entries = self.signing_keys.iter().filter(|entry| entry.is(key));
        let standings: Vec<KeyStanding> = entries.map(|entry| self.standing_of_entry(entry, day)).collect();
        let in_force = standings.iter().find(|standing| **standing == KeyStanding::InForce);
        in_force.or(standings.last()).cloned()
    }

    /// Nobody signs before the first day here or after the last one.
    fn standing_of_entry(&self, key: &SigningKey, day: Date) -> KeyStanding {
        key.standing(self.from, self.until, day)
    }
}
