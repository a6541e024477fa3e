//! `pinindex board`: the readiness of all machines as one page for the screen of the workroom.
//!
//! A board that lies at its usual place is made anew when a command has changed what the records say: a screen that shows
//! a machine as ready when it has just been withheld is worse than none.

use super::Context;
use super::opened::{Opened, Which, open};
use super::ready::readiness_of;
use crate::bedside::board::{self, Board};
use crate::cli::Outcome;
use crate::diagnostic::{counted, one_line};
use crate::logbook;
use crate::record::Moment;
use anyhow::Context as _;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Make the board of all machines: one page for the screen of the workroom
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex board\n  pinindex board --output /srv/screen/board.html\n\n\
    Open the page in a browser and leave it open: it looks for a new one each minute, and says when it is old.\n\
    The page in reports/ is made anew after each record; for another place, run the command again.\n\
    It is what the records say. Whether a machine is used is for the clinician to decide.")]
pub struct Arguments {
    /// The file to write [default: reports/board.html in the logbook]
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// What the page is called among the reports.
const USUAL_NAME: &str = "board.html";

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut opened = open(context, Which::Committed)?;
    opened.tell_uncounted()?;
    opened.site()?;
    let place = match arguments.output {
        Some(file) => context.folder().join(file),
        None => logbook::reports_folder(&opened.root)?.join(USUAL_NAME),
    };
    let left_out = write(&mut opened, context.now(), &place)?;
    writeln!(anstream::stdout().lock(), "{}", one_line(&place.display().to_string()))?;
    let unread: Vec<&str> = opened.contents.unreadable_ground().collect();
    let mut stderr = anstream::stderr().lock();
    for path in &unread {
        let path = one_line(path);
        writeln!(stderr, "{path} has problems and was not read; `pinindex validate {path}` shows them")?;
    }
    if left_out > 0 {
        writeln!(stderr, "{} with problems left out; `pinindex validate` shows them", counted(left_out, "record"))?;
    }
    Ok(if left_out == 0 && unread.is_empty() { Outcome::Clean } else { Outcome::Problems })
}

/// Makes the board at its usual place anew, if there is one. Says nothing when that went well.
///
/// The work that went before is done and committed, so that nothing here makes it fail; what could not be done is told on
/// standard error.
pub fn refresh(context: &Context) {
    if let Err(error) = make_anew(context) {
        // When standard error cannot be written to either, the page tells its age by itself.
        let _ = writeln!(
            anstream::stderr().lock(),
            "the board could not be made anew and shows what was: {}; run `pinindex board`",
            one_line(&format!("{error:#}"))
        );
    }
}

fn make_anew(context: &Context) -> anyhow::Result<()> {
    let root = context.find_logbook()?;
    if !root.join("reports").join(USUAL_NAME).exists() {
        return Ok(());
    }
    let place = logbook::reports_folder(&root)?.join(USUAL_NAME);
    // Somebody else may commit and write the page in the meantime: the last one to write must have read the last commit.
    const TURNS: usize = 3;
    for _ in 0..TURNS {
        let mut opened = open(context, Which::Committed)?;
        opened.site()?;
        let read = opened.snapshot.commit().map(|commit| commit.id.clone());
        write(&mut opened, context.clock(), &place)?;
        if logbook::last_commit(&opened.root)? == read {
            break;
        }
    }
    Ok(())
}

/// Writes the page and returns how many records were left out.
fn write(opened: &mut Opened, now: Moment, place: &Path) -> anyhow::Result<usize> {
    let (machines, left_out) = readiness_of(opened, now);
    let page = board::html(&Board {
        contents: &opened.contents,
        machines: &machines,
        now,
        left_out,
        is_draft: opened.is_draft(),
    });
    if let Some(folder) = place.parent() {
        std::fs::create_dir_all(folder).with_context(|| format!("folder `{}` cannot be made", folder.display()))?;
    }
    logbook::write_whole(place, page.as_bytes())?;
    Ok(left_out)
}
