//! `pinindex void`: a record does not count, and why; both stay readable.

use super::asked::{self, Came, Everywhere};
use super::opened::text_of;
use super::{Context, consequences, paths};
use crate::bedside::setting::Setting;
use crate::bedside::void::VoidInquiry;
use crate::cli::Outcome;
use crate::contents::{Contents, Standing};
use crate::logbook::{Trouble, parse_record_path};

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
    let named = arguments.record.as_deref().map(|named| paths::record(context, &root, named));
    for path in [&path].into_iter().chain(&named) {
        refuse_settled(&opened.contents, path)?;
    }
    let setting = Setting { contents: &opened.contents, machine: &machine };
    let inquiry = match text {
        Some(text) => VoidInquiry::of(setting, &path, &text),
        None if machine == arguments.what => VoidInquiry::latest(setting).ok_or_else(|| super::no_record(&path))?,
        None => return Err(super::no_record(&path).into()),
    };
    let flags =
        asked::given([("record", named.into_iter().collect()), ("because", arguments.because.into_iter().collect())]);
    let before = consequences::Before::of(context, context.clock())?;
    let (given, format) = arguments.everywhere.given();
    let name = format!("{machine}.void.record");
    match asked::record(context, &opened, &inquiry, flags.joined(given), format, &name)? {
        Came::Nothing => Ok(Outcome::Clean),
        Came::Refused(outcome) => Ok(outcome),
        Came::Recorded(outcome) => {
            consequences::tell(context, &before, format)?;
            Ok(outcome)
        }
    }
}

/// Refuses a record that does not count any more: a second void of it would change nothing, or take only a part of it out.
fn refuse_settled(contents: &Contents, path: &str) -> anyhow::Result<()> {
    match contents.standing(path) {
        Standing::Counts => Ok(()),
        Standing::VoidedBy(by) => Err(Trouble::new(
            format!("`{path}` is void already: {}", said_by(contents, &by)),
            format!(
                "to let it count again, `pinindex void {by}`; a wrong reason is put right by `pinindex correct {by}`"
            ),
        )
        .into()),
        Standing::CorrectedBy(by) => {
            let newest = contents.speaking_for(path).unwrap_or(&by).to_owned();
            Err(Trouble::new(
                format!("`{path}` was corrected, and counts as {newest} says: {}", said_by(contents, &newest)),
                format!("`pinindex void {newest}` takes that correction away, and says what counts again"),
            )
            .into())
        }
    }
}

/// Returns which record says so, who wrote it down and when.
fn said_by(contents: &Contents, path: &str) -> String {
    let Some(filed) = contents.record(path) else { return path.to_owned() };
    let common = &filed.record.common;
    let when = contents.site.as_ref().map_or(common.recorded, |site| common.recorded.in_zone(site.time_zone));
    format!("{path}, {}, {}", contents.person_name(common.recorder()), when.short())
}
