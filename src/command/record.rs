//! `pinindex record`: takes finished records in, each in a commit of its recorder.
//!
//! All files given are judged together with the records that are already committed, so that a check and the fault it
//! found can come in together. What does not fit is refused with its faults and stays where it was.

use super::Context;
use super::opened::{Which, open};
use super::show::{self, Format};
use crate::cli::Outcome;
use crate::contents::{Contents, Filed};
use crate::diagnostic::{Diagnostic, Severity, counted};
use crate::logbook::{self, Addition, Durability, FileContent, Signature, Snapshot, Source, Trouble};
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
    A record with faults is refused and stays where it was; exit status 1 says so.")]
pub struct Arguments {
    /// Files, or folders whose .yaml files are taken
    #[arg(required = true)]
    files: Vec<PathBuf>,

    /// How to show faults and findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

/// A file that may become a record.
struct Candidate {
    /// Where it lies, as the person typed it.
    source: PathBuf,
    text: String,
    /// Where it will be filed.
    filed: Filed,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut opened = open(context, Which::Committed)?;
    let mut taken: Vec<Candidate> = Vec::new();
    let mut refused: Vec<Diagnostic> = Vec::new();
    let mut sources: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let mut out = anstream::stdout().lock();
    let mut again = 0;

    for source in files(context, &arguments.files)? {
        let bytes = std::fs::read(&source).with_context(|| format!("`{}` cannot be read", source.display()))?;
        let shown = source.display().to_string();
        let (record, faults) = record::read(&shown, &bytes);
        sources.insert(shown, bytes.clone());
        match record {
            None => refused.extend(faults),
            Some(record) => {
                let text = String::from_utf8_lossy(&bytes).into_owned();
                match file_under(&opened.contents, &opened.snapshot, record, &text) {
                    Where::New(filed) => {
                        opened.contents.add((*filed).clone());
                        taken.push(Candidate { source, text, filed: *filed });
                    }
                    Where::AlreadyThere(path) => {
                        again += 1;
                        writeln!(out, "already recorded as {path}: {}", source.display())?;
                    }
                }
            }
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

    let commits = commit(context, &opened.root, &opened.contents, &mut taken)?;
    let names = names(&taken);
    let mut shown = refused;
    shown.extend(findings.into_iter().map(|d| renamed(d, &names)));
    let located =
        places::locate(shown, &|path| sources.get(path).cloned().or_else(|| committed(&opened.snapshot, path)));
    let faults = located.iter().any(|l| l.diagnostic.severity == Severity::Fault);
    show::diagnostics(&mut out, arguments.format, &located, &|path| {
        let bytes = sources.get(path).cloned().or_else(|| committed(&opened.snapshot, path))?;
        Some(String::from_utf8_lossy(&bytes).into_owned())
    })?;
    if arguments.format != Format::Json {
        for (candidate, commit) in taken.iter().zip(&commits) {
            writeln!(out, "recorded {} (commit {})", candidate.filed.path, commit.get(..10).unwrap_or(commit))?;
        }
        let refused = sources.len() - taken.len() - again;
        if refused > 0 {
            writeln!(out, "{} refused and left where it was", counted(refused, "file"))?;
        }
    }
    Ok(if faults { Outcome::Faults } else { Outcome::Clean })
}

/// Commits the candidates in the order in which they were written down, then takes their files away.
fn commit(context: &Context, root: &Path, contents: &Contents, taken: &mut [Candidate]) -> anyhow::Result<Vec<String>> {
    if taken.is_empty() {
        return Ok(Vec::new());
    }
    if !logbook::has_history(root)? {
        return Err(Trouble::new(
            "the logbook has no git history to record into",
            "start one with `pinindex init DIR` and copy your files there, or with `git init` and a first commit",
        )
        .into());
    }
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
    let commits = logbook::commit_each(root, &additions, Durability::Synced, &mut |_| {})?;
    for candidate in taken.iter() {
        let filed = root.join(&candidate.filed.path);
        if same_file(&candidate.source, &filed) {
            continue;
        }
        std::fs::remove_file(&candidate.source).with_context(|| {
            format!("the record is committed, but `{}` could not be taken away", candidate.source.display())
        })?;
    }
    Ok(commits)
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

enum Where {
    New(Box<Filed>),
    AlreadyThere(String),
}

/// Finds the path for a record: that of its time, machine and kind, with a number when the name is taken.
fn file_under(contents: &Contents, snapshot: &Snapshot, record: record::Record, text: &str) -> Where {
    let mut number = 1;
    loop {
        let path = logbook::numbered_record_path(record.when().0, &record.common.machine, record.kind(), number);
        match snapshot.files.get(&path) {
            Some(FileContent::Bytes(bytes)) if bytes.as_ref() == text.as_bytes() && is_committed(snapshot) => {
                return Where::AlreadyThere(path);
            }
            Some(FileContent::Bytes(bytes)) if bytes.as_ref() == text.as_bytes() => {
                return Where::New(Box::new(Filed { path, record }));
            }
            None if contents.record(&path).is_none() => return Where::New(Box::new(Filed { path, record })),
            _ => number += 1,
        }
    }
}

fn is_committed(snapshot: &Snapshot) -> bool {
    matches!(snapshot.source, Source::Commit(_))
}

/// Returns the files named, and the .yaml files of the folders named, in the order of their names.
fn files(context: &Context, named: &[PathBuf]) -> anyhow::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for name in named {
        let path = context.folder().join(name);
        if !path.is_dir() {
            files.push(name.clone());
            continue;
        }
        let entries =
            std::fs::read_dir(&path).with_context(|| format!("folder `{}` cannot be read", name.display()))?;
        let mut inside = Vec::new();
        for entry in entries {
            let file = entry.with_context(|| format!("folder `{}` cannot be read", name.display()))?.file_name();
            let yaml = Path::new(&file).extension().is_some_and(|end| end == "yaml" || end == "yml");
            if yaml {
                inside.push(name.join(file));
            }
        }
        inside.sort();
        files.extend(inside);
    }
    Ok(files)
}

fn names(taken: &[Candidate]) -> BTreeMap<String, String> {
    taken.iter().map(|c| (c.filed.path.clone(), c.source.display().to_string())).collect()
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

fn committed(snapshot: &Snapshot, path: &str) -> Option<Vec<u8>> {
    snapshot.bytes(path).map(<[u8]>::to_vec)
}

fn same_file(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
