//! Git's objects, each compared with its id before anything is made of it.
//!
//! The id of an object is the digest of what it holds, and git trusts the files in its folder to hold what their names say.
//! Whoever writes another text into such a file changes a record without any commit; here that is noticed. A name that no
//! program of git writes, twice in one folder or with `/` in it, has a flaw: two readers of it could see two logbooks.

use std::collections::HashSet;
use std::sync::Arc;

use anyhow::{Context, Result};
use gix::ObjectId;
use gix::bstr::ByteSlice;
use gix::objs::Kind;
use gix::objs::tree::EntryKind;

use super::bounded;
use super::trouble::Trouble;

/// One name in a folder of a commit.
pub(super) struct Entry {
    pub(super) name: String,
    /// Why it can be no file of a logbook, whatever is in it.
    pub(super) flaw: Option<&'static str>,
    pub(super) kind: EntryKind,
    pub(super) id: ObjectId,
}

/// Returns a commit.
pub(super) fn commit(repo: &gix::Repository, id: ObjectId) -> Result<gix::Commit<'_>> {
    let commit = bounded::commit(repo, id)?;
    refuse_other(id, Kind::Commit, &commit.data)?;
    Ok(commit)
}

/// Returns what is in a folder, in git's order; `path` is for the message.
pub(super) fn folder(repo: &gix::Repository, id: ObjectId, path: &str) -> Result<Vec<Entry>> {
    let tree = bounded::folder(repo, id, path)?;
    refuse_other(id, Kind::Tree, &tree.data)?;
    let mut names = HashSet::new();
    let mut entries = Vec::new();
    for entry in tree.iter() {
        let entry = entry?;
        let name = entry.inner.filename;
        let twice = (!names.insert(name)).then_some("its name stands twice in its folder");
        entries.push(Entry {
            name: name.to_str_lossy().into_owned(),
            flaw: bounded::unfit(name).or(twice),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_has_the_digest_that_it_is_named_by() {
        // The id of the empty content, as `git hash-object /dev/null` prints it.
        let empty = ObjectId::from_hex(b"e69de29bb2d1d6434b8b29ae775ad8c2e48c5391").unwrap();
        assert!(refuse_other(empty, Kind::Blob, b"").is_ok());
        assert!(refuse_other(empty, Kind::Blob, b" ").is_err());
        assert!(refuse_other(empty, Kind::Tree, b"").is_err());
    }
}
