//! `pinindex release`: a machine goes back to service, on a complete check that passed after the work.

use super::Context;
use super::asked::{self, Everywhere};
use super::repair::no_open_fault;
use crate::bedside::release::NotYet;
use crate::bedside::release::ReleaseInquiry;
use crate::cli::Outcome;
use crate::logbook::Trouble;

/// Release a machine: which faults are put right, and the check that proves it
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  pinindex release theatre-1\n  pinindex release theatre-1 --fault PATH --proved-by PATH --by r-castellanos,m-okafor\n\nWhat is given here is not asked. Without a terminal everything must be given; what is missing\nis listed. Times: 0705, 07:05, \"2026-11-25 07:05\", or with the offset."
)]
pub struct Arguments {
    /// The machine's id
    #[arg(value_name = "MACHINE")]
    machine: String,

    /// A fault that is put right; may be given several times
    #[arg(long, value_name = "PATH")]
    fault: Vec<String>,

    /// The complete check, begun after the work, that passed
    #[arg(long, value_name = "PATH")]
    proved_by: Option<String>,

    /// When it is released [default: now]
    #[arg(long, value_name = "TIME")]
    released: Option<String>,

    #[command(flatten)]
    everywhere: Everywhere,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let flags = asked::given([
        ("fault", arguments.fault),
        ("proved-by", arguments.proved_by.into_iter().collect()),
        ("released", arguments.released.into_iter().collect()),
    ]);
    asked::of_machine(context, &arguments.machine, "release", flags, arguments.everywhere, |setting, life| {
        let inquiry = ReleaseInquiry::new(setting, life, context.now());
        Ok(Box::new(inquiry.map_err(|not_yet| trouble(setting.machine, not_yet))?))
    })
}

fn trouble(machine: &str, not_yet: NotYet) -> Trouble {
    match not_yet {
        NotYet::NoOpenFault => no_open_fault(machine),
        NotYet::NoProof { since, command } => Trouble::new(
            format!("{machine} cannot be released yet: no complete check was begun after {} and passed", since.short()),
            format!("do the check: `{command}`"),
        ),
    }
}
