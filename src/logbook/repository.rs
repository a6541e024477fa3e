//! Opening the git repository of a logbook, and what a commit says.
//!
//! The logbook is always the top of its repository. Only the repository's own configuration is used:
//! the same folder gives the same answer for every person and on every machine.

use std::path::Path;

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset, Utc};
use gix::bstr::ByteSlice;

use super::snapshot::CommitInfo;
use super::trouble::Trouble;

/// Returns whether `root` is the top of a git repository, without opening it.
pub(super) fn is_top(root: &Path) -> bool {
    root.join(".git").exists()
}

/// Returns the repository whose top is `root`.
pub(super) fn open(root: &Path) -> Result<gix::Repository> {
    if !is_top(root) {
        return Err(not_a_repository(root).into());
    }
    if is_of_another_kind(root) {
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
        None => Trouble::new(
            format!("`{}` has no git history", root.display()),
            "run `pinindex init NEW-FOLDER`, copy your files into it, and run `pinindex keep --by ID` there",
        ),
    }
}

/// Returns whether git keeps its objects or its branches here in a way that its library does not know.
fn is_of_another_kind(root: &Path) -> bool {
    let settings = std::fs::read(root.join(".git").join("config")).unwrap_or_default();
    let settings = String::from_utf8_lossy(&settings).to_lowercase();
    let plain = |line: &str| line.split_whitespace().collect::<String>();
    settings.lines().any(|line| ["objectformat=sha256", "refstorage=reftable"].contains(&plain(line).as_str()))
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

/// Returns what a commit says about itself.
pub(super) fn commit_info(commit: &gix::Commit<'_>) -> Result<CommitInfo> {
    let decoded =
        commit.decode().map_err(anyhow::Error::from).with_context(|| format!("cannot read commit {}", commit.id))?;
    let author = decoded.author().map_err(anyhow::Error::from)?;
    let committer = decoded.committer().map_err(anyhow::Error::from)?;
    Ok(CommitInfo {
        id: commit.id.to_string(),
        author_name: author.name.trim().to_str_lossy().into_owned(),
        author_email: author.email.trim().to_str_lossy().into_owned(),
        author_time: calendar_time(author.time().unwrap_or_default()),
        time: calendar_time(committer.time().unwrap_or_default()),
        subject: decoded.message().summary().to_str_lossy().into_owned(),
    })
}

/// Returns the name and the address of whoever made a commit.
pub(super) fn committer(commit: &gix::Commit<'_>) -> Result<(String, String)> {
    let committer = commit.committer().map_err(anyhow::Error::from)?;
    let text = |bytes: &gix::bstr::BStr| bytes.trim().to_str_lossy().into_owned();
    Ok((text(committer.name), text(committer.email)))
}

fn calendar_time(time: gix::date::Time) -> DateTime<FixedOffset> {
    let offset = FixedOffset::east_opt(time.offset).unwrap_or(FixedOffset::east_opt(0).expect("zero is an offset"));
    DateTime::<Utc>::from_timestamp(time.seconds, 0).unwrap_or_default().with_timezone(&offset)
}
