//! Which commit somebody means: by its digits, by a branch or a tag.

use std::collections::HashSet;

use anyhow::Result;
use gix::ObjectId;

use super::bounded;
use super::trouble::{self, Trouble};
use super::whole;

/// So many digits are meant as those of a commit; git shows no fewer.
const FEWEST_DIGITS: usize = 7;

/// Returns the commit that `rev` names.
pub(super) fn find<'repo>(repo: &'repo gix::Repository, rev: &str) -> Result<gix::Commit<'repo>> {
    let unknown = || {
        if rev == "HEAD" {
            return Trouble::new("the last commit of the logbook cannot be read", trouble::ABOUT_GIT);
        }
        Trouble::new(
            format!("the logbook's history has no commit `{rev}`"),
            "run `git log --oneline` in the logbook to see its commits",
        )
    };
    let mut id = match by_digits(repo, rev)? {
        Some(id) => id,
        None => repo.rev_parse_single(rev).map_err(|_| unknown())?.detach(),
    };
    // A tag is followed to its commit; each of them is no larger than a commit may be.
    loop {
        if repo.find_header(id)?.kind() != gix::objs::Kind::Tag {
            break;
        }
        id = bounded::tag_target(repo, id)?;
    }
    if repo.find_header(id)?.kind() != gix::objs::Kind::Commit {
        return Err(unknown().into());
    }
    whole::commit(repo, id)
}

/// Returns the commit whose first digits these are: what was written down is never taken for the name of a tag.
fn by_digits(repo: &gix::Repository, digits: &str) -> Result<Option<ObjectId>> {
    let is_hex = digits.len() >= FEWEST_DIGITS && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    let Some(prefix) = is_hex.then(|| gix::hash::Prefix::from_hex(digits).ok()).flatten() else { return Ok(None) };
    let mut found = HashSet::new();
    repo.objects.lookup_prefix(prefix, Some(&mut found))?;
    let is_commit = |id: &ObjectId| repo.find_header(*id).is_ok_and(|header| header.kind() == gix::objs::Kind::Commit);
    let mut commits = found.into_iter().filter(is_commit);
    match (commits.next(), commits.next()) {
        (Some(_), Some(_)) => Err(Trouble::new(
            format!("more than one commit begins with `{digits}`"),
            "write more of its digits; `git log --oneline` in the logbook shows them",
        )
        .into()),
        (found, _) => Ok(found),
    }
}
