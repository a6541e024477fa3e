//! A SHA-256 (FIPS 180-4), and how it is written: 64 hexadecimal digits, or groups of four for people.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::str::FromStr;

/// The 32 bytes of a SHA-256.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest(pub [u8; 32]);

/// How many digits are enough to tell one seal from all others on a page.
const SHORT: usize = 20;

impl Digest {
    /// Returns the digest of several pieces of bytes, one after another.
    pub fn of(pieces: &[&[u8]]) -> Digest {
        let mut hasher = Sha256::new();
        for piece in pieces {
            hasher.update(piece);
        }
        Digest(hasher.finalize().into())
    }

    /// Returns all digits in groups of four.
    pub fn in_groups(&self) -> String {
        grouped(&self.to_string())
    }

    /// Returns the first 20 digits in groups of four.
    pub fn short(&self) -> String {
        grouped(&self.to_string()[..SHORT])
    }
}

fn grouped(digits: &str) -> String {
    digits.as_bytes().chunks(4).map(String::from_utf8_lossy).collect::<Vec<_>>().join(" ")
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// A text is not a digest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotADigest;

impl fmt::Display for NotADigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not 64 digits of 0-9 and a-f")
    }
}

impl std::error::Error for NotADigest {}

impl FromStr for Digest {
    type Err = NotADigest;

    /// Takes only the one spelling that is written: lower case, without blanks.
    fn from_str(text: &str) -> Result<Digest, NotADigest> {
        let digit = |byte: &u8| match byte {
            b'0'..=b'9' => Some(byte - b'0'),
            b'a'..=b'f' => Some(byte - b'a' + 10),
            _ => None,
        };
        let digits: Vec<u8> = text.as_bytes().iter().map(digit).collect::<Option<_>>().ok_or(NotADigest)?;
        let bytes: Vec<u8> =
            digits.chunks(2).map(|pair| pair.iter().fold(0, |byte, digit| byte << 4 | digit)).collect();
        if text.len() == 64 { bytes.try_into().map(Digest).map_err(|_| NotADigest) } else { Err(NotADigest) }
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Digest, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST's example of SHA-256 for a message of one block (FIPS 180-4 examples, "abc").
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn it_is_sha_256_of_the_pieces_together() {
        assert_eq!(Digest::of(&[b"a", b"", b"bc"]).to_string(), ABC);
        assert_eq!(ABC.parse(), Ok(Digest::of(&[b"abc"])));
    }

    #[test]
    fn people_read_groups_of_four() {
        let digest: Digest = ABC.parse().unwrap();
        assert_eq!(digest.short(), "ba78 16bf 8f01 cfea 4141");
        assert!(digest.in_groups().starts_with("ba78 16bf ") && digest.in_groups().ends_with(" f200 15ad"));
        assert_eq!(digest.in_groups().replace(' ', ""), ABC);
    }

    #[test]
    fn there_is_one_spelling() {
        let odd = ["", "ba78", &ABC[1..], &format!("{ABC}00"), &ABC.to_uppercase(), &ABC.replace('b', "g")];
        for wrong in odd {
            assert_eq!(wrong.parse::<Digest>(), Err(NotADigest), "{wrong}");
        }
    }
}
