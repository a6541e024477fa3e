//! A seal as its file says it: `seals/2026-10.yaml`.
//!
//! The number of a seal is the SHA-256 of its file, which any program can work out. It covers the seal before, so that
//! the newest number stands for all.

use super::digest::Digest;
use super::leaves::Leaves;
use super::month::Month;
use super::proof::Which;
use crate::record::Moment;
use serde::{Deserialize, Serialize};

/// What closes a month.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Seal {
    pub seal: Month,
    pub sealed: Moment,
    /// An id of people.yaml.
    pub by: String,
    /// The last commit before the seal: the files as they were then are what it covers.
    pub commit: String,
    pub month: MonthTree,
    pub logbook: LogbookTree,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<Before>,
}

/// The records of the month, and the root over them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MonthTree {
    pub records: usize,
    pub sha256: Digest,
}

/// Every file of the logbook, and the root over them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LogbookTree {
    pub files: usize,
    pub sha256: Digest,
}

/// The seal before, with its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Before {
    pub seal: Month,
    pub sha256: Digest,
}

/// A seal and the number of its file.
#[derive(Clone, Debug, PartialEq)]
pub struct NumberedSeal {
    pub seal: Seal,
    pub number: Digest,
}

/// What stands above the first line of every seal.
const ABOUT: &str = "# The number of this seal is the SHA-256 of this file.\n";

impl Seal {
    /// Closes a month over the files as they are in a commit.
    pub fn of(
        seal: Month,
        (sealed, by): (Moment, &str),
        commit: &str,
        files: &Leaves,
        before: Option<&NumberedSeal>,
    ) -> Seal {
        Seal {
            seal,
            sealed,
            by: by.to_owned(),
            commit: commit.to_owned(),
            month: MonthTree::of(seal, files),
            logbook: LogbookTree::of(files),
            before: before.map(|before| Before { seal: before.seal.seal, sha256: before.number }),
        }
    }

    /// Returns how many leaves one of its two trees has, and the root.
    pub fn tree(&self, which: Which) -> (usize, Digest) {
        match which {
            Which::Month => (self.month.records, self.month.sha256),
            Which::Logbook => (self.logbook.files, self.logbook.sha256),
        }
    }

    /// Returns the text of its file.
    ///
    /// # Errors
    /// Only when the library that writes YAML refuses, which no seal makes it do.
    pub fn text(&self) -> anyhow::Result<String> {
        Ok(format!("{ABOUT}{}", serde_yaml::to_string(self)?))
    }
}

impl MonthTree {
    /// Returns the tree over the records of a month among files.
    pub fn of(month: Month, files: &Leaves) -> MonthTree {
        let records = files.below(&month.folder());
        MonthTree { records: records.count(), sha256: records.root() }
    }
}

impl LogbookTree {
    /// Returns the tree over all files.
    pub fn of(files: &Leaves) -> LogbookTree {
        LogbookTree { files: files.count(), sha256: files.root() }
    }
}

/// Returns the number of a seal from the bytes of its file. Line ends that a checkout turned into CR LF count as LF.
pub fn number_of(file: &[u8]) -> Digest {
    let mut rest = file;
    let mut lines = Vec::new();
    while let Some(at) = rest.windows(2).position(|pair| pair == b"\r\n") {
        lines.extend([&rest[..at], b"\n"]);
        rest = &rest[at + 2..];
    }
    lines.push(rest);
    Digest::of(&lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two() -> (Seal, Seal) {
        let mut files = Leaves::default();
        files.add("site.yaml", b"name: A");
        files.add("records/2026/09/30/070000-a.check.yaml", b"record: check");
        files.add("records/2026/10/01/070000-a.check.yaml", b"record: check");
        let moment = "2026-11-02T09:12:00+01:00".parse().unwrap();
        let commit = "4f0c2a9d81e7b35560cd1f2e9a7740be6d3c8812";
        let one = Seal::of("2026-09".parse().unwrap(), (moment, "r-castellanos"), commit, &files, None);
        let number = number_of(one.text().unwrap().as_bytes());
        let numbered = NumberedSeal { seal: one.clone(), number };
        (one, Seal::of("2026-10".parse().unwrap(), (moment, "r-castellanos"), commit, &files, Some(&numbered)))
    }

    #[test]
    fn a_seal_counts_its_month_and_everything() {
        let (one, two) = two();
        assert_eq!((one.month.records, one.logbook.files), (1, 3));
        assert_eq!(one.logbook, two.logbook);
        assert_ne!(one.month, two.month);
        assert_eq!(two.before.map(|before| before.seal), Some(one.seal));
    }

    #[test]
    fn what_is_written_is_read_back() {
        let (one, two) = two();
        for seal in [one, two] {
            let text = seal.text().unwrap();
            assert_eq!(serde_yaml::from_str::<Seal>(&text).unwrap(), seal, "{text}");
        }
    }

    #[test]
    fn a_checkout_with_other_line_ends_has_the_same_number() {
        let text = two().1.text().unwrap();
        let number = number_of(text.as_bytes());
        assert_eq!(number, Digest::of(&[text.as_bytes()]));
        assert_eq!(number_of(text.replace('\n', "\r\n").as_bytes()), number);
        assert_ne!(number_of(text.replace('\n', "\r").as_bytes()), number);
        assert_ne!(number_of(text.replace('\n', "\r\r\n").as_bytes()), number);
    }
}
