//! Records that the program has written from answers: handed in, committed and told, like those that come as files.

use super::handed::Handed;
use super::opened::Opened;
use super::show::{self, Format, tell};
use super::{Context, board, taking_in};
use crate::cli::Outcome;
use crate::diagnostic::Severity;
use crate::logbook::FileContent;
use crate::record::{Moment, Record, write};

/// What came of them.
pub struct Recorded {
    /// The paths of those that were committed.
    paths: Vec<String>,
    /// Whether one was there before, from a run that ended between its commit and its last word.
    again: bool,
    pub outcome: Outcome,
}

impl Recorded {
    /// Returns whether the history holds a record of a kind that was handed in.
    pub fn holds(&self, kind: &str) -> bool {
        self.again || self.paths.iter().any(|path| path.ends_with(&format!(".{kind}.yaml")))
    }
}

/// Judges records together, commits what nothing refuses, and says what became of each.
pub fn record(
    context: &Context,
    opened: &mut Opened,
    records: &[&Record],
    now: Moment,
    format: Format,
) -> anyhow::Result<Recorded> {
    let mut handed = Vec::new();
    for record in records {
        let content = FileContent::Bytes(write::text(record)?.into_bytes().into());
        handed.push(Handed { place: None, shown: format!("the {}", record.kind()), content, inside: None });
    }
    let mut judged = taking_in::judge_handed(now, opened, handed);
    let commits = taking_in::commit(now, opened, &mut judged.taken)?;
    if !commits.is_empty() {
        board::refresh(context);
    }
    let located = judged.located(opened);
    let mut out = anstream::stdout().lock();
    show::diagnostics(&mut out, format, &located, &|path| judged.text(opened, path))?;
    let mut paths = Vec::new();
    for (candidate, commit) in judged.taken.iter().zip(&commits) {
        let commit = commit.get(..10).unwrap_or(commit);
        tell(&mut out, format, &format!("recorded {} (commit {commit})", candidate.filed.path))?;
        paths.push(candidate.filed.path.clone());
    }
    for line in &judged.again {
        tell(&mut out, format, line)?;
    }
    let faults = located.iter().any(|one| one.diagnostic.severity == Severity::Fault);
    Ok(Recorded {
        paths,
        again: !judged.again.is_empty(),
        outcome: if faults { Outcome::Faults } else { Outcome::Clean },
    })
}
