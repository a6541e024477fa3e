//! Runs the typst program on a report or a form, in a scratch folder that is gone afterwards.
//!
//! The program is the one on PATH, without a shell and without the settings that would change the result. A folder that
//! PATH names from here, such as `.`, is passed over: it would be a folder of whoever made the logbook. That the program
//! is missing or old is an answer, not a failure: the other renderings need none.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use anyhow::Context;

use crate::report::typeset::{PDF, Setting};

/// The oldest version that makes PDF/A and PDF/UA-1 at once.
const OLDEST: (u32, u32) = (0, 14);

/// What came of setting a paper as a PDF.
#[derive(Debug)]
pub enum Typeset {
    Pdf(Vec<u8>),
    /// There is no program named typst on PATH.
    NoProgram,
    /// The program is older than 0.14; this is what it says of itself.
    TooOld(String),
    /// The program found fault; these are its words.
    Failed(String),
}

impl Typeset {
    /// Returns why there is no PDF; nothing when there is one.
    pub fn why_not(&self) -> Option<String> {
        match self {
            Typeset::Pdf(_) => None,
            Typeset::NoProgram => Some(
                "the typst program is not on PATH. The HTML page prints well from any browser; \
                 `cargo install --locked typst-cli` brings the program"
                    .to_owned(),
            ),
            Typeset::TooOld(version) => {
                Some(format!("the typst program is too old ({version}); version 0.14 or later is needed"))
            }
            Typeset::Failed(words) => Some(format!("the typst program stopped: {words}")),
        }
    }
}

/// Sets a paper as a PDF; it is handed the fonts of a folder, which stand beside our own.
pub fn typeset(setting: impl Fn(&[Vec<u8>]) -> Setting, extra_fonts: Option<&Path>) -> anyhow::Result<Typeset> {
    typeset_by("typst", setting, extra_fonts)
}

fn typeset_by(
    program: &str,
    setting: impl Fn(&[Vec<u8>]) -> Setting,
    extra_fonts: Option<&Path>,
) -> anyhow::Result<Typeset> {
    let Some(program) = on_path(program) else { return Ok(Typeset::NoProgram) };
    let scratch = tempfile::Builder::new().prefix("pinindex-").tempdir().context("could not make a scratch folder")?;
    let version = match deaf(&program, scratch.path()).arg("--version").output() {
        Ok(output) => String::from_utf8_lossy(&output.stdout).trim().to_owned(),
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Typeset::NoProgram),
        // A program that is there and cannot be started keeps only the PDF away, like one that is not there.
        Err(error) => return Ok(Typeset::Failed(format!("it could not be started: {error}"))),
    };
    if !recent(&version) {
        return Ok(Typeset::TooOld(version));
    }
    let fonts = extra_fonts.map(read_fonts).transpose()?.unwrap_or_default();
    let setting = setting(&fonts);
    for (path, content) in &setting.files {
        write(&scratch.path().join(path), content).with_context(|| format!("could not write scratch file `{path}`"))?;
    }
    let Output { status, stderr, .. } =
        deaf(&program, scratch.path()).args(&setting.arguments).output().context("could not run `typst`")?;
    if !status.success() {
        return Ok(Typeset::Failed(String::from_utf8_lossy(&stderr).trim().to_owned()));
    }
    let pdf = fs::read(scratch.path().join(PDF)).context("`typst` said it was done but left no PDF")?;
    Ok(Typeset::Pdf(pdf))
}

/// Returns where a program lies in one of the folders that PATH names in full.
fn on_path(program: &str) -> Option<PathBuf> {
    let name = format!("{program}{}", std::env::consts::EXE_SUFFIX);
    let path = std::env::var_os("PATH")?;
    let places = std::env::split_paths(&path).filter(|folder| folder.is_absolute());
    places.map(|folder| folder.join(&name)).find(|place| is_program(place))
}

fn is_program(place: &Path) -> bool {
    let Ok(found) = fs::metadata(place) else { return false };
    #[cfg(unix)]
    let may_run = std::os::unix::fs::PermissionsExt::mode(&found.permissions()) & 0o111 != 0;
    #[cfg(not(unix))]
    let may_run = true;
    found.is_file() && may_run
}

/// Returns the program in a folder, deaf to the settings of the person who runs it.
fn deaf(program: &Path, folder: &Path) -> Command {
    let mut command = Command::new(program);
    command.current_dir(folder).env_remove("SOURCE_DATE_EPOCH");
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().to_uppercase().starts_with("TYPST_") {
            command.env_remove(name);
        }
    }
    command
}

/// Returns whether `typst 0.15.1 (..)` is recent enough; what can't be read is taken for old.
fn recent(version: &str) -> bool {
    let mut numbers = version.split_whitespace().nth(1).unwrap_or_default().split('.').map(str::parse::<u32>);
    match (numbers.next(), numbers.next()) {
        (Some(Ok(major)), Some(Ok(minor))) => (major, minor) >= OLDEST,
        _ => false,
    }
}

/// Returns the font files of a folder in the order of their names.
fn read_fonts(folder: &Path) -> anyhow::Result<Vec<Vec<u8>>> {
    let is_font = |path: &Path| {
        let extension = path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
        ["ttf", "otf", "ttc", "otc"].contains(&extension.as_str())
    };
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder).with_context(|| format!("could not read the fonts in `{}`", folder.display()))? {
        paths.push(entry?.path());
    }
    paths.retain(|path| is_font(path));
    paths.sort();
    let read = |path: &PathBuf| fs::read(path).with_context(|| format!("could not read the font `{}`", path.display()));
    paths.iter().map(read).collect()
}

fn write(path: &Path, content: &[u8]) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    fs::write(path, content)
}

#[cfg(test)]
mod tests {
    use super::{Typeset, recent, typeset_by};
    use crate::report::Report;
    use crate::report::typeset::setting;

    #[test]
    fn a_program_that_cannot_do_it_is_told_apart() {
        let by = |program| {
            let report = |fonts: &[Vec<u8>]| setting(&Report::default(), fonts);
            typeset_by(program, report, None).expect("the scratch folder can be written")
        };
        assert!(matches!(by("pinindex-has-no-such-program"), Typeset::NoProgram));
        // Programs that are here wherever the tests are, and that are no typesetters.
        assert!(matches!(by("git"), Typeset::TooOld(words) if words.starts_with("git version")));
        assert!(matches!(by("cargo"), Typeset::Failed(words) if words.contains("compile")));
    }

    #[test]
    fn versions_are_compared_as_numbers() {
        for new in ["typst 0.14.0", "typst 0.15.1 (unknown commit)", "typst 1.0.0", "typst 0.100.0"] {
            assert!(recent(new), "{new}");
        }
        for old in ["typst 0.13.1 (abc)", "typst 0.9.0", "typst", "", "another program"] {
            assert!(!recent(old), "{old}");
        }
    }
}
