//! `pinindex record`: takes finished records in, each in a commit of its recorder.
//!
//! All files given are judged together with the records that are already committed, so that a check and the fault it
//! found can come in together. What does not fit is refused with its faults and stays where it was. Nothing is said before
//! the commits are made, so that a reader who closes the pipe stops no record.

use super::Context;
use super::filing::{Where, file_under, is_recorded, refuse_edited};
use super::handed;
use super::opened::{Which, open};
use super::paths;
use super::show::{self, Format, tell};
use crate::cli::Outcome;
use crate::contents::{self, Contents, Filed};
use crate::diagnostic::{Diagnostic, Severity, counted};
use crate::logbook::{self, Addition, Durability, FileContent, Signature, Trouble};
use crate::record::{self, places};
use crate::rule::{self, Facts};
use crate::timeline;
use anyhow::Context as _;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Take finished records into the logbook, each in a commit of its recorder
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex record inbox/check.yaml\n  pinindex record inbox/\n\n\
    A record that is taken in is filed under records/ and its file is taken away from where it was.\n\
    A record that is there already is left where it was, and so is one that lies in its place under records/.\n\
    A record with faults is refused and stays where it was; exit status 1 says so.")]
pub struct Arguments {
    /// Files, or folders whose .yaml files are taken (not those of folders inside)
    #[arg(required = true)]
    files: Vec<PathBuf>,

    /// How to show faults and findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// A file that may become a record.
pub struct Candidate {
    place: PathBuf,
    /// Its name, as the person knows it.
    pub shown: String,
    pub text: String,
    /// Where it will be filed.
    pub filed: Filed,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.find_logbook()?;
    if !logbook::has_history(&root)? {
        return Err(Trouble::new(
            "the logbook has no git history to record into",
            "run `pinindex init NEW-FOLDER`, copy your files into it, and run `pinindex keep --by ID` there",
        )
        .into());
    }
    let handful = handed::read(context, &root, &arguments.files)?;
    let mut opened = open(context, Which::Committed)?;
    opened.solid_ground()?;
    for file in &handful.files {
        refuse_edited(&opened, file)?;
    }
    let mut taken: Vec<Candidate> = Vec::new();
    let mut refused: Vec<Diagnostic> = Vec::new();
    let mut again: Vec<String> = Vec::new();
    let mut sources: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let handed = handful.files.len();
    for file in handful.files {
        let FileContent::Bytes(bytes) = &file.content else {
            refused.extend(contents::unread(&file.shown, &file.content));
            continue;
        };
        sources.insert(file.shown.clone(), bytes.to_vec());
        if let Some(path) = file.inside.as_ref().filter(|path| is_recorded(&opened, path)) {
            again.push(format!("already recorded: {path}"));
            continue;
        }
        let (record, faults) = record::read(&file.shown, bytes);
        let Some(record) = record else {
            refused.extend(faults);
            continue;
        };
        let text = String::from_utf8_lossy(bytes).into_owned();
        match file_under(&opened, &taken, &record, &text, file.inside.as_deref()) {
            Where::New(path) => {
                let filed = Filed { path, record };
                opened.contents.add([filed.clone()]);
                taken.push(Candidate { place: file.place, shown: file.shown, text, filed });
            }
            Where::AlreadyThere(path) => {
                again.push(format!("already recorded as {path}; {} is left where it is", file.shown));
            }
            Where::SameAs(other) => again.push(format!("the same as {other}; {} is left where it is", file.shown)),
        }
    }

    // A refused record may be what another one rests on, so the rest is judged again until nothing more falls.
    let findings = loop {
        let lives = timeline::lives(&opened.contents);
        let judged = rule::judge(&Facts { contents: &opened.contents, lives: &lives, now: context.now() });
        let (faults, findings): (Vec<Diagnostic>, Vec<Diagnostic>) = judged
            .into_iter()
            .filter(|d| taken.iter().any(|c| c.filed.path == d.place.path))
            .partition(|d| d.severity == Severity::Fault);
        if faults.is_empty() {
            break findings;
        }
        let fallen: Vec<String> = faults.iter().map(|d| d.place.path.clone()).collect();
        let names = names(&taken);
        refused.extend(faults.into_iter().map(|d| renamed(d, &names)));
        taken.retain(|candidate| !fallen.contains(&candidate.filed.path));
        let gone = fallen.iter().map(String::as_str).collect();
        opened.contents = opened.contents.without(&gone);
    };

    let commits = commit(context, &root, &opened.contents, &mut taken)?;
    let left = take_away(&root, &taken);
    let names = names(&taken);
    let mut shown = refused;
    shown.extend(findings.into_iter().map(|d| renamed(d, &names)));
    let bytes = |path: &str| sources.get(path).map(Vec::as_slice).or_else(|| opened.snapshot.bytes(path));
    let located = places::locate(shown, &|path| bytes(path).map(<[u8]>::to_vec));
    let faults = located.iter().any(|l| l.diagnostic.severity == Severity::Fault);
    let mut out = anstream::stdout().lock();
    show::diagnostics(&mut out, arguments.format, &located, &|path| {
        bytes(path).map(|bytes| String::from_utf8_lossy(bytes).into_owned())
    })?;
    for (candidate, commit) in taken.iter().zip(&commits) {
        let commit = commit.get(..10).unwrap_or(commit);
        tell(&mut out, arguments.format, &format!("recorded {} (commit {commit})", candidate.filed.path))?;
    }
    for line in &again {
        tell(&mut out, arguments.format, line)?;
    }
    for folder in &handful.empty {
        tell(&mut out, arguments.format, &format!("nothing to record in {folder}: it has no .yaml files"))?;
    }
    let refused = handed - taken.len() - again.len();
    if refused > 0 {
        let files = counted(refused, "file");
        tell(&mut out, arguments.format, &format!("{files} refused and left where {}", were(refused)))?;
        tell_unkept(&root)?;
    }
    left?;
    Ok(if faults { Outcome::Faults } else { Outcome::Clean })
}

/// Commits the candidates in the order in which they were written down.
fn commit(context: &Context, root: &Path, contents: &Contents, taken: &mut [Candidate]) -> anyhow::Result<Vec<String>> {
    taken.sort_by_key(|c| (c.filed.record.common.recorded, c.filed.path.clone()));
    let mut additions = Vec::new();
    for candidate in taken.iter() {
        let common = &candidate.filed.record.common;
        let person = contents
            .people
            .get(common.recorder())
            .with_context(|| format!("`{}` is not in people.yaml", common.recorder()))?;
        let signature = |time| Signature { name: person.name.clone(), email: person.email.clone(), time };
        additions.push(Addition {
            path: candidate.filed.path.clone(),
            text: candidate.text.clone(),
            author: signature(common.recorded.0),
            committer: signature(context.now().0),
            message: message(contents, &candidate.filed),
        });
    }
    logbook::commit_each(root, &additions, Durability::Synced, &mut |_| {})
}

/// Takes the files of recorded records away, except those that lie in their places in the logbook.
///
/// A file that somebody changed in the meantime holds what is recorded nowhere, so it stays.
fn take_away(root: &Path, taken: &[Candidate]) -> anyhow::Result<()> {
    let mut left = Vec::new();
    for candidate in taken.iter().filter(|c| !same_file(&c.place, &root.join(&c.filed.path))) {
        match logbook::read_file(&candidate.place) {
            None => {}
            Some(FileContent::Bytes(bytes)) if *bytes == *candidate.text.as_bytes() => {
                if let Err(error) = std::fs::remove_file(&candidate.place) {
                    left.push(format!("`{}` ({error})", candidate.shown));
                }
            }
            Some(_) => left.push(format!("`{}` (it was changed in this moment)", candidate.shown)),
        }
    }
    if left.is_empty() {
        return Ok(());
    }
    Err(Trouble::new(
        format!("all is recorded, but this could not be taken away: {}", left.join(", ")),
        "look at what is left, and take it away yourself",
    )
    .into())
}

/// Says on standard error when what a record was refused for may be mended in a file that is not kept yet.
fn tell_unkept(root: &Path) -> anyhow::Result<()> {
    let unkept = logbook::changed_files(root)?;
    let unkept: Vec<_> =
        unkept.iter().filter(|file| logbook::belongs(&file.path) && !paths::is_record_or_seal(&file.path)).collect();
    if let Some(first) = unkept.first() {
        let what = if unkept.len() == 1 { first.path.clone() } else { counted(unkept.len(), "changed file") };
        writeln!(
            anstream::stderr().lock(),
            "records are judged by what is in the history, without {what} of the folder; \
             `pinindex keep --by ID` keeps changes"
        )?;
    }
    Ok(())
}

fn were(files: usize) -> &'static str {
    if files == 1 { "it was" } else { "they were" }
}

/// Returns the commit message of a record: a subject a person can read in `git log`, and the path below it.
pub fn message(contents: &Contents, filed: &Filed) -> String {
    use crate::procedure::{Outcome, judge};
    use crate::record::Body;
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
            crate::record::Use::Withheld => "fault found, withheld from use".to_owned(),
            crate::record::Use::Restricted { .. } => "fault found, use restricted".to_owned(),
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

fn same_file(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
