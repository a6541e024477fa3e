//! Where things are in a logbook: a day is a folder, a record is a file.
//!
//! Turns a time, a machine and a kind into a path and back. The date and the time in a name are the
//! ones written in the record, in the record's own offset. Touches no disk.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, NaiveTime, Timelike};

/// The file that makes a folder a logbook.
pub const SITE_FILE: &str = "site.yaml";

/// The file that lists the people of a logbook.
pub const PEOPLE_FILE: &str = "people.yaml";

/// The file that tells git whose signature is whose. It follows from those of the site and the people.
pub const ALLOWED_SIGNERS_FILE: &str = "allowed-signers";

/// The files of a logbook that lie in no folder of it.
pub(super) const TOP_FILES: [&str; 3] = [SITE_FILE, PEOPLE_FILE, ALLOWED_SIGNERS_FILE];

/// The folders of a logbook. Everything inside them is read, everything beside them is not.
pub const FOLDERS: [&str; 5] = ["machines", "procedures", "calendar", "records", "seals"];

/// Files beside those of the logbook that its history keeps as well: its own words about itself, and git's.
pub(super) const KEPT_BESIDE: [&str; 3] = ["README.md", ".gitignore", ".gitattributes"];

/// The size in bytes above which a file is not read.
pub const SIZE_LIMIT: u64 = 64 * 1024;

/// The names that are passed over inside the folders: files that git and desktops need.
const PASSED_OVER: [&str; 3] = [KEEPS_A_FOLDER, ".gitignore", ".DS_Store"];

/// The file that makes git keep a folder that is empty otherwise. It has nothing in it.
pub(super) const KEEPS_A_FOLDER: &str = ".gitkeep";

/// How the name of a file begins while it is being written; the rest is random.
pub(super) const UNFINISHED_PREFIX: &str = ".pinindex-";

/// How the name of a file ends while it is being written.
pub(super) const UNFINISHED_SUFFIX: &str = ".tmp";

/// Returns whether a file at `path` is part of the logbook.
pub fn belongs(path: &str) -> bool {
    match path.split_once('/') {
        None => TOP_FILES.contains(&path),
        Some((folder, rest)) => FOLDERS.contains(&folder) && !passed_over(file_name(rest)),
    }
}

/// Returns whether a file at `path` is part of the logbook or one of the files beside it.
pub fn is_kept(path: &str) -> bool {
    belongs(path) || KEPT_BESIDE.contains(&path)
}

/// Returns whether a file at `path`, once it is in the history, stays as it is for ever.
pub fn is_for_ever(path: &str) -> bool {
    ["records/", "seals/"].iter().any(|folder| path.starts_with(folder))
}

/// Returns whether a file with this name is passed over inside the folders of a logbook.
///
/// Besides the three names of helper files, these are files that a crash left half-written.
pub(super) fn passed_over(name: &str) -> bool {
    PASSED_OVER.contains(&name) || is_unfinished(name)
}

/// Returns whether a file with this name is one that is being written, or that a crash left half-written.
pub(super) fn is_unfinished(name: &str) -> bool {
    name.starts_with(UNFINISHED_PREFIX) && name.ends_with(UNFINISHED_SUFFIX)
}

fn file_name(path: &str) -> &str {
    path.rsplit_once('/').map_or(path, |(_, name)| name)
}

/// Returns the path of the first record of a machine at a time, for instance
/// `records/2026/11/25/064210-theatre-1.check.yaml`.
pub fn record_path(when: DateTime<FixedOffset>, machine: &str, kind: &str) -> String {
    numbered_record_path(when, machine, kind, 1)
}

/// Returns the path of the record with the given ordinal among those of one machine, kind and second.
///
/// The first has no number in its name; the second is `064210-theatre-1.2.check.yaml`.
pub fn numbered_record_path(when: DateTime<FixedOffset>, machine: &str, kind: &str, ordinal: u32) -> String {
    // A leap second is the nanoseconds of second 59 here and so is named like second 59.
    let whole_second = NaiveTime::from_hms_opt(when.hour(), when.minute(), when.second());
    RecordName {
        date: when.date_naive(),
        time: whole_second.unwrap_or_default(),
        machine: machine.to_owned(),
        kind: kind.to_owned(),
        ordinal,
    }
    .path()
}

/// What the path of a record says.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct RecordName {
    pub date: NaiveDate,
    pub time: NaiveTime,
    pub machine: String,
    pub kind: String,
    /// 1 for the first record of this machine, kind and second.
    pub ordinal: u32,
}

impl RecordName {
    /// Returns the path with this meaning.
    pub fn path(&self) -> String {
        let number = match self.ordinal {
            0 | 1 => String::new(),
            n => format!(".{n}"),
        };
        format!(
            "records/{:04}/{:02}/{:02}/{:02}{:02}{:02}-{}{number}.{}.yaml",
            self.date.year(),
            self.date.month(),
            self.date.day(),
            self.time.hour(),
            self.time.minute(),
            self.time.second(),
            self.machine,
            self.kind,
        )
    }
}

/// Returns what the path of a record says, or nothing if it is not a record's path.
///
/// Only the one spelling that [`RecordName::path`] gives is accepted, so that two different paths
/// never have the same meaning.
pub fn parse_record_path(path: &str) -> Option<RecordName> {
    let mut parts = path.strip_prefix("records/")?.split('/');
    let (year, month, day, name) = (parts.next()?, parts.next()?, parts.next()?, parts.next()?);
    let stem = name.strip_suffix(".yaml")?;
    let (time, rest) = stem.split_once('-')?;
    let mut words = rest.split('.');
    let machine = words.next().filter(|word| !word.is_empty())?;
    let second = words.next()?;
    let (ordinal, kind) = match words.next() {
        None => (1, second),
        Some(kind) => (second.parse().ok()?, kind),
    };
    if parts.next().is_some() || words.next().is_some() || kind.is_empty() || time.len() != 6 {
        return None;
    }
    let pair = |from: usize| time.get(from..from + 2)?.parse().ok();
    let name = RecordName {
        date: NaiveDate::from_ymd_opt(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)?,
        time: NaiveTime::from_hms_opt(pair(0)?, pair(2)?, pair(4)?)?,
        machine: machine.to_owned(),
        kind: kind.to_owned(),
        ordinal,
    };
    (name.path() == path).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    #[test]
    fn a_record_is_named_after_its_own_time_machine_and_kind() {
        let path = record_path(at("2026-11-25T06:42:10+01:00"), "theatre-1", "check");
        assert_eq!(path, "records/2026/11/25/064210-theatre-1.check.yaml");
        let name = parse_record_path(&path).unwrap();
        assert_eq!(name.date.to_string(), "2026-11-25");
        assert_eq!(name.time.to_string(), "06:42:10");
        assert_eq!((name.machine.as_str(), name.kind.as_str()), ("theatre-1", "check"));
        assert_eq!(name.ordinal, 1);
    }

    #[test]
    fn a_second_record_in_the_same_second_is_numbered() {
        let path = numbered_record_path(at("2026-01-02T00:00:00Z"), "theatre-1", "fault", 2);
        assert_eq!(path, "records/2026/01/02/000000-theatre-1.2.fault.yaml");
        assert_eq!(parse_record_path(&path).unwrap().ordinal, 2);
        assert_eq!(parse_record_path(&path).unwrap().path(), path);
    }

    #[test]
    fn a_leap_second_has_a_name_that_can_be_read_back() {
        let path = record_path(at("2016-12-31T23:59:60Z"), "m", "check");
        assert_eq!(path, "records/2016/12/31/235959-m.check.yaml");
        assert!(parse_record_path(&path).is_some());
    }

    #[test]
    fn other_spellings_are_not_record_paths() {
        for path in [
            "records/2026/11/25/064210-theatre-1.check.yml",
            "records/2026/11/25/64210-theatre-1.check.yaml",
            "records/2026/11/25/064210-theatre-1.1.check.yaml",
            "records/2026/11/25/064210-theatre-1.02.check.yaml",
            "records/2026/11/25/064210-theatre-1.check.yaml/x",
            "records/2026/11/25/064210-.check.yaml",
            "records/2026/11/25/064210-theatre-1..yaml",
            "records/2026/11/25/064210-theatre-1.yaml",
            "records/2026/11/31/064210-theatre-1.check.yaml",
            "records/2026/11/25/064260-theatre-1.check.yaml",
            "records/2026/1/25/064210-theatre-1.check.yaml",
            "records/2026/11/25/a/064210-theatre-1.check.yaml",
            "records/2026/11/25/äöü-theatre-1.check.yaml",
            "2026/11/25/064210-theatre-1.check.yaml",
        ] {
            assert_eq!(parse_record_path(path), None, "{path}");
        }
    }

    #[test]
    fn records_and_seals_are_for_ever() {
        for path in ["records/2026/11/25/064210-theatre-1.check.yaml", "seals/2026-10.yaml"] {
            assert!(is_for_ever(path) && is_kept(path), "{path}");
        }
        for path in ["site.yaml", "people.yaml", "machines/records/x.yaml", "README.md", ".gitignore"] {
            assert!(!is_for_ever(path) && is_kept(path), "{path}");
        }
        assert!(!is_kept("notes.txt") && !is_kept("machines/README.md.tmp/.gitkeep"));
    }

    #[test]
    fn only_the_folders_and_three_files_belong() {
        for path in
            ["site.yaml", "people.yaml", "allowed-signers", "records/x", "seals/2026-10.yaml", "records/.hidden"]
        {
            assert!(belongs(path), "{path}");
        }
        for path in ["README.md", "records", "machines/.gitkeep", "other/site.yaml", "records/a/.pinindex-x.tmp"] {
            assert!(!belongs(path), "{path}");
        }
    }
}
