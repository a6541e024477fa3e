//! `pinindex questions`: the sheet of questions about the records, in every form that was asked for.

use super::{Context, report};
use crate::cli::Outcome;
use crate::report::questions;

/// Make a sheet of what in the records is worth asking about
#[derive(clap::Args, Debug)]
#[group(skip)]
#[command(after_help = "Example:\n  pinindex questions 2026-10\n  pinindex questions 2026-10 --format html\n\n\
    The sheet names records that cannot be so as they are written, checks that repeat the one\n\
    before, and patterns that chance hardly makes. It accuses nobody and ranks nobody, and it is\n\
    no part of the monthly summary.")]
pub struct Arguments {
    #[command(flatten)]
    asked: report::Asked,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    report::make(context, &arguments.asked, "-questions", |basis| questions::build(&basis))
}
