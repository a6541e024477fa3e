//! `pinindex service`: planned maintenance was done, and when the next one is due.

use super::Context;
use super::asked::{self, Everywhere};
use crate::bedside::service::ServiceInquiry;
use crate::cli::Outcome;

/// Write down planned maintenance: when, what was done, when the next one is due
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  pinindex service theatre-1\n  pinindex service theatre-1 --by r-castellanos --started 1300 --finished 1530 --work \"yearly maintenance\" --next-due 2027-11-25\n\nWhat is given here is not asked. Without a terminal everything must be given; what is missing\nis listed. Times: 0705, 07:05, \"2026-11-25 07:05\", or with the offset."
)]
pub struct Arguments {
    /// The machine's id
    #[arg(value_name = "MACHINE")]
    machine: String,

    /// When the work was begun
    #[arg(long, value_name = "TIME")]
    started: Option<String>,

    /// When it was finished
    #[arg(long, value_name = "TIME")]
    finished: Option<String>,

    /// What was done
    #[arg(long, value_name = "TEXT")]
    work: Option<String>,

    /// The day by which the next one is due
    #[arg(long, value_name = "DATE")]
    next_due: Option<String>,

    /// A test instrument and the day its calibration is good until; may be given several times
    #[arg(long, value_name = "LABEL, DATE")]
    instrument: Vec<String>,

    /// The complete check of that day, passed after the work
    #[arg(long, value_name = "PATH")]
    proved_by: Option<String>,

    #[command(flatten)]
    everywhere: Everywhere,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let flags = asked::given([
        ("started", arguments.started.into_iter().collect()),
        ("finished", arguments.finished.into_iter().collect()),
        ("work", arguments.work.into_iter().collect()),
        ("next-due", arguments.next_due.into_iter().collect()),
        ("instrument", arguments.instrument),
        ("proved-by", arguments.proved_by.into_iter().collect()),
    ]);
    asked::of_machine(context, &arguments.machine, "service", flags, arguments.everywhere, |setting, life| {
        Ok(Box::new(ServiceInquiry { setting, life }))
    })
}
