//! What `keep` refuses: what would turn what the history tells, and problems that a change would bring.

use crate::command::Context;
use crate::command::opened::{Opened, Which, open};
use crate::contents::Contents;
use crate::diagnostic::{Diagnostic, Severity, counted};
use crate::logbook::{self, Changed, ChangedHow, FileContent, Snapshot, Trouble};
use crate::procedure::CheckJudgement;
use crate::record::{Date, Moment};
use crate::register::{KeyChange, KeyDeed, key_changes};
use crate::rule::{self, Facts};
use crate::timeline;
use std::collections::BTreeMap;
use std::path::Path;

/// The logbook as the history has it.
pub(super) struct Before {
    files: BTreeMap<String, FileContent>,
    pub(super) contents: Contents,
    pub(super) problems: Vec<Diagnostic>,
}

impl Before {
    pub(super) fn read(context: &Context, root: &Path) -> anyhow::Result<Before> {
        if !logbook::has_history(root)? {
            return Ok(Before { files: BTreeMap::new(), contents: Contents::default(), problems: Vec::new() });
        }
        let opened = open(context, Which::Committed)?;
        opened.tell_clock_behind(context.at_commit())?;
        let Opened { snapshot, contents, diagnostics, .. } = opened;
        Ok(Before { files: snapshot.files, contents, problems: diagnostics })
    }

    /// Returns the files of the logbook as they would be with the chosen changes.
    pub(super) fn with(&self, root: &Path, chosen: &[Changed]) -> Snapshot {
        let mut files = self.files.clone();
        for file in chosen.iter().filter(|file| logbook::belongs(&file.path)) {
            match logbook::read_inside(root, &file.path) {
                Some(content) => files.insert(file.path.clone(), content),
                None => files.remove(&file.path),
            };
        }
        Snapshot { files, source: logbook::Source::WorkingFiles { head: None, uncommitted: true } }
    }

    /// Refuses a change that would turn the verdict of a check that is in the history.
    pub(super) fn refuse_other_verdicts(&self, after: &Contents) -> anyhow::Result<()> {
        let verdicts = |contents: &Contents| -> BTreeMap<String, CheckJudgement> {
            let lives = timeline::lives(contents);
            lives
                .into_values()
                .flat_map(|life| life.checks)
                .map(|check| (check.path().to_owned(), check.judgement))
                .collect()
        };
        let (old, new) = (verdicts(&self.contents), verdicts(after));
        let turned: Vec<&String> = old
            .iter()
            .filter(|(path, judgement)| new.get(*path).is_some_and(|now| !now.agrees_with(judgement)))
            .map(|(path, _)| path)
            .collect();
        let Some(first) = turned.first() else { return Ok(()) };
        let machine = logbook::parse_record_path(first).map_or(String::new(), |name| name.machine);
        Err(Trouble::new(
            format!("this would turn the verdict of {} in the history, first of {first}", counted(turned.len(), "check")),
            format!(
                "write in `machines/{machine}.yaml`, under `before`, what held until the day of the change, so that older \
                 checks are judged by the machine as it was"
            ),
        )
        .into())
    }

    /// Refuses a change after which a key is missing from the people, or counts again after its end.
    pub(super) fn refuse_turned_keys(&self, after: &Contents, now: Moment) -> anyhow::Result<()> {
        let day = self.contents.day(now);
        let changes = key_changes(&self.contents.people, &after.people, day);
        match changes.iter().find_map(|change| refusal(change, day)) {
            Some(trouble) => Err(trouble.into()),
            None => Ok(()),
        }
    }

    /// Refuses to end the key that whoever keeps the change signs with, so that nobody could sign the change.
    ///
    /// Where nobody else is there who could keep it, it is kept without a signature.
    pub(super) fn refuse_own_end(&self, after: &Contents, by: &str, now: Moment) -> anyhow::Result<()> {
        let day = self.contents.day(now);
        let Some(person) = self.contents.people.get(by) else { return Ok(()) };
        let left = after.people.get(by).map(|person| person.keys_in_force(after.day(now))).unwrap_or_default();
        let keys = person.keys_in_force(day);
        let is_signed = keys.is_empty() || keys.iter().any(|key| left.contains(key));
        let has_others = self.contents.people.iter().any(|(id, person)| id != by && person.is_here_on(day));
        if is_signed || !has_others {
            return Ok(());
        }
        Err(Trouble::new(
            format!("this ends every key that {} could sign it with", person.name),
            format!(
                "let somebody else keep it: `pinindex keep --by ID`; or, where the key is at hand and nobody else has it, \
                 write {day} or a later day as its last one (`until: {day}`), beside the new key"
            ),
        )
        .into())
    }

    /// Refuses another text for a revision that checks are judged by.
    ///
    /// Before the first record a logbook is still being set up, and the shipped procedures are there to be edited.
    pub(super) fn refuse_used_revisions(&self, context: &Context, chosen: &[Changed]) -> anyhow::Result<()> {
        if !self.files.keys().any(|path| path.starts_with("records/")) {
            return Ok(());
        }
        let zone = self.contents.site.as_ref().map(|site| site.time_zone);
        let today = Date(zone.map_or(context.now().0.date_naive(), |zone| context.now().date_in(zone)));
        for file in chosen.iter().filter(|file| file.how != ChangedHow::New) {
            let Some((id, revision)) = revision(&file.path) else { continue };
            let Some(known) = self.contents.procedures.get(&(id.clone(), revision)) else { continue };
            if known.in_force_from <= today {
                let latest = self.contents.procedures.keys().filter(|(other, _)| *other == id).map(|(_, n)| *n).max();
                let next = latest.unwrap_or(revision).saturating_add(1);
                return Err(Trouble::new(
                    format!(
                        "`{}` has been in force since {} and is never changed, because checks are judged by it",
                        file.path, known.in_force_from
                    ),
                    format!(
                        "put the old text back, and write revision {next} as `procedures/{id}/{next}.yaml` with the \
                         day from which it is in force"
                    ),
                )
                .into());
            }
        }
        Ok(())
    }
}

fn refusal(change: &KeyChange, day: Date) -> Option<Trouble> {
    match &change.done {
        KeyDeed::TakenAway => Some(Trouble::new(
            format!("a key of {} would be gone from `people.yaml`", change.name),
            format!(
                "put it back as it stood; a key that must not count any more gets its last day (`until: {day}`), or \
                 `revoked: {{on: {day}, because: ...}}`"
            ),
        )),
        KeyDeed::BroughtBack(back) if back.had_ended => Some(Trouble::new(
            format!("a key of {} that has ended would count again", change.name),
            "write its `until` or `revoked` back as it was; whoever needs a key makes a new one with `ssh-keygen -t \
             ed25519`, and who comes back to work has the old one end with the day they left",
        )),
        KeyDeed::BroughtBack(_) => None,
    }
}

/// Returns the procedure and revision that a path names.
fn revision(path: &str) -> Option<(String, u32)> {
    let (id, name) = path.strip_prefix("procedures/")?.split_once('/')?;
    Some((id.to_owned(), name.strip_suffix(".yaml")?.parse().ok()?))
}

/// Returns the problems of the chosen files, and those in other files that were not there before.
pub(super) fn new_problems(
    context: &Context,
    contents: &Contents,
    read: Vec<Diagnostic>,
    before: &[Diagnostic],
    chosen: &[Changed],
) -> Vec<Diagnostic> {
    let lives = timeline::lives(contents);
    let judged = rule::judge(&Facts { contents, lives: &lives, now: context.now(), came: None });
    let is_new = |d: &Diagnostic| {
        chosen.iter().any(|file| file.path == d.place.path)
            || !before.iter().any(|old| old.rule == d.rule && old.place == d.place)
    };
    read.into_iter().chain(judged).filter(|d| d.severity == Severity::Problem && is_new(d)).collect()
}
