//! A logbook read and judged: the step that most commands begin with.

use super::Context;
use super::bringing_back;
use super::progress;
use crate::contents::{self, Contents};
use crate::diagnostic::{Diagnostic, Located, Severity, counted, one_line};
use crate::logbook::{self, Changed, ChangedHow, FileContent, Snapshot, Turn};
use crate::record::moment::{CLOCKS_DIFFER, spoken};
use crate::record::{Moment, places};
use crate::register::Site;
use crate::report::LeftOut;
use crate::rule::{self, Facts};
use crate::timeline::{self, Lives};
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Which files to read.
pub enum Which<'a> {
    /// The files as they lie in the folder.
    WorkingFiles,
    /// The files of a commit.
    Commit(&'a str),
    /// The last commit, or the files in the folder when there is no history.
    Committed,
}

/// A logbook that was read and judged.
pub struct Opened {
    pub root: PathBuf,
    pub snapshot: Snapshot,
    pub contents: Contents,
    pub lives: Lives,
    pub diagnostics: Vec<Diagnostic>,
    /// The latest moment of which the history knows; nothing without a history.
    pub latest: Option<Moment>,
}

/// Finds and reads a logbook, and judges it by the clock or the moment given on the command line.
pub fn open(context: &Context, which: Which<'_>) -> anyhow::Result<Opened> {
    read(context, which, &|_| context.now())
}

/// Finds and reads the last commit again and judges it by the moment it is by now, after something was recorded.
pub fn open_again(context: &Context) -> anyhow::Result<Opened> {
    read(context, Which::Committed, &|_| context.clock())
}

/// Takes the turn to write to a logbook, and reads what was committed until then.
pub fn open_in_turn(context: &Context, root: &Path) -> anyhow::Result<(Turn, Opened)> {
    let turn = super::turn(root)?;
    let opened = open(context, Which::Committed)?;
    opened.tell_clock_behind(context.at_commit())?;
    Ok((turn, opened))
}

/// Finds and reads a logbook, and judges it by the moment of the commit it was read from, or of the record's own commit
/// where that is later; files in no commit are judged by the clock.
///
/// What lies in the future must not depend on the day on which the same commit is looked at.
pub fn open_as_of_commit(context: &Context, which: Which<'_>) -> anyhow::Result<Opened> {
    read(context, which, &|snapshot| commit_moment(snapshot).unwrap_or(context.now()))
}

fn read(context: &Context, which: Which<'_>, now: &dyn Fn(&Snapshot) -> Moment) -> anyhow::Result<Opened> {
    let root = context.find_logbook()?;
    let snapshot = match which {
        Which::WorkingFiles => logbook::read_working_files(&root)?,
        Which::Commit(rev) => logbook::read_commit(&root, rev)?,
        Which::Committed if logbook::has_history(&root)? => logbook::read_commit(&root, "HEAD")?,
        Which::Committed => logbook::read_working_files(&root)?,
    };
    let mut bar = progress::begin("reading records:", snapshot.files.len());
    let (contents, mut diagnostics) = contents::read(&snapshot, &mut |n| bar.done(n));
    bar.end();
    let lives = timeline::lives(&contents);
    // A commit of the past is judged by itself: what was altered since is told by the commits after it.
    if !matches!(which, Which::Commit(_)) {
        diagnostics.extend(super::altered::problems(&root, &snapshot, &contents)?);
    }
    let now = now(&snapshot);
    let came = came_later(&root, &snapshot, &contents, now)?;
    diagnostics.extend(rule::judge(&Facts { contents: &contents, lives: &lives, now, came: came.as_ref() }));
    let latest = came.iter().flat_map(BTreeMap::values).copied().chain(commit_moment(&snapshot)).max();
    Ok(Opened { root, snapshot, contents, lives, diagnostics, latest })
}

/// Returns when records came into the history, where the last commit is dated before what they tell; else nothing.
///
/// One commit by a computer whose clock is slow must not put the records below it into the future.
fn came_later(
    root: &Path,
    snapshot: &Snapshot,
    contents: &Contents,
    now: Moment,
) -> anyhow::Result<Option<BTreeMap<String, Moment>>> {
    let ahead = |moment: Moment| moment.seconds_since(now) > CLOCKS_DIFFER;
    let later = contents.records.iter().any(|filed| ahead(filed.record.common.recorded) || ahead(filed.record.when()));
    if commit_moment(snapshot) != Some(now) || !later {
        return Ok(None);
    }
    let first = logbook::first_commits(root)?.into_iter();
    let there = first.filter(|(path, _)| contents.record(path).is_some());
    Ok(Some(there.map(|(path, commit)| (path, Moment(commit.time))).collect()))
}

impl Opened {
    /// Returns whether the files are in no git history.
    pub fn is_draft(&self) -> bool {
        self.snapshot.commit().is_none()
    }

    /// Returns the site, or a failure when `site.yaml` has problems.
    pub fn site(&self) -> anyhow::Result<&Site> {
        self.contents.site.as_ref().ok_or_else(|| {
            logbook::Trouble::new("`site.yaml` is missing or has problems", "run `pinindex validate site.yaml`").into()
        })
    }

    /// Fails when a file that records rest on could not be read: a person, machine or procedure that nobody knows
    /// would let records pass unjudged and uncounted.
    pub fn solid_ground(&self) -> anyhow::Result<()> {
        match self.contents.unreadable_ground().next() {
            None => Ok(()),
            Some(path) => Err(logbook::Trouble::new(
                format!("`{path}` has problems, and records rest on it"),
                format!("run `pinindex validate {path}`, and keep the mended file with `pinindex keep --by ID`"),
            )
            .into()),
        }
    }

    /// Returns the diagnostics with their places found.
    pub fn located(&self, diagnostics: Vec<Diagnostic>) -> Vec<Located> {
        locate(&self.snapshot, diagnostics)
    }

    /// Takes out every record that has a problem, and tells which and why.
    ///
    /// What is left is replayed again, so that no figure rests on a record that was refused.
    pub fn without_faulty(&mut self) -> Vec<LeftOut> {
        let mut reasons: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for d in self.diagnostics.iter().filter(|d| d.severity == Severity::Problem) {
            if d.place.path.starts_with("records/") {
                reasons.entry(d.place.path.clone()).or_default().push(d.headline.clone());
            }
        }
        if reasons.is_empty() {
            return Vec::new();
        }
        let paths: BTreeSet<&str> = reasons.keys().map(String::as_str).collect();
        self.contents = self.contents.without(&paths);
        self.lives = timeline::lives(&self.contents);
        reasons.into_iter().map(|(path, reasons)| LeftOut { path, reasons }).collect()
    }

    /// Says on standard error when the folder holds what the history, from which the files were read, does not.
    pub fn tell_uncounted(&self) -> anyhow::Result<()> {
        if !matches!(self.snapshot.source, logbook::Source::Commit(_)) {
            return Ok(());
        }
        let changed = logbook::changed_files(&self.root)?.into_iter().filter(|file| logbook::belongs(&file.path));
        let (gone, there): (Vec<_>, Vec<_>) = changed.partition(|file| file.how == ChangedHow::Gone);
        let is_altered = |file: &Changed| file.how == ChangedHow::Edited && logbook::is_for_ever(&file.path);
        let (altered, there): (Vec<_>, Vec<_>) = there.into_iter().partition(is_altered);
        let mut stderr = anstream::stderr().lock();
        for (path, how) in bringing_back::otherwise(&self.root, altered)? {
            let path = one_line(&path);
            writeln!(stderr, "{path} {}", bringing_back::next_step(&path, how))?;
        }
        if !there.is_empty() {
            let (are, them) = if there.len() == 1 { ("is", "it") } else { ("are", "them") };
            writeln!(
                stderr,
                "{} in the folder {are} not in the history and {are} not counted here; \
                 `pinindex validate` looks at {them}",
                counted(there.len(), "file")
            )?;
        }
        if !gone.is_empty() {
            let (are, count) = if gone.len() == 1 { ("is", "counts") } else { ("are", "count") };
            let files = counted(gone.len(), "file");
            writeln!(stderr, "{files} of the history {are} gone from the folder and still {count} here")?;
        }
        Ok(())
    }

    /// Says on standard error when the computer's clock is behind the last commit: what is committed now would look as if
    /// it had been put in later.
    pub fn tell_clock_behind(&self, now: Moment) -> std::io::Result<()> {
        let behind = self.commit_moment().map_or(0, |last| last.seconds_since(now));
        if behind <= CLOCKS_DIFFER {
            return Ok(());
        }
        writeln!(
            anstream::stderr().lock(),
            "this computer's clock is {} behind the last commit: set it right, or `pinindex audit` will ask about what \
             is recorded now",
            spoken(behind)
        )
    }

    /// Returns a moment in the time of the site; as it is when no site is known.
    pub fn at_site(&self, moment: Moment) -> Moment {
        self.contents.at_site(moment)
    }

    /// Returns the moment of the commit the files were read from.
    pub fn commit_moment(&self) -> Option<Moment> {
        commit_moment(&self.snapshot)
    }
}

fn commit_moment(snapshot: &Snapshot) -> Option<Moment> {
    match &snapshot.source {
        logbook::Source::Commit(commit) => Some(Moment(commit.time)),
        logbook::Source::WorkingFiles { .. } => None,
    }
}

/// Finds the places of diagnostics in the files of a snapshot.
pub fn locate(snapshot: &Snapshot, diagnostics: Vec<Diagnostic>) -> Vec<Located> {
    places::locate(diagnostics, &|path| match snapshot.files.get(path) {
        Some(FileContent::Bytes(bytes)) => Some(bytes.to_vec()),
        _ => None,
    })
}

/// Returns the text of a file of a snapshot, for excerpts.
pub fn text_of(snapshot: &Snapshot, path: &str) -> Option<String> {
    snapshot.bytes(path).map(|bytes| String::from_utf8_lossy(bytes).into_owned())
}
