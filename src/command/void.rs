//! `pinindex void`: a record does not count, and why; both stay readable.

use super::Context;
use super::asked::{self, Everywhere};
use super::opened::text_of;
use super::paths;
use crate::bedside::setting::Setting;
use crate::bedside::void::VoidInquiry;
use crate::cli::Outcome;
use crate::logbook::parse_record_path;

/// Declare that a record does not count, and why
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  pinindex void theatre-1\n  pinindex void records/2026/11/25/065840-theatre-1.check.yaml --because \"written for another machine\" --by m-okafor\n\nWhat is given here is not asked. Without a terminal everything must be given; what is missing\nis listed. Times: 0705, 07:05, \"2026-11-25 07:05\", or with the offset."
)]
pub struct Arguments {
    /// The record's path, or a machine to choose from its latest records
    #[arg(value_name = "RECORD|MACHINE")]
    what: String,

    /// Why it does not count
    #[arg(long, value_name = "TEXT")]
    because: Option<String>,

    /// The record, where a machine is named
    #[arg(long, value_name = "PATH")]
    record: Option<String>,

    #[command(flatten)]
    everywhere: Everywhere,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let root = context.find_logbook()?;
    let path = paths::record(context, &root, &arguments.what);
    let machine = parse_record_path(&path).map_or(arguments.what.clone(), |name| name.machine);
    let opened = asked::begin(context, &machine)?;
    let text = text_of(&opened.snapshot, &path);
    let setting = Setting { contents: &opened.contents, machine: &machine };
    let inquiry = match text {
        Some(text) => VoidInquiry::of(setting, &path, &text),
        None if machine == arguments.what => VoidInquiry::latest(setting).ok_or_else(|| super::no_record(&path))?,
        None => return Err(super::no_record(&path).into()),
    };
    let flags = asked::given([
        ("record", arguments.record.into_iter().collect()),
        ("because", arguments.because.into_iter().collect()),
    ]);
    asked::run(context, &opened, &inquiry, flags, arguments.everywhere, &format!("{machine}.void.record"))
}
