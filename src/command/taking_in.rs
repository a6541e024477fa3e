//! Taking records in: judged together with what the history holds, filed, and committed.
//!
//! One way for all records, whether they come as files, from the terminal or from a page. Takes what was handed in and
//! gives what may be committed, what was refused and why, and what is to be said of the rest. Nothing is committed
//! before it is asked for.

use super::filing::{Where, file_under, is_recorded};
use super::handed::Handed;
use super::named::{self, Named};
use super::opened::Opened;
use crate::bedside::form_age;
use crate::contents::{self, Contents, Filed};
use crate::diagnostic::{At, Diagnostic, Located, Severity};
use crate::logbook::{self, Addition, Author, Durability, FileContent, Turn};
use crate::procedure::{Outcome, judge};
use crate::record::{self, Body, Moment, Record, Use, places};
use crate::rule::{self, Facts};
use crate::timeline;
use anyhow::Context as _;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// A file that may become a record.
pub struct Candidate {
    /// Where its file lies; nothing when it was never a file.
    pub place: Option<PathBuf>,
    /// Its name, as the person knows it.
    pub shown: String,
    pub text: String,
    /// What its file says, where a name in it had to be put right.
    pub handed: Option<String>,
    /// Where it will be filed.
    pub filed: Filed,
}

/// What came of what was handed in.
pub struct Judged {
    pub taken: Vec<Candidate>,
    /// What refuses the rest.
    refused: Vec<Diagnostic>,
    /// What there is to say of what was taken.
    findings: Vec<Diagnostic>,
    /// Lines about records that were there before.
    pub again: Vec<String>,
    /// For a record in which the names of others were put right: its file, and the line that says so.
    put_right: Vec<(String, String)>,
    /// How many files were refused.
    pub refusals: usize,
    sources: BTreeMap<String, Vec<u8>>,
}

/// Judges what was handed in together with everything that is committed. What is taken joins the contents.
pub fn judge_handed(now: Moment, opened: &mut Opened, files: Vec<Handed>) -> Judged {
    let handed = files.len();
    let mut taken: Vec<Candidate> = Vec::new();
    let mut refused: Vec<Diagnostic> = Vec::new();
    let mut again: Vec<String> = Vec::new();
    let mut sources: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let mut read = Vec::new();
    let mut rests = Vec::new();
    for file in files {
        let FileContent::Bytes(bytes) = &file.content else {
            refused.extend(contents::unread(&file.shown, &file.content));
            continue;
        };
        sources.insert(file.shown.clone(), bytes.to_vec());
        if let Some(path) = file.inside.as_ref().filter(|path| is_recorded(opened, path)) {
            again.push(format!("already recorded: {path}"));
            continue;
        }
        let (record, problems) = record::read(&file.shown, bytes);
        let Some(record) = record else {
            let rest = record::rest::of_check(&file.shown, bytes, &problems);
            rests.extend(rest.map(|(record, left_out)| (Filed { path: file.shown.clone(), record }, left_out)));
            refused.extend(problems);
            continue;
        };
        let text = String::from_utf8_lossy(bytes).into_owned();
        read.push((file, record, text));
    }
    let mut named = Named::default();
    let mut put_right = Vec::new();
    read.sort_by_key(|(_, record, _)| named::turn(record));
    for (file, mut record, mut text) in read {
        let mut handed = None;
        if let Some((right, with, given)) = named.put_right(&file.shown, &record, &text) {
            let line =
                format!("{} names what was handed in with it, which is filed as {}", file.shown, given.join(", "));
            put_right.push((file.shown.clone(), line));
            record = right;
            handed = Some(std::mem::replace(&mut text, with));
        }
        let lies = file_under(opened, &taken, &record, &text, file.inside.as_deref());
        named.note(&record, &lies, file.inside.is_some());
        match lies {
            Where::New(path) => {
                let filed = Filed { path, record };
                opened.contents.add([filed.clone()]);
                taken.push(Candidate { place: file.place, shown: file.shown, text, handed, filed });
            }
            Where::AlreadyThere(path) => {
                again.push(format!("already recorded as {path}; {} holds nothing else and can be deleted", file.shown));
            }
            Where::SameAs(other) => {
                again.push(format!("the same as {other}; {} holds nothing else and can be deleted", file.shown));
            }
        }
    }

    // A refused record may be what another one rests on, so the rest is judged again until nothing more falls.
    let findings = loop {
        let lives = timeline::lives(&opened.contents);
        let judged = rule::judge(&Facts { contents: &opened.contents, lives: &lives, now, came: None });
        let (problems, findings): (Vec<Diagnostic>, Vec<Diagnostic>) = judged
            .into_iter()
            .filter(|d| taken.iter().any(|c| c.filed.path == d.place.path))
            .map(|d| if rule::refuses(&d) { Diagnostic { severity: Severity::Problem, ..d } } else { d })
            .partition(|d| d.severity == Severity::Problem);
        if problems.is_empty() {
            opened.lives = lives;
            break findings.into_iter().chain(of_forms(opened, &taken)).collect();
        }
        let fallen: Vec<String> = problems.iter().map(|d| d.place.path.clone()).collect();
        let names = names(&taken);
        refused.extend(problems.into_iter().map(|d| renamed(d, &names)));
        taken.retain(|candidate| !fallen.contains(&candidate.filed.path));
        let gone = fallen.iter().map(String::as_str).collect();
        opened.contents = opened.contents.without(&gone);
    };
    refused.extend(also_wrong(now, &opened.contents, &rests));
    let refusals = handed - taken.len() - again.len();
    Judged { taken, refused, findings, again, put_right, refusals, sources }
}

/// Returns what else is wrong with files that do not fit their schema: the problems of the rest of each.
fn also_wrong(now: Moment, contents: &Contents, rests: &[(Filed, Vec<String>)]) -> Vec<Diagnostic> {
    if rests.is_empty() {
        return Vec::new();
    }
    let mut contents = contents.clone();
    contents.add(rests.iter().map(|(filed, _)| filed.clone()));
    let lives = timeline::lives(&contents);
    let judged = rule::judge(&Facts { contents: &contents, lives: &lives, now, came: None });
    let within = |pointer: &str, answer: &str| {
        pointer.strip_prefix(answer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let is_of_the_rest = |d: &Diagnostic| {
        let left_out = rests.iter().find(|(filed, _)| filed.path == d.place.path).map(|(_, left_out)| left_out);
        left_out.is_some_and(|left_out| match &d.place.at {
            At::Value(pointer) | At::Key(pointer) => !left_out.iter().any(|answer| within(pointer, answer)),
            At::File | At::Bytes(_) => true,
        })
    };
    judged.into_iter().filter(|d| d.severity == Severity::Problem && is_of_the_rest(d)).collect()
}

impl Judged {
    /// Returns everything that is to be said, with its places in the files as the person knows them.
    pub fn located(&self, opened: &Opened) -> Vec<Located> {
        let names = names(&self.taken);
        let findings = self.findings.iter().map(|d| renamed(d.clone(), &names));
        let shown: Vec<Diagnostic> = self.refused.iter().cloned().chain(findings).collect();
        places::locate(shown, &|path| self.bytes(opened, path).map(<[u8]>::to_vec))
    }

    /// Returns a line for each record that is taken and in which the name of another one was put right.
    pub fn put_right(&self) -> impl Iterator<Item = &str> {
        let taken = |shown: &str| self.taken.iter().any(|candidate| candidate.shown == shown);
        self.put_right.iter().filter(move |(shown, _)| taken(shown)).map(|(_, line)| line.as_str())
    }

    /// Returns the text of a file, for excerpts.
    pub fn text(&self, opened: &Opened, path: &str) -> Option<String> {
        self.bytes(opened, path).map(|bytes| String::from_utf8_lossy(bytes).into_owned())
    }

    fn bytes<'a>(&'a self, opened: &'a Opened, path: &str) -> Option<&'a [u8]> {
        self.sources.get(path).map(Vec::as_slice).or_else(|| opened.snapshot.bytes(path))
    }
}

/// Who commits a record: whoever takes it in, or its recorder.
pub fn committer<'a>(by: Option<&'a str>, record: &'a Record) -> &'a str {
    by.unwrap_or(record.common.recorder())
}

/// Commits the candidates in the order in which they were written down, in the turn in which they were judged.
///
/// The author is the recorder; so is the committer, unless somebody else takes the records in.
pub fn commit(
    now: Moment,
    turn: &mut Turn,
    opened: &Opened,
    taken: &mut [Candidate],
    by: Option<&str>,
) -> anyhow::Result<Vec<String>> {
    let contents = &opened.contents;
    taken.sort_by_key(|c| (c.filed.record.common.recorded, c.filed.path.clone()));
    let author = |id: &str, time| -> anyhow::Result<Author> {
        let person = contents.people.get(id).with_context(|| format!("`{id}` is not in people.yaml"))?;
        Ok(Author { name: person.name.clone(), email: person.email.clone(), time })
    };
    let mut additions = Vec::new();
    for candidate in taken.iter() {
        let record = &candidate.filed.record;
        additions.push(Addition {
            path: candidate.filed.path.clone(),
            text: candidate.text.clone(),
            author: author(record.common.recorder(), record.common.recorded.0)?,
            committer: author(committer(by, record), now.0)?,
            message: message(contents, &candidate.filed),
        });
    }
    turn.commit_each(&additions, Durability::Synced, &mut |_| {})
}

/// Returns the commit message of a record: a subject a person can read in `git log`, and the path below it.
pub fn message(contents: &Contents, filed: &Filed) -> String {
    let common = &filed.record.common;
    let machine = &common.machine;
    let what = match &filed.record.body {
        Body::Check(check) => {
            let outcome =
                contents.procedure_of(check).zip(contents.machine_of(machine, check)).map(|(p, m)| judge(check, p, m));
            let outcome = match outcome.map(|j| j.outcome) {
                Some(Outcome::Passed) => "passed",
                Some(Outcome::Failed) => "failed",
                Some(Outcome::Incomplete) => "left incomplete",
                None => "recorded",
            };
            format!("{} check {outcome}", check.procedure)
        }
        Body::Fault(fault) => match fault.usage {
            Use::Withheld => "fault found, withheld from use".to_owned(),
            Use::Restricted { .. } => "fault found, use restricted".to_owned(),
        },
        Body::Repair(repair) => format!("repair, {}", repair.cause.replace('-', " ")),
        Body::Release(_) => "released to service".to_owned(),
        Body::Service(_) => "service done".to_owned(),
        Body::Void(_) => "a record declared void".to_owned(),
    };
    let corrects = match &common.corrects {
        Some(correction) => format!("\n\nCorrects {}", correction.record),
        None => String::new(),
    };
    format!("{machine}: {what}, {}{corrects}\n\n{}\n", filed.record.when().short(), filed.path)
}

/// Returns what there is to say of the forms that checks were filled in on.
fn of_forms(opened: &Opened, taken: &[Candidate]) -> Vec<Diagnostic> {
    let has_commit = |id: &str| logbook::has_commit(&opened.root, id);
    taken.iter().filter_map(|candidate| form_age::finding(&opened.contents, &candidate.filed, &has_commit)).collect()
}

fn names(taken: &[Candidate]) -> BTreeMap<String, String> {
    taken.iter().map(|c| (c.filed.path.clone(), c.shown.clone())).collect()
}

/// Returns a diagnostic with the path a record will have put back to the path the person knows it by.
fn renamed(mut d: Diagnostic, names: &BTreeMap<String, String>) -> Diagnostic {
    for place in std::iter::once(&mut d.place).chain(d.also.iter_mut().map(|(place, _)| place)) {
        if let Some(name) = names.get(&place.path) {
            place.path.clone_from(name);
        }
    }
    d
}
