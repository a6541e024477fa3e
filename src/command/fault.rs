//! `pinindex fault`: something is wrong with a machine, and whether it is withheld or restricted.

use super::Context;
use super::asked::{self, Everywhere};
use crate::bedside::fault::FaultInquiry;
use crate::cli::Outcome;

/// Write down a fault: what is wrong, and whether the machine is withheld or restricted
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  pinindex fault theatre-1\n  pinindex fault theatre-1 --found-during in-use --what \"bellows stick\" --withhold --by m-okafor\n\nWhat is given here is not asked. Without a terminal everything must be given; what is missing\nis listed. Times: 0705, 07:05, \"2026-11-25 07:05\", or with the offset."
)]
pub struct Arguments {
    /// The machine's id
    #[arg(value_name = "MACHINE")]
    machine: String,

    /// The failed check, or in-use, planned-maintenance, self-test, reported
    #[arg(long, value_name = "PATH|WAY")]
    found_during: Option<String>,

    /// The items of the failed check that it is about [default: all that failed]
    #[arg(long, value_name = "ITEM", value_delimiter = ',')]
    items: Vec<String>,

    /// When it was found [default: when the check ended, or now]
    #[arg(long, value_name = "TIME")]
    found: Option<String>,

    /// What is wrong, as seen
    #[arg(long, value_name = "TEXT")]
    what: Option<String>,

    /// Whether the machine may be used
    #[arg(long = "use", value_name = "withheld|restricted")]
    r#use: Option<String>,

    /// How a restricted machine may still be used
    #[arg(long, value_name = "TEXT")]
    restriction: Option<String>,

    /// The machine is withheld from use: the same as `--use withheld`
    #[arg(long, conflicts_with_all = ["use", "restrict", "restriction"])]
    withhold: bool,

    /// The machine is used only in this way: the same as `--use restricted --restriction TEXT`
    #[arg(long, value_name = "TEXT", conflicts_with_all = ["use", "restriction"])]
    restrict: Option<String>,

    /// The last day of the restriction
    #[arg(long, value_name = "DATE")]
    until: Option<String>,

    /// Who sees to a restricted machine
    #[arg(long, value_name = "ID")]
    owner: Option<String>,

    #[command(flatten)]
    everywhere: Everywhere,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let use_of_it = match (arguments.withhold, &arguments.restrict) {
        (true, _) => Some("withheld".to_owned()),
        (false, Some(_)) => Some("restricted".to_owned()),
        (false, None) => arguments.r#use,
    };
    let flags = asked::given([
        ("found-during", arguments.found_during.into_iter().collect()),
        ("items", arguments.items),
        ("found", arguments.found.into_iter().collect()),
        ("what", arguments.what.into_iter().collect()),
        ("use", use_of_it.into_iter().collect()),
        ("restriction", arguments.restriction.or(arguments.restrict).into_iter().collect()),
        ("until", arguments.until.into_iter().collect()),
        ("owner", arguments.owner.into_iter().collect()),
    ]);
    asked::of_machine(context, &arguments.machine, "fault", flags, arguments.everywhere, |setting, life| {
        Ok(Box::new(FaultInquiry::new(setting, life, context.now())))
    })
}
