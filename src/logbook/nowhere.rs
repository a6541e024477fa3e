//! A `HEAD` that leads nowhere although git's folder has a history: somebody took the branch away, or another one was named.

use anyhow::Result;

use super::bounded;
use super::headers;
use super::pending;
use super::seen;
use super::trouble::Trouble;

/// How many objects are looked at for a commit, where nothing else tells that there was one.
const LOOKED_AT: usize = 50_000;

/// Refuses where git names a branch that is not there and its folder has a history all the same: what lies in the folder of
/// files would be taken for a logbook that was never committed.
pub(super) fn refuse(repo: &gix::Repository) -> Result<()> {
    let head = repo.head()?;
    let has_history = head.id().is_none()
        && (seen::is_noted(repo)
            || repo.references()?.all()?.next().is_some()
            || has_log(repo)
            || has_second_commit(repo)?);
    if !has_history {
        return Ok(());
    }
    let name = head.referent_name().map_or("HEAD".to_owned(), |name| name.shorten().to_string());
    Err(Trouble::new(
        format!("git is on the branch `{name}`, which is not there; the history is still in git's folder"),
        "keep a copy of the folder; `git branch --all` shows the branches and `.git/logs` the commits where they stood: \
         `git symbolic-ref HEAD refs/heads/BRANCH` goes to one, `git update-ref HEAD COMMIT` brings one back",
    )
    .into())
}

/// Returns whether git's log says that a branch stood at a commit. One that a crash kept from its first commit may have it too.
fn has_log(repo: &gix::Repository) -> bool {
    let log = repo.git_dir().join("logs").join("HEAD");
    log.symlink_metadata().is_ok_and(|found| found.len() > 0) && !pending::is_noted(repo)
}

/// Returns whether there is a commit that stands on another one: the very first one may be what a crash left of a beginning.
fn has_second_commit(repo: &gix::Repository) -> Result<bool> {
    for id in repo.objects.iter()?.flatten().take(LOOKED_AT) {
        let is_commit = repo.find_header(id).is_ok_and(|header| header.kind() == gix::objs::Kind::Commit);
        if is_commit && bounded::commit(repo, id).is_ok_and(|commit| !headers::read(&commit.data).parents.is_empty()) {
            return Ok(true);
        }
    }
    Ok(false)
}
