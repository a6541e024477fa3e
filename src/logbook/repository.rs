//! Opening the git repository of a logbook, and what a commit says.
//!
//! The logbook is always the top of its repository. Only the repository's own configuration is used:
//! the same folder gives the same answer for every person and on every machine.

use std::path::Path;

use anyhow::{Context, Result};
use gix::bstr::ByteSlice;
use gix::objs::commit::MessageRef;

use super::git_folder;
use super::headers;
use super::nowhere;
use super::snapshot::CommitInfo;
use super::trouble::{Trouble, WITHOUT_HISTORY};

/// Returns whether `root` is the top of a git repository, without opening it.
pub(super) fn is_top(root: &Path) -> bool {
    root.join(".git").exists()
}

/// Returns the repository whose top is `root`.
pub(super) fn open(root: &Path) -> Result<gix::Repository> {
    if !is_top(root) {
        return Err(not_a_repository(root).into());
    }
    git_folder::refuse_unfit(root)?;
    if is_of_another_kind(root)? {
        return Err(another_kind(root).into());
    }
    let mut repo = gix::open_opts(root, gix::open::Options::isolated())
        .map_err(anyhow::Error::from)
        .with_context(|| format!("cannot open the git repository in `{}`", root.display()))?;
    // A reference under `refs/replace` would show another record in place of the one that was committed.
    repo.objects.ignore_replacements = true;
    let Some(work_tree) = repo.workdir() else {
        return Err(bare(root).into());
    };
    let same = match (work_tree.canonicalize(), root.canonicalize()) {
        (Ok(top), Ok(root)) => top == root,
        _ => false,
    };
    if same {
        nowhere::refuse(&repo)?;
        return Ok(repo);
    }
    Err(Trouble::new(
        format!(
            "the files of the git repository in `{}` are in another folder, `{}`",
            root.display(),
            work_tree.display()
        ),
        "make the logbook the top folder of its repository",
    )
    .into())
}

fn not_a_repository(root: &Path) -> Trouble {
    if root.join("HEAD").is_file() && root.join("objects").is_dir() {
        return bare(root);
    }
    let absolute = root.canonicalize().unwrap_or_else(|_| root.to_path_buf());
    match absolute.ancestors().skip(1).find(|folder| is_top(folder)) {
        Some(top) => Trouble::new(
            format!(
                "the logbook `{}` is inside another git repository, `{}`, and not its top",
                root.display(),
                top.display()
            ),
            "keep the logbook in a repository of its own: move the folder out, then run `git init` in it",
        ),
        None => Trouble::new(format!("`{}` has no git history", root.display()), WITHOUT_HISTORY),
    }
}

/// Returns whether git keeps its objects or its branches here in a way that its library does not know.
fn is_of_another_kind(root: &Path) -> Result<bool> {
    let settings = git_folder::settings(root)?.to_lowercase();
    let plain = |line: &str| line.split_whitespace().collect::<String>();
    Ok(settings.lines().any(|line| ["objectformat=sha256", "refstorage=reftable"].contains(&plain(line).as_str())))
}

fn another_kind(root: &Path) -> Trouble {
    Trouble::new(
        format!("the git repository in `{}` is of a kind that this program cannot read", root.display()),
        "run `pinindex init NEW-FOLDER`, copy your files into it, and run `pinindex keep --by ID` there",
    )
}

fn bare(root: &Path) -> Trouble {
    Trouble::new(
        format!("`{}` is a bare git repository: it has a history but no files", root.display()),
        "make a copy to work in: `git clone THAT-FOLDER MY-LOGBOOK`",
    )
}

/// Returns what a commit says about itself, as far as it can be read.
pub(super) fn commit_info(commit: &gix::Commit<'_>) -> CommitInfo {
    let read = headers::read(&commit.data);
    CommitInfo {
        id: commit.id.to_string(),
        author_name: read.author.name,
        author_email: read.author.email,
        is_author_dated: read.author.time.is_some(),
        author_time: read.author.time.unwrap_or_default(),
        committer_name: read.committer.name,
        committer_email: read.committer.email,
        is_dated: read.committer.time.is_some(),
        time: read.committer.time.unwrap_or_default(),
        subject: MessageRef::from_bytes(read.message).summary().to_str_lossy().into_owned(),
        flaws: read.flaws,
    }
}
