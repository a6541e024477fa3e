//! The audit: what the history did to every record, and everything in it that should not be.
//!
//! Takes the trail of the history and the contents of its last commit. Gives an account of each record (which commit brought
//! it, who recorded and who committed it, what time passed between) and diagnostics. Unlike the rules, which judge what the
//! files say, it judges what was done to them; and unlike a rule's problem, nothing here is settled by a later record.

mod account;
mod altered;
mod author_dates;
mod authors;
mod beginnings;
mod damage;
mod dates;
mod keys;
mod known;
mod people;
mod registered;
mod revisions;
mod rewritten;
mod setup;
mod signatures;
mod twice;
mod unreadable;
mod veils;
mod verdicts;
mod versions;
mod words;

pub use account::{KeptChange, RecordAccount, Says};
pub use signatures::SignatureStanding;
pub use unreadable::problem as commit_not_readable;

use crate::contents::{Contents, Filed};
use crate::diagnostic::{Diagnostic, Severity};
use crate::logbook::{self, BesideHistory, Step, Trail};
use crate::record::Moment;
use crate::rule::{self, Rule};

/// What the audit finds in a history, by name. Other than the rules for files, these are told by `pinindex audit`; an
/// altered record is told by every command.
pub const RULES: &[Rule] = &[
    found("address-of-another-person", include_str!("address_of_another_person.md")),
    odd("author-date-differs", include_str!("author_date_differs.md")),
    found("author-is-not-recorder", include_str!("author_is_not_recorder.md")),
    odd("author-name-differs", include_str!("author_name_differs.md")),
    found("author-not-among-people", include_str!("author_not_among_people.md")),
    found("commit-before-its-parent", include_str!("commit_before_its_parent.md")),
    found("commit-not-readable", include_str!("commit_not_readable.md")),
    odd("committed-late", include_str!("committed_late.md")),
    found("committer-not-among-people", include_str!("committer_not_among_people.md")),
    odd("files-left-out", include_str!("files_left_out.md")),
    odd("folder-at-old-commit", include_str!("folder_at_old_commit.md")),
    found("history-damaged", include_str!("history_damaged.md")),
    found("history-rewritten", include_str!("history_rewritten.md")),
    found("history-shown-otherwise", include_str!("history_shown_otherwise.md")),
    found("key-brought-back", include_str!("key_brought_back.md")),
    found("key-of-another-person", include_str!("key_of_another_person.md")),
    found("key-taken-away", include_str!("key_taken_away.md")),
    odd("machine-renamed", include_str!("machine_renamed.md")),
    odd("person-renamed", include_str!("person_renamed.md")),
    found("record-altered", include_str!("record_altered.md")),
    found("record-came-in-twice", include_str!("record_came_in_twice.md")),
    found("record-lost-in-merge", include_str!("record_lost_in_merge.md")),
    odd("record-not-merged", include_str!("record_not_merged.md")),
    found("record-outside-history", include_str!("record_outside_history.md")),
    found("recorded-after-its-commit", include_str!("recorded_after_its_commit.md")),
    found("revision-changed-in-force", include_str!("revision_changed_in_force.md")),
    found("seal-broken", include_str!("seal_broken.md")),
    found("seal-made-otherwise", include_str!("seal_made_otherwise.md")),
    found("seal-out-of-chain", include_str!("seal_out_of_chain.md")),
    found("second-beginning", include_str!("second_beginning.md")),
    found("signature-bad", include_str!("signature_bad.md")),
    found("signature-missing", include_str!("signature_missing.md")),
    odd("signature-not-judged", include_str!("signature_not_judged.md")),
    found("signature-of-revoked-key", include_str!("signature_of_revoked_key.md")),
    found("signature-of-unknown-key", include_str!("signature_of_unknown_key.md")),
    found("signature-out-of-days", include_str!("signature_out_of_days.md")),
    odd("site-changed", include_str!("site_changed.md")),
    found("verdict-turned", include_str!("verdict_turned.md")),
];

const fn found(name: &'static str, page: &'static str) -> Rule {
    Rule { name, severity: Severity::Problem, page, check: None }
}

const fn odd(name: &'static str, page: &'static str) -> Rule {
    Rule { name, severity: Severity::Finding, page, check: None }
}

/// Returns every rule there is, those for files and those for the history, by name.
pub fn all_rules() -> Vec<&'static Rule> {
    let mut all: Vec<&Rule> = rule::RULES.iter().chain(RULES).collect();
    all.sort_by_key(|rule| rule.name);
    all
}

/// What the audit looks at.
pub struct Evidence<'a> {
    pub trail: &'a Trail,
    /// The newest commits that were made in this folder, by id.
    pub made_here: &'a [String],
    /// What git's folder holds beside the history.
    pub beside: &'a BesideHistory,
    /// The signature of each step of the trail, where it has one.
    pub signed: &'a [Option<logbook::SignedCommit>],
    /// What the last commit holds.
    pub contents: &'a Contents,
    /// Returns the first line of the message that a record is committed with.
    pub subject: &'a dyn Fn(&Filed) -> String,
}

/// What the audit found.
pub struct Audit {
    /// One for each record there ever was, in the order in which they came in.
    pub records: Vec<RecordAccount>,
    /// Each change of a file that is not a record, in order.
    pub kept: Vec<KeptChange>,
    /// How each step of the trail stands with its signature.
    pub signed: Vec<SignatureStanding>,
    pub diagnostics: Vec<Diagnostic>,
}

/// A diagnostic, and the place of the commit it is about among the steps of the trail; none when it is about all of them.
type Found = (Option<usize>, Diagnostic);

/// From where on things are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Since {
    Beginning,
    /// From the first commit that is not older than a moment, and everything after it, whatever date that bears. A commit
    /// that was dated back stands before it.
    Moment(Moment),
    /// Everything but this step of the trail and what it stands on, whatever dates it bears.
    Step(usize),
}

impl Since {
    /// Returns, for each step, whether it is told.
    fn told(self, steps: &[Step]) -> Vec<bool> {
        match self {
            Since::Beginning => vec![true; steps.len()],
            Since::Moment(moment) => {
                let is_since = |step: &Step| moment <= Moment(step.commit.time);
                let first = steps.iter().position(is_since).unwrap_or(steps.len());
                (0..steps.len()).map(|at| first <= at).collect()
            }
            Since::Step(known) => {
                let mut told = vec![true; steps.len()];
                let mut open = vec![known];
                while let Some(at) = open.pop() {
                    if told.get(at).copied().unwrap_or(false) {
                        told[at] = false;
                        open.extend(steps.get(at).into_iter().flat_map(|step| &step.parents));
                    }
                }
                told
            }
        }
    }
}

/// Goes through the whole history, and tells what was done since.
pub fn judge(evidence: &Evidence<'_>, since: Since) -> Audit {
    let told = since.told(&evidence.trail.steps);
    let is_told = |at: usize| told.get(at).copied().unwrap_or(true);
    let (mut records, mut kept) = account::of(evidence);
    let checks = [
        rewritten::commits,
        rewritten::later,
        rewritten::records,
        unreadable::problems,
        beginnings::problems,
        damage::problems,
        veils::problems,
        altered::problems,
        twice::problems,
        dates::problems,
        author_dates::findings,
        authors::problems,
        keys::problems,
        registered::findings,
        revisions::problems,
        verdicts::problems,
    ];
    let (signed, of_signatures) = signatures::of(evidence);
    let found = checks.iter().flat_map(|check| check(evidence, &records)).chain(of_signatures);
    let diagnostics = found.filter(|(at, _)| at.is_none_or(is_told)).map(|(_, diagnostic)| diagnostic).collect();
    // What another line of the history had before is nothing new.
    records.retain(|record| record.brought().all(is_told));
    kept.retain(|change| is_told(change.step));
    Audit { records, kept, signed, diagnostics }
}
