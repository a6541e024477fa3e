//! A procedure and its items, as data. A change is a new revision; a revision in force is never edited.

use crate::record::{Date, Kind};
use crate::register::{Limit, Role};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// `procedures/ID/REVISION.yaml`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Procedure {
    pub procedure: String,
    pub revision: u32,
    pub title: String,
    pub when: When,
    pub in_force_from: Date,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub approved_by: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<String>,
    pub items: Vec<Item>,
}

/// When a procedure is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// Before the first case of the day.
    FirstCase,
    /// Before each patient.
    EachPatient,
    /// After service or repair; the complete one.
    AfterService,
}

/// One item of a procedure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Item {
    pub id: String,
    pub title: String,
    #[serde(rename = "do")]
    pub instruction: String,
    pub answer: AnswerKind,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measures: Option<Kind>,
    /// For a choice: each word with what it means.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub choices: BTreeMap<String, Meaning>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<Limit>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub each: Option<Each>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub only_if: Option<OnlyIf>,
    pub by: Who,
    pub fails: IfFailed,
    /// Whether it is done even when a patient cannot wait for the rest.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub cannot_wait: bool,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub covers: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// How an item is answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AnswerKind {
    Confirm,
    Reading,
    Hold,
    PressureHeld,
    Choice,
}

/// What a choice means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meaning {
    Pass,
    Fail,
}

/// What an item is repeated for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Each {
    Vaporizer,
    Gas,
}

/// What a machine must have for an item to apply; every named thing must hold.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct OnlyIf {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gas: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinder: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scavenging: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fitted: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vaporizers: Option<bool>,
}

/// Who may do an item.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Who {
    /// One person in any of these roles.
    AnyOf(Vec<Role>),
    /// At least one person in each of these roles.
    AllOf(Vec<Role>),
}

/// What a failure of an item means for the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum IfFailed {
    Withhold,
    Restrict,
}

impl Procedure {
    /// Returns an item by its id.
    pub fn item(&self, id: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.id == id)
    }

    /// Returns procedure and revision in words: `daily, revision 3`.
    pub fn words(&self) -> String {
        format!("{}, revision {}", self.procedure, self.revision)
    }
}

impl Who {
    /// Returns whether people in these roles are enough.
    pub fn satisfied_by(&self, roles: &[Role]) -> bool {
        match self {
            Who::AnyOf(allowed) => roles.iter().any(|role| allowed.contains(role)),
            Who::AllOf(needed) => needed.iter().all(|role| roles.contains(role)),
        }
    }

    /// Returns whether somebody in this role takes part in it.
    pub fn names(&self, role: Role) -> bool {
        let (Who::AnyOf(roles) | Who::AllOf(roles)) = self;
        roles.contains(&role)
    }

    /// Returns whether each one of people in these roles may do it alone.
    pub fn leaves_nobody_out(&self, roles: &[Role]) -> bool {
        match self {
            Who::AnyOf(allowed) => roles.iter().all(|role| allowed.contains(role)),
            Who::AllOf(needed) => needed.len() < 2 && roles.iter().all(|role| needed.contains(role)),
        }
    }

    /// Returns it in words: `a provider or a technician`, `a provider and a technician`.
    pub fn words(&self) -> String {
        let (roles, word) = match self {
            Who::AnyOf(roles) => (roles, " or "),
            Who::AllOf(roles) => (roles, " and "),
        };
        roles.iter().map(|role| format!("a {}", role.word())).collect::<Vec<_>>().join(word)
    }
}
