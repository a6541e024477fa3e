//! Records that the program has written from answers: handed in, committed and told, like those that come as files.

use super::handed::Handed;
use super::opened::{Opened, open_in_turn};
use super::show::{self, Format, tell};
use super::{Context, board, signing, taking_in};
use crate::cli::Outcome;
use crate::diagnostic::Severity;
use crate::logbook::{FileContent, short_commit};
use crate::record::{Moment, Record, write};

/// What came of them.
pub struct Recorded {
    /// The kinds of those that the history holds now, whether from this run or from one that ended before its last word.
    kinds: Vec<&'static str>,
    pub outcome: Outcome,
    /// The logbook with what was committed.
    pub opened: Opened,
}

impl Recorded {
    /// Returns whether the history holds the record of a kind that was handed in.
    pub fn holds(&self, kind: &str) -> bool {
        self.kinds.contains(&kind)
    }
}

/// Judges records together, commits what nothing refuses, and says what became of each. No two are of one kind.
///
/// The logbook is read anew: while somebody was asked, somebody else may have withheld the machine.
pub fn record(context: &Context, records: &[&Record], now: Moment, format: Format) -> anyhow::Result<Recorded> {
    let root = context.find_logbook()?;
    let mut keys = signing::of_committed(context, &root, records.iter().map(|record| record.common.recorder()), now)?;
    let (mut turn, mut opened) = open_in_turn(context, &root)?;
    opened.solid_ground()?;
    let mut handed = Vec::new();
    for record in records {
        let content = FileContent::Bytes(write::text(record)?.into_bytes().into());
        handed.push(Handed { place: None, shown: shown(record), content, inside: None });
    }
    let mut judged = taking_in::judge_handed(now, &mut opened, handed);
    let at_commit = now.max(context.at_commit());
    keys.hand_to(&mut turn, &opened.contents, at_commit);
    let commits = taking_in::commit(at_commit, &mut turn, &opened, &mut judged.taken, None)?;
    drop(turn);
    if !commits.is_empty() {
        board::refresh(context);
    }
    let located = judged.located(&opened);
    let mut out = anstream::stdout().lock();
    show::diagnostics(&mut out, format, &located, &|path| judged.text(&opened, path))?;
    for (candidate, commit) in judged.taken.iter().zip(&commits) {
        let commit = short_commit(commit);
        tell(&mut out, format, &format!("recorded {} (commit {commit})", candidate.filed.path))?;
    }
    let whose = judged.taken.iter().map(|candidate| candidate.filed.record.common.recorder());
    for line in keys.lines(&root, &commits.iter().zip(whose).collect::<Vec<_>>())? {
        tell(&mut out, format, &line)?;
    }
    for line in &judged.again {
        tell(&mut out, format, line)?;
    }
    let refused: Vec<&str> = located
        .iter()
        .filter(|one| one.diagnostic.severity == Severity::Problem)
        .map(|one| one.diagnostic.place.path.as_str())
        .collect();
    let kinds = records.iter().filter(|record| !refused.contains(&shown(record).as_str())).map(|record| record.kind());
    let outcome = if refused.is_empty() { Outcome::Clean } else { Outcome::Problems };
    Ok(Recorded { kinds: kinds.collect(), outcome, opened })
}

/// Returns the name that a person knows a record by that is no file.
fn shown(record: &Record) -> String {
    format!("the {}", record.kind())
}
