//! A proof that one file is part of a seal: small enough for an auditor to keep, and checked without this program.
//!
//! It is enough together with the file, the file of the seal, and the number that was printed.

use super::digest::Digest;
use super::file::{NumberedSeal, Seal, number_of};
use super::leaves::Leaves;
use super::month::Month;
use super::tree;
use serde::{Deserialize, Serialize};

/// Which tree of a seal a proof climbs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Which {
    /// That of the month's records.
    Month,
    /// That of all files of the logbook.
    Logbook,
}

/// The way from one file up to a seal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Proof {
    /// The path of the file in the logbook.
    pub path: String,
    pub seal: Month,
    /// The number of the seal, as it is printed in the report.
    pub number: Digest,
    pub tree: Which,
    /// The place of the file in the tree, from 0.
    pub index: usize,
    pub size: usize,
    /// The hashes beside the way, the lowest first.
    pub siblings: Vec<Sibling>,
    pub root: Digest,
}

/// A hash beside the way up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Sibling {
    pub side: Side,
    pub sha256: Digest,
}

/// On which side of the way a hash stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    Left,
    Right,
}

/// Why a proof proves nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotProved {
    /// The file of the seal has another number than the proof names.
    OtherSeal,
    /// The seal says another number of files, or another root, for this tree.
    OtherTree,
    /// The siblings do not stand where those of this place in a tree of this size stand.
    OtherWay,
    /// The file, its path or a sibling is not what was sealed.
    OtherFile,
}

impl NotProved {
    /// Returns the reason in a sentence.
    pub fn words(self) -> &'static str {
        match self {
            NotProved::OtherSeal => "the seal is not the one the proof was made for",
            NotProved::OtherTree => "the seal says another number of files or another root than the proof",
            NotProved::OtherWay => "the proof's steps do not fit its place in the tree",
            NotProved::OtherFile => "the file is not what was sealed, or the proof was changed",
        }
    }
}

impl Proof {
    /// Makes the proof of a file among those that a seal covers: in the tree of the month for a record of that month,
    /// else in that of the whole logbook. Nothing for a file that the seal does not cover.
    pub fn of(path: &str, covered: &Leaves, by: &NumberedSeal) -> Option<Proof> {
        let seal = by.seal.seal;
        let (tree, leaves) = if path.starts_with(&seal.folder()) {
            (Which::Month, covered.below(&seal.folder()))
        } else {
            (Which::Logbook, covered.clone())
        };
        let (index, hashes) = leaves.path(path)?;
        let side = |is_left| if is_left { Side::Left } else { Side::Right };
        let sides = tree::sides(index, leaves.count())?;
        let siblings = sides.into_iter().zip(hashes).map(|(left, sha256)| Sibling { side: side(left), sha256 });
        Some(Proof {
            path: path.to_owned(),
            seal,
            number: by.number,
            tree,
            index,
            size: leaves.count(),
            siblings: siblings.collect(),
            root: leaves.root(),
        })
    }

    /// Returns the text of a proof's file.
    pub fn text(&self) -> String {
        let text = serde_json::to_string_pretty(self).expect("a proof holds only texts and numbers");
        text + "\n"
    }

    /// Proves the content of a file by the seal's own file.
    ///
    /// # Errors
    /// Why it proves nothing.
    pub fn check(&self, content: &[u8], seal: &Seal, seal_file: &[u8]) -> Result<(), NotProved> {
        if number_of(seal_file) != self.number || seal.seal != self.seal {
            return Err(NotProved::OtherSeal);
        }
        if seal.tree(self.tree) != (self.size, self.root) {
            return Err(NotProved::OtherTree);
        }
        let sides = tree::sides(self.index, self.size).ok_or(NotProved::OtherWay)?;
        let named = self.siblings.iter().map(|sibling| sibling.side == Side::Left);
        if !named.eq(sides) {
            return Err(NotProved::OtherWay);
        }
        let hashes: Vec<Digest> = self.siblings.iter().map(|sibling| sibling.sha256).collect();
        // A zero byte in the path could move the border between path and content.
        if self.path.contains('\0') {
            return Err(NotProved::OtherFile);
        }
        let leaf = Leaves::leaf(&self.path, content);
        match tree::climb(leaf, self.index, self.size, &hashes) {
            Some(root) if root == self.root => Ok(()),
            _ => Err(NotProved::OtherFile),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECORD: &str = "records/2026/10/05/070000-a.check.yaml";
    const LATE: &str = "records/2026/09/05/070000-a.check.yaml";

    fn sealed() -> (Leaves, NumberedSeal, Vec<u8>) {
        let mut files = Leaves::default();
        for path in ["site.yaml", "people.yaml", LATE, RECORD] {
            files.add(path, path.as_bytes());
        }
        for day in 1..=29 {
            files.add(&format!("records/2026/10/{day:02}/080000-b.check.yaml"), &[day]);
        }
        let moment = "2026-11-02T09:12:00+01:00".parse().unwrap();
        let commit = "4f0c2a9d81e7b35560cd1f2e9a7740be6d3c8812";
        let seal = Seal::of("2026-10".parse().unwrap(), (moment, "r-castellanos"), commit, &files, None);
        let file = seal.text().unwrap().into_bytes();
        let number = number_of(&file);
        (files, NumberedSeal { seal, number }, file)
    }

    #[test]
    fn a_record_of_the_month_and_any_other_file_can_be_proved() {
        let (files, seal, file) = sealed();
        for (path, tree) in [(RECORD, Which::Month), (LATE, Which::Logbook), ("site.yaml", Which::Logbook)] {
            let proof = Proof::of(path, &files, &seal).unwrap();
            assert_eq!(proof.tree, tree, "{path}");
            assert_eq!(proof.check(path.as_bytes(), &seal.seal, &file), Ok(()), "{path}");
            let read: Proof = serde_json::from_str(&proof.text()).unwrap();
            assert_eq!(read, proof);
        }
        assert_eq!(Proof::of("records/2026/10/30/080000-b.check.yaml", &files, &seal), None);
    }

    #[test]
    fn every_change_is_told_for_what_it_is() {
        let (files, numbered, file) = sealed();
        let proof = Proof::of(RECORD, &files, &numbered).unwrap();
        let seal = &numbered.seal;
        let check = |proof: &Proof| proof.check(RECORD.as_bytes(), seal, &file);
        assert_eq!(proof.check(b"other", seal, &file), Err(NotProved::OtherFile));
        assert_eq!(check(&Proof { path: LATE.to_owned(), ..proof.clone() }), Err(NotProved::OtherFile));
        let mut changed = proof.clone();
        changed.siblings[1].sha256.0[31] ^= 1;
        assert_eq!(check(&changed), Err(NotProved::OtherFile));
        let mut changed = proof.clone();
        changed.siblings[0].side = if changed.siblings[0].side == Side::Left { Side::Right } else { Side::Left };
        assert_eq!(check(&changed), Err(NotProved::OtherWay));
        let mut changed = proof.clone();
        changed.siblings.pop();
        assert_eq!(check(&changed), Err(NotProved::OtherWay));
        assert_eq!(check(&Proof { index: proof.index + 1, ..proof.clone() }), Err(NotProved::OtherWay));
        assert_eq!(check(&Proof { index: usize::MAX, ..proof.clone() }), Err(NotProved::OtherWay));
        assert_eq!(check(&Proof { size: proof.size + 1, ..proof.clone() }), Err(NotProved::OtherTree));
        assert_eq!(check(&Proof { tree: Which::Logbook, ..proof.clone() }), Err(NotProved::OtherTree));
        let mut changed = proof.clone();
        changed.root.0[0] ^= 1;
        assert_eq!(check(&changed), Err(NotProved::OtherTree));
        let mut changed = proof.clone();
        changed.number.0[0] ^= 1;
        assert_eq!(check(&changed), Err(NotProved::OtherSeal));
        assert_eq!(proof.check(RECORD.as_bytes(), seal, &[&file[..], b"\n"].concat()), Err(NotProved::OtherSeal));
        assert_eq!(check(&Proof { seal: proof.seal.next(), ..proof.clone() }), Err(NotProved::OtherSeal));
    }
}
