//! Git's objects: what a commit is made of before any branch knows it.
//!
//! Takes the files of each commit, gives the ids of the commits. Until the branch moves nobody sees
//! them, so a crash in here leaves nothing but a little rubbish. An object is written also where one of
//! its name is there already: a power cut may have left it empty.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anyhow::Result;
use chrono::{DateTime, FixedOffset};
use gix::ObjectId;
use gix::objs::tree::EntryKind;
use gix::objs::{Kind, Write as _, WriteTo as _};

use super::commit::Author;
use super::files;
use super::repository;
use super::signed;
use super::signing::Signer;
use crate::diagnostic::hidden;

/// What a commit does with one file.
#[derive(Clone, Copy)]
pub(super) enum Deed<'a> {
    /// Puts a new file with this text in its place.
    Add(&'a str),
    /// Keeps the text that the file on disk has by now, whether the history knows the file or not.
    Keep(&'a str),
    /// Puts the first text of an altered record back, as it lies on the disk.
    BringBack(&'a str),
    /// Takes out a file that is gone from the disk.
    Remove,
}

impl<'a> Deed<'a> {
    /// Returns the text that the file has afterwards.
    pub(super) fn text(self) -> Option<&'a str> {
        match self {
            Deed::Add(text) | Deed::Keep(text) | Deed::BringBack(text) => Some(text),
            Deed::Remove => None,
        }
    }
}

/// The files of one commit and who answers for them.
pub(super) struct Draft<'a> {
    pub(super) files: Vec<(&'a str, Deed<'a>)>,
    pub(super) author: &'a Author,
    pub(super) committer: &'a Author,
    pub(super) message: &'a str,
    /// The key of the committer.
    pub(super) signer: Option<&'a Signer>,
}

/// The objects that were made.
#[derive(Default)]
pub(super) struct Made {
    /// The commits, in order.
    pub(super) commits: Vec<ObjectId>,
    /// Every file touched, with the id of its content; nothing for a file that was taken out.
    pub(super) files: Vec<(String, Option<ObjectId>)>,
    all: Vec<ObjectId>,
}

/// Asks for the signature of each draft's commit, and holds and writes nothing meanwhile: an agent may ask a person.
///
/// Nothing stands for a commit that nobody could sign; it is made all the same: a record never waits for a signature.
pub(super) fn sign(
    root: &Path,
    parent: Option<ObjectId>,
    tree: ObjectId,
    drafts: &[Draft<'_>],
) -> Result<Vec<Option<String>>> {
    if drafts.iter().all(|draft| draft.signer.is_none()) {
        return Ok(vec![None; drafts.len()]);
    }
    let mut signatures = Vec::new();
    let repo = repository::open(root)?.with_object_memory();
    build(&repo, parent, tree, drafts, &mut |draft, commit| {
        let signature = draft.signer.map(|signer| signature_of(commit, signer)).transpose()?.flatten();
        signatures.push(signature.clone());
        Ok(signature)
    })?;
    Ok(signatures)
}

/// Makes one commit of each draft with its signature, each on top of the one before, the first on top of `parent`.
pub(super) fn make(
    repo: &gix::Repository,
    parent: Option<ObjectId>,
    tree: ObjectId,
    drafts: &[Draft<'_>],
    signatures: Vec<Option<String>>,
    sync: bool,
    progress: &mut dyn FnMut(usize),
) -> Result<Made> {
    let mut signatures = signatures.into_iter();
    let mut count = 0;
    let made = build(repo, parent, tree, drafts, &mut |_, _| {
        count += 1;
        progress(count);
        Ok(signatures.next().flatten())
    })?;
    if sync {
        sync_all(repo, &made)?;
    }
    Ok(made)
}

/// What gives the signature of a commit as it is without one.
type Sign<'a> = dyn FnMut(&Draft<'_>, &gix::objs::Commit) -> Result<Option<String>> + 'a;

fn build(
    repo: &gix::Repository,
    parent: Option<ObjectId>,
    tree: ObjectId,
    drafts: &[Draft<'_>],
    sign: &mut Sign<'_>,
) -> Result<Made> {
    let mut made = Made::default();
    let mut parent = parent;
    let mut editor = repo.edit_tree(tree)?.detach();
    for draft in drafts {
        for (path, deed) in &draft.files {
            let blob = deed.text().map(|text| repo.objects.write_buf(Kind::Blob, text.as_bytes())).transpose()?;
            match blob {
                Some(blob) => editor.upsert(path.split('/'), EntryKind::Blob, blob)?,
                None => editor.remove(path.split('/'))?,
            };
            made.all.extend(blob);
            made.files.push(((*path).to_owned(), blob));
        }
        let tree = editor.write(|tree| {
            let id = repo.objects.write(tree)?;
            made.all.push(id);
            Ok::<_, gix::Error>(id)
        })?;
        let mut commit = gix::objs::Commit {
            message: message(draft.message).into(),
            tree,
            author: named(draft.author),
            committer: named(draft.committer),
            encoding: None,
            parents: parent.into_iter().collect(),
            extra_headers: Vec::new(),
        };
        if let Some(armored) = sign(draft, &commit)? {
            commit.extra_headers.push((signed::HEADER.into(), armored.into()));
        }
        let id = repo.objects.write(&commit)?;
        made.all.push(id);
        made.commits.push(id);
        parent = Some(id);
    }
    Ok(made)
}

/// Returns the signature of a commit as it is without one.
fn signature_of(commit: &gix::objs::Commit, signer: &Signer) -> Result<Option<String>> {
    let mut payload = Vec::new();
    commit.write_to(&mut payload)?;
    Ok(signer.sign(&payload))
}

/// Makes sure that all objects made survive a power cut.
fn sync_all(repo: &gix::Repository, made: &Made) -> Result<()> {
    let store = repo.common_dir().join("objects");
    let places: BTreeSet<PathBuf> = made
        .all
        .iter()
        .map(|id| {
            let digits = id.to_string();
            store.join(&digits[..2]).join(&digits[2..])
        })
        .collect();
    let mut folders: BTreeSet<PathBuf> =
        places.iter().filter_map(|place| place.parent()).map(Path::to_path_buf).collect();
    folders.insert(store);
    files::sync_all(&places.into_iter().collect::<Vec<_>>())?;
    files::sync_all(&folders.into_iter().collect::<Vec<_>>())
}

/// Returns somebody as git accepts a name: the signs with a meaning of their own are left out.
pub(super) fn named(from: &Author) -> gix::actor::Signature {
    let name = plain(&from.name);
    gix::actor::Signature {
        name: if name.is_empty() { "unknown".into() } else { name.into() },
        email: plain(&from.email).replace(' ', "").into(),
        time: time(from.time),
    }
}

fn time(when: DateTime<FixedOffset>) -> gix::date::Time {
    gix::date::Time {
        // Before 1970 git knows no time.
        seconds: when.timestamp().max(0),
        offset: when.offset().local_minus_utc(),
    }
}

fn plain(text: &str) -> String {
    let spaced: String =
        text.chars().map(|sign| if "<>".contains(sign) || hidden::is_hidden(sign) { ' ' } else { sign }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn message(text: &str) -> String {
    // A zero byte would end the message for some readers of it.
    let text = text.replace('\0', " ");
    format!("{}\n", text.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_keeps_no_sign_that_git_reads_as_structure() {
        let when = DateTime::parse_from_rfc3339("2026-11-25T06:42:10-03:30").unwrap();
        let from = Author { name: " A <b>\nC\0 ".to_owned(), email: "<a b@x.example>\n".to_owned(), time: when };
        let made = named(&from);
        assert_eq!(made.name, "A b C");
        assert_eq!(made.email, "ab@x.example");
        assert_eq!(made.time.to_string(), format!("{} -0330", when.timestamp()));
        let nameless = Author { name: "<>".to_owned(), email: String::new(), time: when };
        assert_eq!(named(&nameless).name, "unknown");
    }

    #[test]
    fn a_message_ends_with_one_line_end() {
        assert_eq!(message("a\n\nb\0c\n\n"), "a\n\nb c\n");
    }
}
