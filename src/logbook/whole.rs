//! Git's objects, each compared with its id before anything is made of it.
//!
//! The id of an object is the digest of what it holds, and git trusts the files in its folder to hold what their names say.
//! Whoever writes another text into such a file changes a record without any commit; here that is noticed. A folder that no
//! program of git writes, with one name twice or a name with `/` in it, is refused too: two readers of it could see two
//! logbooks.

use std::collections::HashSet;
use std::sync::Arc;

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::bstr::{BStr, ByteSlice};
use gix::objs::Kind;
use gix::objs::tree::EntryKind;

use super::trouble::Trouble;

/// One name in a folder of a commit.
pub(super) struct Entry {
    pub(super) name: String,
    /// Whether the name is text, and so is exactly what was committed.
    pub(super) is_text: bool,
    pub(super) kind: EntryKind,
    pub(super) id: ObjectId,
}

/// Returns a commit.
pub(super) fn commit(repo: &gix::Repository, id: ObjectId) -> Result<gix::Commit<'_>> {
    let commit = repo.find_commit(id).with_context(|| format!("cannot read commit {id}"))?;
    refuse_other(id, Kind::Commit, &commit.data)?;
    Ok(commit)
}

/// Returns what is in a folder, in git's order.
pub(super) fn folder(repo: &gix::Repository, id: ObjectId) -> Result<Vec<Entry>> {
    let tree = repo.find_tree(id).with_context(|| format!("cannot read the folder {id} in git"))?;
    refuse_other(id, Kind::Tree, &tree.data)?;
    let mut names = HashSet::new();
    let mut entries = Vec::new();
    for entry in tree.iter() {
        let entry = entry?;
        let name = entry.filename();
        let shown = name.to_str_lossy().into_owned();
        if !is_name(name) || !names.insert(shown.clone()) {
            return Err(Trouble::new(
                format!("a folder in the history has a name that git never writes, `{}`", shown.escape_debug()),
                "run `git fsck --full`, and bring the logbook back from a copy that was made before",
            )
            .into());
        }
        entries.push(Entry {
            name: shown,
            is_text: name.to_str().is_ok(),
            kind: entry.mode().kind(),
            id: entry.object_id(),
        });
    }
    Ok(entries)
}

/// Returns the bytes of a content.
pub(super) fn content(repo: &gix::Repository, id: ObjectId) -> Result<Arc<[u8]>> {
    let mut blob = repo.find_blob(id).with_context(|| format!("cannot read {id} in git"))?;
    refuse_other(id, Kind::Blob, &blob.data)?;
    Ok(Arc::from(blob.take_data()))
}

fn refuse_other(id: ObjectId, kind: Kind, bytes: &[u8]) -> Result<()> {
    if gix::objs::compute_hash(id.kind(), kind, bytes).is_ok_and(|digest| digest == id) {
        return Ok(());
    }
    Err(Trouble::new(
        format!("`{id}` in git's folder does not hold what was committed"),
        "run `git fsck --full`, and bring the logbook back from a copy that was made before",
    )
    .into())
}

fn is_name(name: &BStr) -> bool {
    !(name.is_empty() || name.contains(&b'/') || name.eq_ignore_ascii_case(b".git") || *name == "." || *name == "..")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_leads_nowhere_else() {
        for name in ["", ".", "..", ".git", ".GIT", "records/2026"] {
            assert!(!is_name(name.into()), "{name}");
        }
        for name in ["records", ".gitkeep", "...", "065200-theatre-1.check.yaml", "\u{1F600}"] {
            assert!(is_name(name.into()), "{name}");
        }
    }

    #[test]
    fn what_is_read_has_the_digest_that_it_is_named_by() {
        // The id of the empty content, as `git hash-object /dev/null` prints it.
        let empty = ObjectId::from_hex(b"e69de29bb2d1d6434b8b29ae775ad8c2e48c5391").unwrap();
        assert!(refuse_other(empty, Kind::Blob, b"").is_ok());
        assert!(refuse_other(empty, Kind::Blob, b" ").is_err());
        assert!(refuse_other(empty, Kind::Tree, b"").is_err());
    }
}
