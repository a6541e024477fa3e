//! `pinindex init`: an empty logbook with commented example files, ready to edit.

use super::Context;
use crate::cli::Outcome;
use crate::logbook::{self, Author, Trouble};
use anyhow::Context as _;
use chrono::Datelike;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Start an empty logbook with commented example files, ready to edit
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex init our-logbook\n  pinindex validate --logbook our-logbook")]
pub struct Arguments {
    /// The folder of the new logbook; it must be empty or not there yet
    folder: PathBuf,
}

/// The newest revision of each procedure that ships with the program. In a new logbook it is the first.
const PROCEDURES: [(&str, &str); 3] = [
    ("daily", include_str!("../../records-example/procedures/daily/2.yaml")),
    ("each-patient", include_str!("../../records-example/procedures/each-patient/1.yaml")),
    ("complete", include_str!("../../records-example/procedures/complete/1.yaml")),
];

/// Keeps reports and unfinished checks out of the history, and line endings as they were written.
pub const HOUSEKEEPING: [(&str, &str); 2] = [
    (
        ".gitignore",
        "# Reports are made from the records at any time.\n/reports/\n# Checks that are not finished yet.\n/drafts/\n",
    ),
    (".gitattributes", "* -text\n"),
];

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.folder().join(&arguments.folder);
    make_empty(&root)?;
    let year = context.now().0.year().to_string();
    let mut files: Vec<(String, String)> = vec![
        ("README.md".to_owned(), include_str!("init/README.md").replace("{year}", &year)),
        ("site.yaml".to_owned(), include_str!("init/site.yaml").to_owned()),
        ("people.yaml".to_owned(), include_str!("init/people.yaml").to_owned()),
        ("machines/theatre-1.yaml".to_owned(), include_str!("init/machines/theatre-1.yaml").replace("{year}", &year)),
        (format!("calendar/{year}.yaml"), include_str!("init/calendar/year.yaml").replace("{year}", &year)),
    ];
    let today = context.now().0.format("%Y-%m-%d").to_string();
    for (id, text) in PROCEDURES {
        files.push((format!("procedures/{id}/1.yaml"), as_first_revision(text, &today)));
    }
    files.extend(HOUSEKEEPING.map(|(path, text)| (path.to_owned(), text.to_owned())));
    logbook::create(&root)?;
    let program =
        Author { name: "pinindex".to_owned(), email: "pinindex@program.example".to_owned(), time: context.now().0 };
    let message = "Start the logbook from the program's examples\n";
    super::turn(&root)?.commit_all(&files, &program, &program, message)?;
    let mut out = anstream::stdout().lock();
    writeln!(out, "An empty logbook is in {}.", arguments.folder.display())?;
    writeln!(
        out,
        "Next: read README.md there, and put your own site, people, machines, calendar and limits in place of the examples."
    )?;
    writeln!(out, "Then: pinindex validate --logbook {}", arguments.folder.display())?;
    writeln!(out, "And:  pinindex keep --by YOUR-ID --logbook {}", arguments.folder.display())?;
    Ok(Outcome::Clean)
}

/// Returns a procedure's text as revision 1, in force from a day on.
fn as_first_revision(text: &str, day: &str) -> String {
    let line = |line: &str| match line.split_once(':') {
        Some(("revision", _)) => "revision: 1".to_owned(),
        Some(("in-force-from", _)) => format!("in-force-from: {day}"),
        _ => line.to_owned(),
    };
    text.lines().map(|l| line(l) + "\n").collect()
}

/// Makes a folder, or takes one that is there and empty.
pub fn make_empty(root: &Path) -> anyhow::Result<()> {
    std::fs::create_dir_all(root).with_context(|| format!("folder `{}` cannot be made", root.display()))?;
    let mut inside = std::fs::read_dir(root).with_context(|| format!("folder `{}` cannot be read", root.display()))?;
    if inside.next().is_some() {
        return Err(Trouble::new(
            format!("folder `{}` is not empty", root.display()),
            "name a folder that is empty or not there yet",
        )
        .into());
    }
    Ok(())
}
