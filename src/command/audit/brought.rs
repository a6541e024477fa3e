//! What an auditor brings: the printed number of a seal, a copy of its file, or the proof of one record. Held against the
//! logbook, each says whether what was sealed is still there as it was.

use crate::cli::Outcome;
use crate::command::Context;
use crate::command::paths;
use crate::command::sealed::{self, Sealed};
use crate::command::show::{self, Format, tell};
use crate::contents::{Contents, Standing};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::logbook::{self, FileContent, Snapshot, Trouble};
use crate::record::places;
use crate::seal::SealInHistory;
use anyhow::Context as _;
use std::io::Write;
use std::path::{Path, PathBuf};

/// What is held against the logbook instead of the whole history.
#[derive(clap::Args, Debug)]
#[group(multiple = false)]
pub struct Brought {
    /// Prove the logbook against a printed seal: its number, or at least the first 16 digits, or the text of its code
    #[arg(long, value_name = "NUMBER")]
    seal: Option<String>,

    /// Prove the logbook against a copy of a seal's file that was kept outside
    #[arg(long, value_name = "FILE")]
    seal_file: Option<PathBuf>,

    /// Make the proof that one record (or another file of the logbook) is part of a seal, to be kept outside
    #[arg(long, value_name = "RECORD")]
    proof: Option<PathBuf>,

    /// Check such a proof by the record and the seal in the logbook
    #[arg(long, value_name = "FILE")]
    check_proof: Option<PathBuf>,
}

impl Brought {
    /// Returns whether anything was brought.
    pub fn is_any(&self) -> bool {
        self.seal.is_some() || self.seal_file.is_some() || self.proof.is_some() || self.check_proof.is_some()
    }

    /// Holds it against the logbook as its last commit has it.
    pub fn run(
        &self,
        context: &Context,
        root: &Path,
        (snapshot, contents): (&Snapshot, &Contents),
        output: Option<&Path>,
        format: Format,
    ) -> anyhow::Result<Outcome> {
        let commit = snapshot.commit().context("the audit reads the last commit")?;
        let mut history = Sealed::open(root, &commit.id)?;
        let said = if let Some(number) = &self.seal {
            by_number(number, &mut history, contents)?
        } else if let Some(file) = &self.seal_file {
            by_copy(context, file, &mut history, contents)?
        } else if let Some(file) = &self.check_proof {
            by_proof(context, root, file, snapshot, contents)?
        } else if let Some(record) = &self.proof {
            let path = paths::in_logbook(context, root, record);
            let proof = history.prove(&path, contents)?;
            match output {
                Some(file) => write_new(&context.folder().join(file), proof.text().as_bytes())?,
                None => write!(anstream::stdout().lock(), "{}", proof.text())?,
            }
            let lines = output.map_or(Vec::new(), |file| {
                let (month, seal) = (proof.seal.words(), proof.seal.seal_path());
                vec![
                    format!("{}: proof that {path} is part of the seal of {month}", file.display()),
                    format!("keep it with that file, {seal} and the printed number"),
                ]
            });
            Said { lines, ..Said::default() }
        } else {
            Said::default()
        };
        said.show(snapshot, format)
    }
}

/// What came of it.
#[derive(Default)]
struct Said {
    problems: Vec<Diagnostic>,
    /// The file that was brought and is no part of the logbook: its name and its text.
    brought: Option<(String, Vec<u8>)>,
    /// What is true all the same.
    lines: Vec<String>,
}

impl Said {
    fn show(self, snapshot: &Snapshot, format: Format) -> anyhow::Result<Outcome> {
        let own =
            |path: &str| self.brought.as_ref().filter(|(name, _)| name == path).map(|(_, bytes)| bytes.as_slice());
        let bytes = |path: &str| own(path).or_else(|| snapshot.bytes(path)).map(<[u8]>::to_vec);
        let located = places::locate(self.problems, &bytes);
        let mut out = anstream::stdout().lock();
        let text = |path: &str| bytes(path).map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        show::diagnostics(&mut out, format, &located, &text)?;
        for line in &self.lines {
            tell(&mut out, format, line)?;
        }
        let is_problem = located.iter().any(|one| one.diagnostic.severity == Severity::Problem);
        Ok(if is_problem { Outcome::Problems } else { Outcome::Clean })
    }
}

fn by_number(number: &str, history: &mut Sealed, contents: &Contents) -> anyhow::Result<Said> {
    match sealed::named(number, contents)? {
        Some(numbered) => Ok(held(history.hold(numbered, contents)?, contents)),
        None => Ok(Said {
            problems: vec![
                Diagnostic::problem("seal-broken", Place::file("seals"), "no seal of this logbook has this number")
                    .label("the page was printed from another logbook, or its seal was taken away or made anew")
                    .help("look at the digits again; if they are right, this is not the logbook that was sealed"),
            ],
            ..Said::default()
        }),
    }
}

fn by_copy(context: &Context, file: &Path, history: &mut Sealed, contents: &Contents) -> anyhow::Result<Said> {
    let shown = file.display().to_string();
    let bytes = read(context, file)?;
    let copy = match history.copy(&shown, &bytes, contents)? {
        Ok(copy) => copy,
        Err(problems) => return Ok(Said { problems, brought: Some((shown, bytes)), ..Said::default() }),
    };
    let is_ours = copy.is_ours();
    let month = copy.copy.numbered.seal.seal;
    let path = month.seal_path();
    let mut said = held(copy.copy, contents);
    if !is_ours {
        // Whether its text would hold says nothing: anybody can write one that does.
        said.lines.pop();
        let what = if copy.ours.is_some() { "has another seal" } else { "has no seal" };
        said.problems.push(
            Diagnostic::problem("seal-broken", Place::file(&path), format!("logbook {what} of {}", month.words()))
                .label("not the one of which a copy was kept")
                .help("compare both with the number that was printed: that one counts; then ask who made the other"),
        );
    }
    Ok(said)
}

fn by_proof(
    context: &Context,
    root: &Path,
    file: &Path,
    snapshot: &Snapshot,
    contents: &Contents,
) -> anyhow::Result<Said> {
    let (numbered, proof, proved) = sealed::check_proof(&read(context, file)?, snapshot, contents)?;
    let month = numbered.seal.seal.words();
    let number = format!("number of the seal, to be compared with the printed one: {}", numbered.number.in_groups());
    let lies = logbook::read_file(&root.join(&proof.path));
    let as_committed = |lies: &FileContent| snapshot.files.get(&proof.path).is_some_and(|it| lies.is_checkout_of(it));
    Ok(match proved {
        Ok(()) if !lies.as_ref().is_some_and(as_committed) => Said {
            problems: vec![
                Diagnostic::problem(
                    "record-altered",
                    Place::file(&proof.path),
                    "file in the folder is not the one proved",
                )
                .label("the history still has what was sealed")
                .help("bring the committed text back with the line below")
                .paste(format!("git checkout HEAD -- {}", proof.path)),
            ],
            lines: vec![number],
            ..Said::default()
        },
        Ok(()) => Said {
            lines: std::iter::once(format!("proved: {} is part of the seal of {month}", proof.path))
                .chain(no_longer_counts(contents, &proof.path))
                .chain([number])
                .collect(),
            ..Said::default()
        },
        Err(why) => Said {
            problems: vec![
                Diagnostic::problem(
                    "seal-broken",
                    Place::file(&proof.path),
                    format!("proof does not hold: {}", why.words()),
                )
                .label(format!("not proved to be part of the seal of {month}"))
                .help("compare the record, the seal's file and the proof with the copies that were kept outside"),
            ],
            lines: vec![number],
            ..Said::default()
        },
    })
}

/// Returns which record took one out of the count, who wrote it down and on which day; nothing when it counts.
fn no_longer_counts(contents: &Contents, path: &str) -> Option<String> {
    let (how, by) = match contents.standing(path) {
        Standing::Counts => return None,
        Standing::CorrectedBy(by) => ("corrected", by),
        Standing::VoidedBy(by) => ("void", by),
    };
    let common = contents.record(&by).map(|filed| &filed.record.common);
    let said = common.map_or(String::new(), |common| {
        format!(", {}, {}", contents.day(common.recorded), contents.person_name(common.recorder()))
    });
    Some(format!("it no longer counts: {how} by {by}{said}"))
}

/// Returns what is to be said of a seal that was held against the history.
fn held(seal: SealInHistory, contents: &Contents) -> Said {
    let SealInHistory { numbered, late, changed, replaced, made, problems } = seal;
    let sealed = &numbered.seal;
    let by = contents.people.get(&sealed.by).map_or(sealed.by.as_str(), |person| person.name.as_str());
    let when = contents.site.as_ref().map_or(sealed.sealed, |site| sealed.sealed.in_zone(site.time_zone));
    let (records, files) = (counted(sealed.month.records, "record"), counted(sealed.logbook.files, "file"));
    let made = match made {
        None => format!("sealed {} by {by}", when.short()),
        Some(made) => format!("committed {} by {}, which is not what it says", made.moment.short(), made.author),
    };
    let mut lines = vec![
        format!("seal of {}, {made}", sealed.seal.words()),
        format!("number {}", numbered.number.in_groups()),
        format!("covers {records} of the month; {files} in all, with people, machines, procedures and calendar"),
    ];
    lines.extend(late.iter().flatten().map(|path| format!("came later and is not covered: {path}")));
    lines.extend(changed.iter().map(|path| format!("changed since, as it may be: {path}")));
    if !replaced.is_empty() {
        let records = counted(replaced.len(), "sealed record");
        lines.push(format!("{records} corrected or declared void since: {}", replaced.join(", ")));
    }
    let word = if problems.is_empty() {
        "it holds: the records that it covers are in the history as they were sealed; `pinindex audit` looks at the rest"
    } else {
        "it does not hold"
    };
    lines.push(word.to_owned());
    Said { problems, lines, ..Said::default() }
}

fn write_new(place: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    if place.exists() {
        let what = format!("`{}` is there already", place.display());
        return Err(Trouble::new(what, "name a file that is not there yet").into());
    }
    logbook::write_whole(place, bytes)
}

fn read(context: &Context, file: &Path) -> anyhow::Result<Vec<u8>> {
    match logbook::read_file(&context.folder().join(file)) {
        Some(FileContent::Bytes(bytes)) => Ok(bytes.to_vec()),
        Some(_) => Err(Trouble::new(
            format!("`{}` is not a plain file of at most {} bytes", file.display(), logbook::SIZE_LIMIT),
            "give the file itself, as it was kept",
        )
        .into()),
        None => Err(Trouble::new(
            format!("there is no file `{}`", file.display()),
            "look at its name and run the same command again",
        )
        .into()),
    }
}
