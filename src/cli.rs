//! The command line: what may be typed, and which command it means.

use crate::command::{self, Context};
use crate::diagnostic::{one_line, visible};
use crate::logbook;
use crate::record::Moment;
use clap::{Parser, Subcommand};
use std::io::Write;
use std::path::PathBuf;

/// What a command came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing wrong.
    Clean,
    /// Records have problems, or a record was refused.
    Problems,
}

/// The whole command line.
#[derive(Parser, Debug)]
#[command(
    name = "pinindex",
    version,
    about = "Keep anaesthesia machine checks as plain files under git, and report on them",
    long_about = "Keep anaesthesia machine checks as plain files under git, and report on them.\n\n\
        Each check, fault, repair and release is one small YAML file with a commit of its own. The program judges \
        every record against its schema and the limits in force, says which machines the records call ready, and \
        makes the monthly summary for the accreditation binder.\n\n\
        An aid to keeping records: no medical device, no clinical advice. The maker's instructions for use and local \
        policy come first.",
    after_help = "Example:\n  pinindex demo demo-logbook\n  pinindex ready --logbook demo-logbook\n\n\
        Exit status: 0 nothing wrong, 1 problems in records, 2 the work could not be done."
)]
pub struct Cli {
    /// The logbook's folder [default: this folder or the nearest logbook above it]
    #[arg(long, global = true, value_name = "DIR")]
    pub logbook: Option<PathBuf>,

    /// Take this moment for now, such as 2026-11-25T12:00:00+01:00
    #[arg(long, global = true, value_name = "TIME")]
    pub now: Option<Moment>,

    /// The private key file to sign with [default: PININDEX_SIGNING_KEY, the ssh agent, or a key in ~/.ssh]
    #[arg(long, global = true, value_name = "FILE")]
    pub signing_key: Option<PathBuf>,

    #[command(subcommand)]
    pub command: Command,
}

/// Everything the program can be asked to do.
#[derive(Subcommand, Debug)]
pub enum Command {
    Demo(command::demo::Arguments),
    Init(command::init::Arguments),
    Check(command::check::Arguments),
    Fault(command::fault::Arguments),
    Repair(command::repair::Arguments),
    Release(command::release::Arguments),
    Service(command::service::Arguments),
    Correct(Box<command::correct::Arguments>),
    Void(command::void::Arguments),
    Record(command::record::Arguments),
    Page(command::page::Arguments),
    Keep(command::keep::Arguments),
    Validate(command::validate::Arguments),
    Ready(command::ready::Arguments),
    Audit(command::audit::Arguments),
    Board(command::board::Arguments),
    Paper(command::paper::Arguments),
    Seal(command::seal::Arguments),
    Report(command::report::Arguments),
    Questions(command::questions::Arguments),
    History(command::history::Arguments),
    Explain(command::explain::Arguments),
    Completions(command::completions::Arguments),
    Man(command::man::Arguments),
}

/// Parses the command line and does what it says.
///
/// # Errors
/// What stopped the work: no logbook, a full disk, a history in the middle of a merge.
pub fn run() -> anyhow::Result<Outcome> {
    let cli = Cli::parse();
    let context = Context::new(cli.logbook, cli.now)?.signing_with(cli.signing_key);
    match cli.command {
        Command::Demo(arguments) => command::demo::run(&context, arguments),
        Command::Init(arguments) => command::init::run(&context, arguments),
        Command::Check(arguments) => command::check::run(&context, arguments),
        Command::Fault(arguments) => command::fault::run(&context, arguments),
        Command::Repair(arguments) => command::repair::run(&context, arguments),
        Command::Release(arguments) => command::release::run(&context, arguments),
        Command::Service(arguments) => command::service::run(&context, arguments),
        Command::Correct(arguments) => command::correct::run(&context, *arguments),
        Command::Void(arguments) => command::void::run(&context, arguments),
        Command::Record(arguments) => command::record::run(&context, arguments),
        Command::Page(arguments) => command::page::run(&context, &arguments),
        Command::Keep(arguments) => command::keep::run(&context, arguments),
        Command::Validate(arguments) => command::validate::run(&context, arguments),
        Command::Audit(arguments) => command::audit::run(&context, &arguments),
        Command::Ready(arguments) => command::ready::run(&context, arguments),
        Command::Board(arguments) => command::board::run(&context, arguments),
        Command::Paper(arguments) => command::paper::run(&context, arguments),
        Command::Seal(arguments) => command::seal::run(&context, &arguments),
        Command::Report(arguments) => command::report::run(&context, arguments),
        Command::Questions(arguments) => command::questions::run(&context, arguments),
        Command::History(arguments) => command::history::run(&context, arguments),
        Command::Explain(arguments) => command::explain::run(&context, arguments),
        Command::Completions(arguments) => command::completions::run(arguments),
        Command::Man(arguments) => command::man::run(&context, arguments),
    }
}

/// Returns whether a failure is only a reader that closed the pipe.
pub fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<std::io::Error>())
        .any(|io| io.kind() == std::io::ErrorKind::BrokenPipe)
}

/// Writes a failure to standard error: one line, and the next step when one is known.
pub fn complain(error: &anyhow::Error) {
    let mut stderr = anstream::stderr().lock();
    // When standard error itself cannot be written to, the exit status still says that the work was not done.
    let _ = writeln!(stderr, "pinindex: {}", one_line(&logbook::headline(error)));
    if let Some(step) = logbook::next_step(error) {
        let _ = writeln!(stderr, "  next step: {}", visible(step));
    }
}
