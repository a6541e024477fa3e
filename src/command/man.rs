//! `pinindex man`: the manual pages.

use super::Context;
use crate::cli::{Cli, Outcome};
use anyhow::Context as _;
use clap::CommandFactory;
use std::path::PathBuf;

/// Write the manual pages into a folder
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex man man1\n  man man1/pinindex.1")]
pub struct Arguments {
    /// The folder; it is made when it is not there
    folder: PathBuf,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let folder = context.folder().join(&arguments.folder);
    std::fs::create_dir_all(&folder).with_context(|| format!("folder `{}` cannot be made", folder.display()))?;
    clap_mangen::generate_to(Cli::command(), &folder)
        .with_context(|| format!("manual pages cannot be written to `{}`", folder.display()))?;
    Ok(Outcome::Clean)
}
