//! Which files `keep` takes, and what is said of those that it does not.

use crate::command::Context;
use crate::command::bringing_back::{self, Waiting};
use crate::command::paths;
use crate::command::show::{Format, tell};
use crate::diagnostic::visible;
use crate::logbook::{self, Changed, ChangedHow, Trouble};
use std::io::Write;
use std::path::{Path, PathBuf};

/// How many files are named one by one where the rest can be counted.
const NAMED: usize = 10;

/// Returns the paths asked for as the logbook names them, and refuses those that this command cannot take.
pub(super) fn wanted(
    context: &Context,
    root: &Path,
    files: &[PathBuf],
    changed: &[Changed],
    waiting: &Waiting,
) -> anyhow::Result<Vec<String>> {
    let mut wanted = Vec::new();
    for file in files {
        let path = paths::in_logbook(context, root, file);
        let shown = file.display();
        if waiting.has(&path) {
            wanted.push(path);
            continue;
        }
        if paths::is_record_or_seal(&path) {
            let (what, help) = if paths::within(&path, "seals") {
                ("seals", "run `pinindex seal MONTH --by ID`, which writes the seal itself".to_owned())
            } else {
                ("records", format!("run `pinindex record {shown}`"))
            };
            return Err(Trouble::new(format!("`{shown}` is not for this command, which keeps no {what}"), help).into());
        }
        let is_changed = changed.iter().any(|file| paths::within(&file.path, &path));
        if !is_changed && !root.join(&path).exists() {
            return Err(Trouble::new(
                format!("there is no file or folder `{shown}` in the logbook"),
                "nothing was kept; run `pinindex keep --by ID` without a file to keep all that changed",
            )
            .into());
        }
        let is_folder = path.is_empty() || logbook::FOLDERS.contains(&path.as_str());
        if !is_changed && !is_folder && !logbook::is_kept(&path) {
            return Err(Trouble::new(
                format!("`{shown}` is not one of the files that a logbook keeps"),
                "nothing was kept; those are `site.yaml`, `people.yaml`, `README.md`, and what is in `machines`, \
                 `procedures` and `calendar`",
            )
            .into());
        }
        wanted.push(path);
    }
    Ok(wanted)
}

/// Says what lies in the folder and is not for this command, with what is.
pub(super) fn tell_left(
    out: &mut dyn Write,
    format: Format,
    context: &Context,
    root: &Path,
    left: &[Changed],
) -> anyhow::Result<()> {
    let otherwise = bringing_back::otherwise(root, left.to_vec())?;
    for file in left.iter().take(NAMED) {
        let path = visible(&paths::from_here(context, root, &file.path));
        let is_record = file.path.starts_with("records/");
        let is_seal = file.path.starts_with("seals/");
        let how = otherwise.iter().find(|(other, _)| *other == file.path).map(|(_, how)| *how);
        let text = match (how, file.how) {
            (Some(how), _) => format!("not taken: {path} {}", bringing_back::next_step(&path, how)),
            (None, ChangedHow::New) if is_record => format!("not taken: {path}; `pinindex record {path}` records it"),
            (None, ChangedHow::New) if is_seal => format!("not taken: {path}; `pinindex seal` writes the seals itself"),
            (None, _) => format!("not taken: {path}; it is neither a record nor one of the files kept here"),
        };
        tell(out, format, &text)?;
    }
    if let Some(more) = left.len().checked_sub(NAMED).filter(|more| *more > 0) {
        tell(out, format, &format!("and {} more that {} not taken", more, if more == 1 { "is" } else { "are" }))?;
    }
    Ok(())
}
