//! The six kinds of record as types. Their shape is stated by `schema/`; these types follow it.

use super::{Date, Moment, Quantity, Results};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::Arc;

/// The words for the kinds of record, as in `record: check` and in file names.
pub const KINDS: [&str; 6] = ["check", "fault", "repair", "release", "service", "void"];

/// One record: what all kinds say, and what its own kind says.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    pub common: Common,
    pub body: Body,
}

/// What every record says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Common {
    pub machine: String,
    /// When it was written down.
    pub recorded: Moment,
    /// The people who did the work, by id.
    pub by: Vec<String>,
    /// Who wrote it down, when that is not the first of `by`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recorded_by: Option<String>,
    /// The earlier record that this one puts right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Correction>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remarks: Option<String>,
}

impl Common {
    /// Returns the id of the person who wrote the record down.
    pub fn recorder(&self) -> &str {
        self.recorded_by.as_deref().or(self.by.first().map(String::as_str)).unwrap_or_default()
    }
}

/// Which record is put right, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Correction {
    pub record: String,
    pub because: String,
}

/// What a record's own kind says.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Shared with whoever judges it, because checks are many and long.
    Check(Arc<Check>),
    Fault(Fault),
    Repair(Repair),
    Release(Release),
    Service(Service),
    Void(Void),
}

/// A procedure done on a machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Check {
    pub procedure: String,
    pub revision: u32,
    pub started: Moment,
    pub finished: Moment,
    /// Only the items that could not wait were done, because a patient could not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub emergency_start: bool,
    /// What it was filled in on, when that was not this program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    pub results: Results,
}

/// The page or paper that a check was filled in on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Form {
    pub on: FormOn,
    /// Tells what it asked for: procedure, revision, machine, items and limits.
    pub code: String,
    /// The commit of the logbook it was made from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub commit: Option<String>,
    /// When it was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made: Option<Moment>,
}

/// What a form is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FormOn {
    Page,
    Paper,
}

/// Something is wrong with a machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Fault {
    pub found: Moment,
    pub found_during: FoundDuring,
    pub what: String,
    #[serde(rename = "use")]
    pub usage: Use,
}

/// How a fault came to light.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct FoundDuring {
    /// The check that showed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check: Option<String>,
    /// The items of that check which failed, such as `suction` or `vaporizer-fill/sevoflurane`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub items: Vec<String>,
    /// How else it was found, when no check showed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way: Option<String>,
}

/// Whether a machine with this fault may be used.
#[derive(Clone, Debug, PartialEq)]
pub enum Use {
    /// Not at all, until it is released.
    Withheld,
    /// With a restriction, until a date, under the name of the person who answers for it.
    Restricted { restriction: String, until: Date, owner: String },
}

/// Work on a fault.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Repair {
    pub fault: String,
    pub started: Moment,
    pub finished: Moment,
    pub cause: String,
    pub work: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waited: Vec<Waited>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instruments: Vec<Instrument>,
}

/// What a repair waited for, and how long.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Waited {
    #[serde(rename = "for")]
    pub what: String,
    pub time: Quantity,
}

/// A test instrument and the day its calibration ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Instrument {
    pub id: String,
    pub calibration_due: Date,
}

impl fmt::Display for Waited {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.what, self.time)
    }
}

impl fmt::Display for Instrument {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.id, self.calibration_due)
    }
}

/// A machine is returned to service.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Release {
    pub faults: Vec<String>,
    pub proved_by: String,
    pub released: Moment,
}

/// Planned maintenance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Service {
    pub started: Moment,
    pub finished: Moment,
    pub work: String,
    pub next_due: Date,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instruments: Vec<Instrument>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proved_by: Option<String>,
}

/// An earlier record does not count.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Void {
    pub of: String,
    pub because: String,
}

/// A person that a record names.
#[derive(Clone, Debug, PartialEq)]
pub struct Named<'a> {
    /// The place of the name, as a JSON pointer.
    pub pointer: String,
    pub id: &'a str,
    /// When the person was needed: who wrote a record down then, everybody else at the time of the work.
    pub on: Moment,
}

impl Record {
    /// Returns the word for its kind, as in `record: check` and in file names.
    pub fn kind(&self) -> &'static str {
        match self.body {
            Body::Check(_) => "check",
            Body::Fault(_) => "fault",
            Body::Repair(_) => "repair",
            Body::Release(_) => "release",
            Body::Service(_) => "service",
            Body::Void(_) => "void",
        }
    }

    /// Returns the moment it is about, which is also the moment it is filed under.
    pub fn when(&self) -> Moment {
        match &self.body {
            Body::Check(check) => check.finished,
            Body::Fault(fault) => fault.found,
            Body::Repair(repair) => repair.finished,
            Body::Release(release) => release.released,
            Body::Service(service) => service.finished,
            Body::Void(_) => self.common.recorded,
        }
    }

    /// Returns the name of the field that holds [`Record::when`].
    pub fn when_field(&self) -> &'static str {
        match self.body {
            Body::Check(_) | Body::Repair(_) | Body::Service(_) => "finished",
            Body::Fault(_) => "found",
            Body::Release(_) => "released",
            Body::Void(_) => "recorded",
        }
    }

    /// Returns when the work began, for the kinds that take time.
    pub fn started(&self) -> Option<Moment> {
        match &self.body {
            Body::Check(check) => Some(check.started),
            Body::Repair(repair) => Some(repair.started),
            Body::Service(service) => Some(service.started),
            Body::Fault(_) | Body::Release(_) | Body::Void(_) => None,
        }
    }

    /// Returns every person it names.
    pub fn people(&self) -> Vec<Named<'_>> {
        let (common, on) = (&self.common, self.when());
        let doers = common.by.iter().enumerate();
        let mut people: Vec<Named> = doers.map(|(i, id)| Named { pointer: format!("/by/{i}"), id, on }).collect();
        if let Some(id) = &common.recorded_by {
            people.push(Named { pointer: "/recorded-by".to_owned(), id, on: common.recorded });
        }
        if let Body::Fault(Fault { usage: Use::Restricted { owner, .. }, .. }) = &self.body {
            people.push(Named { pointer: "/use/owner".to_owned(), id: owner, on });
        }
        people
    }

    /// Returns every other record it names: the JSON pointer of the name, the path, and the kind it must have
    /// (`None` for any kind).
    pub fn references(&self) -> Vec<(String, &str, Option<&'static str>)> {
        let mut all = Vec::new();
        match &self.body {
            Body::Check(_) => {}
            Body::Fault(fault) => {
                if let Some(check) = &fault.found_during.check {
                    all.push(("/found-during/check".to_owned(), check.as_str(), Some("check")));
                }
            }
            Body::Repair(repair) => all.push(("/fault".to_owned(), repair.fault.as_str(), Some("fault"))),
            Body::Release(release) => {
                for (i, fault) in release.faults.iter().enumerate() {
                    all.push((format!("/faults/{i}"), fault.as_str(), Some("fault")));
                }
                all.push(("/proved-by".to_owned(), release.proved_by.as_str(), Some("check")));
            }
            Body::Service(service) => {
                if let Some(check) = &service.proved_by {
                    all.push(("/proved-by".to_owned(), check.as_str(), Some("check")));
                }
            }
            Body::Void(void) => all.push(("/of".to_owned(), void.of.as_str(), None)),
        }
        if let Some(correction) = &self.common.corrects {
            all.push(("/corrects/record".to_owned(), correction.record.as_str(), Some(self.kind())));
        }
        all
    }
}

/// Returns the typed record of a value that fits its schema.
pub fn typed(json: &serde_json::Value) -> Result<Record, serde_json::Error> {
    use serde::de::Error;
    let common = Common::deserialize(json)?;
    let body = match json.get("record").and_then(|kind| kind.as_str()) {
        Some("check") => Body::Check(Arc::new(Check::deserialize(json)?)),
        Some("fault") => Body::Fault(Fault::deserialize(json)?),
        Some("repair") => Body::Repair(Repair::deserialize(json)?),
        Some("release") => Body::Release(Release::deserialize(json)?),
        Some("service") => Body::Service(Service::deserialize(json)?),
        Some("void") => Body::Void(Void::deserialize(json)?),
        _ => return Err(serde_json::Error::custom("`record` names no kind of record")),
    };
    Ok(Record { common, body })
}

impl Serialize for Use {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeMap;
        match self {
            Use::Withheld => serializer.serialize_str("withheld"),
            Use::Restricted { restriction, until, owner } => {
                let mut map = serializer.serialize_map(Some(3))?;
                map.serialize_entry("restricted", restriction)?;
                map.serialize_entry("until", until)?;
                map.serialize_entry("owner", owner)?;
                map.end()
            }
        }
    }
}

impl<'de> Deserialize<'de> for Use {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Use, D::Error> {
        #[derive(Deserialize)]
        struct Restricted {
            restricted: String,
            until: Date,
            owner: String,
        }
        let value = serde_json::Value::deserialize(deserializer)?;
        if value.as_str() == Some("withheld") {
            return Ok(Use::Withheld);
        }
        let Restricted { restricted, until, owner } =
            Restricted::deserialize(value).map_err(serde::de::Error::custom)?;
        Ok(Use::Restricted { restriction: restricted, until, owner })
    }
}
