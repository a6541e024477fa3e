//! What a commit was signed over, and the signature: the two things that whoever judges it needs.
//!
//! Git signs a commit without the header that holds the signature. In repositories of SHA-1 names that header is `gpgsig`;
//! `gpgsig-sha256` is for the other kind. Neither is part of what is signed, and the lines of a header after its first one
//! begin with a space.

use std::path::Path;

use anyhow::{Context, Result};
use gix::ObjectId;

use super::repository;

/// The header that holds the signature.
pub(super) const HEADER: &str = "gpgsig";
const HEADER_OF_SHA_256: &str = "gpgsig-sha256";

/// A signature in a commit, not judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignedCommit {
    /// The bytes it should have been made over.
    pub payload: Vec<u8>,
    /// The signature as it stands there, of whatever kind; more than one stand under each other.
    pub armored: String,
}

/// Returns what each of some commits was signed over, in the order asked for; nothing for one without a signature.
pub fn signed_commits<S: AsRef<str>>(root: &Path, ids: &[S]) -> Result<Vec<Option<SignedCommit>>> {
    let repo = repository::open(root)?;
    ids.iter()
        .map(|id| {
            let id = id.as_ref();
            let unknown = || format!("the logbook's history has no commit `{id}`");
            let commit =
                repo.find_commit(ObjectId::from_hex(id.as_bytes()).with_context(unknown)?).with_context(unknown)?;
            Ok(part(&commit.data))
        })
        .collect()
}

/// Parts a commit into what was signed and its signature.
fn part(commit: &[u8]) -> Option<SignedCommit> {
    let mut payload = Vec::with_capacity(commit.len());
    let mut signature = Vec::new();
    let mut rest = commit;
    let mut into = Part::Payload;
    while let Some(end) = rest.iter().position(|byte| *byte == b'\n') {
        let (line, after) = rest.split_at(end + 1);
        if line == b"\n" {
            break;
        }
        if let Some(more) = line.strip_prefix(b" ") {
            match into {
                Part::Payload => payload.extend(line),
                Part::Signature => signature.extend(more),
                Part::Nothing => {}
            }
        } else if let Some(first) = value(line, HEADER) {
            into = Part::Signature;
            signature.extend(first);
        } else if value(line, HEADER_OF_SHA_256).is_some() {
            into = Part::Nothing;
        } else {
            into = Part::Payload;
            payload.extend(line);
        }
        rest = after;
    }
    payload.extend(rest);
    let armored = String::from_utf8_lossy(&signature).into_owned();
    (!signature.is_empty()).then_some(SignedCommit { payload, armored })
}

/// Where a line that continues the one before belongs.
enum Part {
    Payload,
    Signature,
    Nothing,
}

fn value<'a>(line: &'a [u8], header: &str) -> Option<&'a [u8]> {
    line.strip_prefix(header.as_bytes())?.strip_prefix(b" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_are_taken_out_and_all_else_stays() {
        let head = "tree 1\nauthor A <a> 1 +0000\n";
        let commit = format!(
            "{head}gpgsig-sha256 X\n Y\nother one\n two\ngpgsig BEGIN\n middle\n \n END\n\nthe words\ngpgsig no header\n"
        );
        let signed = part(commit.as_bytes()).unwrap();
        let left = format!("{head}other one\n two\n\nthe words\ngpgsig no header\n");
        assert_eq!(String::from_utf8(signed.payload).unwrap(), left);
        assert_eq!(signed.armored, "BEGIN\nmiddle\n\nEND\n");
        assert_eq!(part(left.as_bytes()), None);
        assert_eq!(part(b""), None);
    }
}
