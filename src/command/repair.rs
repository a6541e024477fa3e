//! `pinindex repair`: work on a fault, its cause, and what it waited for.

use super::Context;
use super::asked::{self, Everywhere};
use crate::bedside::repair::RepairInquiry;
use crate::cli::Outcome;
use crate::logbook::Trouble;

/// Write down a repair: which fault, when, the cause, the work, what it waited for
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  pinindex repair theatre-1\n  pinindex repair theatre-1 --by r-castellanos --started 1030 --finished 1120 --cause wear-or-age \\\n    --work \"sensor replaced\" --part \"oxygen sensor\" --waited \"parts 48 h\" --instrument \"gas analyser 3, 2027-03-31\"\n\nWhat is given here is not asked. Without a terminal everything must be given; what is missing\nis listed. Times: 0705, 07:05, \"2026-11-25 07:05\", or with the offset."
)]
pub struct Arguments {
    /// The machine's id
    #[arg(value_name = "MACHINE")]
    machine: String,

    /// The fault that was worked on [default: the only open one]
    #[arg(long, value_name = "PATH")]
    fault: Option<String>,

    /// When the work was begun
    #[arg(long, value_name = "TIME")]
    started: Option<String>,

    /// When it was finished
    #[arg(long, value_name = "TIME")]
    finished: Option<String>,

    /// The cause, one of those that the records know
    #[arg(long, value_name = "CAUSE")]
    cause: Option<String>,

    /// What was done
    #[arg(long, value_name = "TEXT")]
    work: Option<String>,

    /// A part that was fitted; may be given several times
    #[arg(long, value_name = "TEXT")]
    part: Vec<String>,

    /// What was waited for and how long; may be given several times
    #[arg(long, value_name = "FOR TIME")]
    waited: Vec<String>,

    /// A test instrument and the day its calibration is good until; may be given several times
    #[arg(long, value_name = "LABEL, DATE")]
    instrument: Vec<String>,

    #[command(flatten)]
    everywhere: Everywhere,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let flags = asked::given([
        ("fault", arguments.fault.into_iter().collect()),
        ("started", arguments.started.into_iter().collect()),
        ("finished", arguments.finished.into_iter().collect()),
        ("cause", arguments.cause.into_iter().collect()),
        ("work", arguments.work.into_iter().collect()),
        ("part", arguments.part),
        ("waited", arguments.waited),
        ("instrument", arguments.instrument),
    ]);
    asked::of_machine(context, &arguments.machine, "repair", flags, arguments.everywhere, |setting, life| {
        let inquiry = RepairInquiry::new(setting, life, context.now());
        Ok(Box::new(inquiry.ok_or_else(|| no_open_fault(setting.machine))?))
    })
}

/// Returns the failure of a machine on which there is nothing to repair or release.
pub fn no_open_fault(machine: &str) -> Trouble {
    let help = format!(
        "write the fault down first: `pinindex fault {machine}`; planned maintenance: `pinindex service {machine}`"
    );
    Trouble::new(format!("{machine} has no open fault"), help)
}
