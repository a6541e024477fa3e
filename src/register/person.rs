//! The people who check, repair and audit.

use crate::record::Date;
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
}

impl Person {
    /// Returns whether the person is with the hospital on a day, the first and the last one included.
    pub fn is_here_on(&self, day: Date) -> bool {
        self.from.is_none_or(|from| from <= day) && self.until.is_none_or(|until| day <= until)
    }
}
