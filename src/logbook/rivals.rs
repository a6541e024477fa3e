//! Two records of one name, from two histories that knew nothing of each other: where both are kept, one has a number.

use std::collections::BTreeMap;

use super::layout::{RecordName, parse_record_path};
use super::walk::Content;

/// Returns whether the files of a commit have a text under a path, or under that of another record of the same moment,
/// machine and kind.
///
/// Under any other name it is no record of this, and so as good as gone.
pub fn is_kept(files: &BTreeMap<String, Content>, path: &str, text: Content) -> bool {
    if files.get(path) == Some(&text) {
        return true;
    }
    let Some(name) = parse_record_path(path) else { return false };
    let first = RecordName { ordinal: 1, ..name.clone() }.path();
    let Some(stem) = first.strip_suffix(&format!("{}.yaml", name.kind)) else { return false };
    let is_alike = |other: RecordName| RecordName { ordinal: name.ordinal, ..other } == name;
    let beside = files.range(stem.to_owned()..).take_while(|(other, _)| other.starts_with(stem));
    beside.filter(|(_, content)| **content == text).any(|(other, _)| parse_record_path(other).is_some_and(is_alike))
}

#[cfg(test)]
mod tests {
    use super::*;
    use gix::ObjectId;

    fn text(digit: char) -> Content {
        Content { id: ObjectId::from_hex(digit.to_string().repeat(40).as_bytes()).unwrap(), is_file: true }
    }

    #[test]
    fn a_text_is_kept_under_its_name_or_with_another_number() {
        let path = "records/2026/11/25/064210-theatre-1.check.yaml";
        let kept = |other: &str| {
            let files = BTreeMap::from([(other.to_owned(), text('1')), (format!("{path}x"), text('2'))]);
            (is_kept(&files, path, text('1')), is_kept(&files, path, text('2')))
        };
        for other in [path, "records/2026/11/25/064210-theatre-1.2.check.yaml"] {
            assert_eq!(kept(other), (true, false), "{other}");
        }
        for other in [
            "records/.gitkeep",
            "README.md",
            "records/2026/11/25/064210-theatre-1.2.fault.yaml",
            "records/2026/11/25/064210-theatre-1.02.check.yaml",
            "records/2026/11/25/064210-theatre-12.2.check.yaml",
            "records/2026/11/26/064210-theatre-1.2.check.yaml",
        ] {
            assert_eq!(kept(other), (false, false), "{other}");
        }
    }

    #[test]
    fn of_two_numbered_records_each_may_have_the_others_number() {
        let second = "records/2026/11/25/064210-theatre-1.2.check.yaml";
        let third = BTreeMap::from([(second.replace(".2.", ".3."), text('1'))]);
        assert!(is_kept(&third, second, text('1')));
        let seal = BTreeMap::from([("seals/2026-10.2.yaml".to_owned(), text('1'))]);
        assert!(!is_kept(&seal, "seals/2026-10.yaml", text('1')));
    }
}
