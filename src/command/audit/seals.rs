//! What `pinindex audit` says of one seal that somebody holds a page or a copy of, and of proofs.

use super::super::Context;
use super::super::opened::{locate, text_of};
use super::super::paths;
use super::super::sealed::{self, Sealed};
use super::super::show::{self, Format};
use crate::cli::Outcome;
use crate::contents::Contents;
use crate::diagnostic::counted;
use crate::logbook::{self, Snapshot, Trouble};
use crate::record::Moment;
use crate::seal::{NumberedSeal, SealInHistory};
use anyhow::Context as _;
use std::io::Write;
use std::path::{Path, PathBuf};

/// What of seals and proofs is asked for, instead of the whole audit.
#[derive(clap::Args, Debug)]
#[group(skip)]
pub struct Asked {
    /// Find the seal with this number: at least 16 of its digits, or the text of its square code
    #[arg(long, value_name = "DIGITS", conflicts_with_all = ["seal_file", "proof", "since", "list"])]
    seal: Option<String>,

    /// Hold a copy of a seal that was kept outside against the logbook
    #[arg(long, value_name = "FILE", conflicts_with_all = ["proof", "since", "list"])]
    seal_file: Option<PathBuf>,

    /// Check a proof; or, with --output, make the proof of this record or other file of the logbook
    #[arg(long, value_name = "FILE", conflicts_with_all = ["since", "list"])]
    proof: Option<PathBuf>,

    /// The new file that the proof is written to
    #[arg(long, value_name = "FILE", requires = "proof")]
    output: Option<PathBuf>,
}

/// Answers what is asked for; nothing when that is the whole audit.
pub fn answer(
    context: &Context,
    asked: &Asked,
    root: &Path,
    snapshot: &Snapshot,
    contents: &Contents,
) -> anyhow::Result<Option<Outcome>> {
    let commit = snapshot.commit().context("the audit reads a commit")?.id.clone();
    let mut out = anstream::stdout().lock();
    if let Some(text) = &asked.seal {
        let numbered = sealed::named(text, contents)?;
        let seal = Sealed::open(root, &commit)?.hold(numbered, contents)?;
        return tell(&mut out, snapshot, contents, &seal).map(Some);
    }
    if let Some(file) = &asked.seal_file {
        let bytes = read(context, file)?;
        let shown = file.display().to_string();
        let copy = match Sealed::open(root, &commit)?.copy(&shown, &bytes, contents)? {
            Ok(copy) => copy,
            Err(faults) => {
                show::diagnostics(&mut out, Format::Human, &locate(snapshot, faults), &|_| None)?;
                writeln!(out, "{shown} is no seal")?;
                return Ok(Some(Outcome::Faults));
            }
        };
        let month = copy.copy.numbered.seal.seal;
        let same = copy.is_ours();
        match &copy.ours {
            Some(_) if same => writeln!(out, "the logbook has the very same seal of {}", month.words())?,
            Some(ours) => writeln!(
                out,
                "the logbook has another seal of {} than this copy: its number begins {}",
                month.words(),
                ours.number.short()
            )?,
            None => writeln!(out, "the logbook has no seal of {}", month.words())?,
        }
        let held = tell(&mut out, snapshot, contents, &copy.copy)?;
        return Ok(Some(if same { held } else { Outcome::Faults }));
    }
    let Some(file) = &asked.proof else { return Ok(None) };
    if let Some(output) = &asked.output {
        let path = paths::in_logbook(context, root, file);
        let proof = Sealed::open(root, &commit)?.prove(&path, contents)?;
        let output = context.folder().join(output);
        if output.exists() {
            let help = "name a file that is not there yet";
            return Err(Trouble::new(format!("`{}` is there already", output.display()), help).into());
        }
        logbook::write_whole(&output, proof.text().as_bytes())?;
        writeln!(out, "{}: proof that {path} is part of the seal of {}", output.display(), proof.seal.words())?;
        writeln!(out, "  keep it with that file, {} and the printed number", proof.seal.seal_path())?;
        return Ok(Some(Outcome::Clean));
    }
    let (numbered, proof, proved) = sealed::check_proof(&read(context, file)?, snapshot, contents)?;
    let Err(why) = proved else {
        writeln!(out, "proved: {} is part of the seal of {}", proof.path, numbered.seal.seal.words())?;
        writeln!(out, "  compare with the printed number: {}", numbered.number.in_groups())?;
        return Ok(Some(Outcome::Clean));
    };
    writeln!(out, "not proved: {}; {}", proof.path, why.words())?;
    Ok(Some(Outcome::Faults))
}

/// Reads a file that somebody named.
fn read(context: &Context, file: &Path) -> anyhow::Result<Vec<u8>> {
    let place = context.folder().join(file);
    let size = std::fs::metadata(&place).map(|found| found.len()).unwrap_or_default();
    if size > logbook::SIZE_LIMIT {
        let what = format!("`{}` is larger than any seal or proof", file.display());
        return Err(Trouble::new(what, "name the file of a seal or of a proof").into());
    }
    std::fs::read(&place).with_context(|| format!("`{}` cannot be read", file.display()))
}

/// Says what a seal is and whether it holds.
fn tell(
    out: &mut dyn Write,
    snapshot: &Snapshot,
    contents: &Contents,
    held: &SealInHistory,
) -> anyhow::Result<Outcome> {
    let NumberedSeal { seal, number } = &held.numbered;
    let who = contents.people.get(&seal.by).map_or(seal.by.as_str(), |person| person.name.as_str());
    let at = contents.site.as_ref().map_or(seal.sealed, |site| Moment::in_zone(seal.sealed, site.time_zone)).short();
    writeln!(out, "seal of {}, sealed {at} by {who}", seal.seal.words())?;
    let (records, files) = (counted(seal.month.records, "record"), counted(seal.logbook.files, "file"));
    writeln!(out, "  {records} of the month, {files} of the logbook")?;
    writeln!(out, "  number {}", number.in_groups())?;
    for path in held.late.iter().flatten() {
        writeln!(out, "  came later: {path}")?;
    }
    if held.faults.is_empty() {
        writeln!(out, "it holds: what it covers is in the history as it was sealed")?;
        return Ok(Outcome::Clean);
    }
    let located = locate(snapshot, held.faults.clone());
    show::diagnostics(out, Format::Human, &located, &|path| text_of(snapshot, path))?;
    writeln!(out, "it does not hold")?;
    Ok(Outcome::Faults)
}
