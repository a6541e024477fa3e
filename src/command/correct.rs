//! `pinindex correct`: what was wrong in a record is put right by a new one that names it; both stay readable.
//!
//! The record is shown line by line at the terminal, or what was wrong is given by options, or the whole record as it
//! should have been comes from a file.

mod given;

use super::asked::{self, Came};
use super::opened::Opened;
use super::show::{self, Format, tell};
use super::terminal::Terminal;
use super::{Context, consequences, paths};
use crate::bedside::correct::{CorrectionInquiry, FromFile};
use crate::bedside::latest;
use crate::bedside::setting::Setting;
use crate::cli::Outcome;
use crate::contents::Standing;
use crate::diagnostic::{Severity, counted};
use crate::logbook::{self, FileContent, Trouble, parse_record_path};
use crate::record::{self, Record, places};
use crate::{contents, timeline};
use std::collections::BTreeSet;

pub use given::Arguments;

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let opened = asked::ground(context)?;
    let Some(named) = chosen(context, &opened, &arguments.named)? else { return Ok(Outcome::Clean) };
    let (path, standing) = newest(&opened, named);
    let format = arguments.format;
    let before = consequences::Before::of(context, context.clock())?;
    let name = format!("{}.correction", path.trim_start_matches("records/").replace('/', "-").replace(".yaml", ""));
    if Terminal::of(context).is_none() {
        let mut out = anstream::stdout().lock();
        standing.iter().try_for_each(|line| tell(&mut out, format, line))?;
    }
    let old = opened.contents.record(&path);
    let gone = with_what_it_corrects(&opened, &path);
    let without = opened.contents.without(&gone.iter().map(String::as_str).collect());
    let lives = timeline::lives(&without);
    let came = match (arguments.from.clone(), old) {
        (Some(file), _) => {
            let Some(new) = from_file(context, &file, &path, format)? else { return Ok(Outcome::Problems) };
            let inquiry = FromFile { contents: &without, of: &path, old, new, standing };
            let flags = arguments.own()?;
            asked::record(context, &opened, &inquiry, flags, format, &name)?
        }
        (None, Some(old)) => {
            let inquiry = CorrectionInquiry::new(old, &without, &lives, standing);
            let flags = arguments.given();
            let strays = inquiry.strays(&flags, context.now());
            if !strays.is_empty() {
                let help = "nothing was recorded; `pinindex correct RECORD` at a terminal shows its lines";
                return Err(Trouble::new(strays.join("; "), help).into());
            }
            asked::record(context, &opened, &inquiry, flags, format, &name)?
        }
        (None, None) => return Err(unreadable(&path).into()),
    };
    match came {
        Came::Nothing => Ok(Outcome::Clean),
        Came::Refused(outcome) => Ok(outcome),
        Came::Recorded(outcome) => {
            consequences::tell(context, &before, format)?;
            Ok(outcome)
        }
    }
}

/// Returns the path of the record that is meant: the one that was named, or one of a machine's latest that the person
/// chooses. Nothing when the person stops.
fn chosen(context: &Context, opened: &Opened, named: &str) -> anyhow::Result<Option<String>> {
    let path = paths::record(context, &opened.root, named);
    if path.starts_with("records/") {
        let known = opened.snapshot.files.contains_key(&path);
        return if known { Ok(Some(path)) } else { Err(super::no_record(&path).into()) };
    }
    super::known_machine(&opened.contents, named)?;
    let setting = Setting { contents: &opened.contents, machine: named };
    if latest::latest(setting).is_empty() {
        return Err(Trouble::new(format!("no record of {named} counts"), "nothing is there to correct").into());
    }
    let Some(mut terminal) = Terminal::of(context) else {
        return Err(Trouble::new(
            "there is no terminal to choose a record at",
            format!("name the record by its path, as `pinindex history {named}` shows it"),
        )
        .into());
    };
    latest::choose(&mut terminal, setting, "Which record has a mistake in it?")
}

/// Returns the record that speaks for one that was corrected already, and what is to be known of it.
fn newest(opened: &Opened, named: String) -> (String, Vec<String>) {
    let (mut path, mut said) = (named.clone(), Vec::new());
    let mut passed: BTreeSet<String> = BTreeSet::new();
    while let Standing::CorrectedBy(next) = opened.contents.standing(&path) {
        if !passed.insert(path.clone()) {
            break;
        }
        path = next;
    }
    if path != named {
        said.push(format!("{named} was corrected already: its newest correction is corrected here."));
    }
    if let Standing::VoidedBy(by) = opened.contents.standing(&path) {
        said.push(format!("It was declared void by {by}. This correction will count in its place."));
        said.push(format!("If it was right as it was written, declare the void itself void: `pinindex void {by}`."));
    }
    let problems = opened.diagnostics.iter().filter(|d| d.severity == Severity::Problem && d.place.path == path);
    said.extend(problems.map(|d| format!("It has a problem, which a correction settles: {}.", d.headline)));
    (path, said)
}

/// Returns a record's path with those of the records that it corrects, one behind the other.
fn with_what_it_corrects(opened: &Opened, path: &str) -> BTreeSet<String> {
    let mut gone = BTreeSet::new();
    let mut next = Some(path.to_owned());
    while let Some(path) = next.filter(|path| !gone.contains(path)) {
        next =
            opened.contents.record(&path).and_then(|filed| Some(filed.record.common.corrects.as_ref()?.record.clone()));
        gone.insert(path);
    }
    gone
}

/// Reads the record as it should have been; nothing when it has problems, which are shown.
fn from_file(context: &Context, file: &std::path::Path, of: &str, format: Format) -> anyhow::Result<Option<Record>> {
    let shown = file.display().to_string();
    let content = logbook::read_file(&context.folder().join(file)).ok_or_else(|| {
        Trouble::new(format!("there is no file `{shown}`"), "look at the name and run the same command again")
    })?;
    let (record, problems, text) = match &content {
        FileContent::Bytes(bytes) => {
            let (record, problems) = record::read(&shown, bytes);
            (record, problems, String::from_utf8_lossy(bytes).into_owned())
        }
        other => (None, contents::unread(&shown, other).into_iter().collect(), String::new()),
    };
    let Some(record) = record else {
        let located = places::locate(problems, &|_| Some(text.clone().into_bytes()));
        let mut out = anstream::stdout().lock();
        show::diagnostics(&mut out, format, &located, &|_| Some(text.clone()))?;
        tell(&mut out, format, &format!("{} in {shown}; nothing was recorded", counted(located.len(), "problem")))?;
        return Ok(None);
    };
    let kind = parse_record_path(of).map(|name| name.kind.to_string());
    if kind.is_some_and(|kind| kind != record.kind()) {
        let help = "a correction is a record of the same kind; a record that should not be there is declared void";
        return Err(Trouble::new(format!("`{shown}` is a {}, and {of} is not", record.kind()), help).into());
    }
    match &record.common.corrects {
        Some(correction) if correction.record != of => {
            let help = "name that record, or take `corrects` out of the file";
            Err(Trouble::new(format!("`{shown}` corrects {}, not {of}", correction.record), help).into())
        }
        _ => Ok(Some(record)),
    }
}

/// Returns the failure of a record that nobody can read line by line.
fn unreadable(path: &str) -> Trouble {
    Trouble::new(
        format!("`{path}` cannot be read as a record, so that none of its lines can be changed"),
        format!("write the record as it should have been into a file, and run `pinindex correct {path} --from FILE`"),
    )
}
