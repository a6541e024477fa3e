//! The site: its name, time zone and the few numbers a hospital chooses for itself.

use crate::record::Quantity;
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

/// `site.yaml`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Site {
    pub name: String,
    #[serde(with = "zone")]
    pub time_zone: Tz,
    /// A record written down later than this after the work counts as late.
    pub late_after: Quantity,
    /// Oxygen flow for saying how long a spare cylinder lasts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planning_flow: Option<Quantity>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barometric_pressure: Option<Quantity>,
    /// The time within which the hospital wants a machine back in service.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_to_service_target: Option<Quantity>,
    /// Whom to call when a machine fails its check, in words that hang on a wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub call_on_failure: Option<String>,
    #[serde(default)]
    pub report: ReportSettings,
}

/// What a report says about the hospital's own duties.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReportSettings {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prepared_for: Option<String>,
    /// The standards, with their editions, that the binder answers to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub standards: Vec<String>,
    /// The sheet that reports are printed on.
    #[serde(default)]
    pub paper: Paper,
    /// The roles that sign.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signatures: Vec<String>,
}

/// A sheet of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    #[default]
    A4,
    UsLetter,
}

mod zone {
    use chrono_tz::Tz;
    use serde::{Deserialize, Deserializer, Serializer};

    pub fn serialize<S: Serializer>(zone: &Tz, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(zone.name())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Tz, D::Error> {
        let name = String::deserialize(deserializer)?;
        name.parse().map_err(|_| serde::de::Error::custom(format!("`{name}` is no time zone of the IANA database")))
    }
}
