//! `pinindex check`: a check done at the machine, asked step by step, or typed in from paper, or given as a whole.
//!
//! What is given on the command line is not asked. What is missing is asked at the terminal; without one it is listed.

mod at_terminal;
mod given;
mod recording;
mod work;

use super::Context;
use super::asked;
use super::show::{self, Format};
use super::terminal::Terminal;
use crate::bedside::guided::paper;
use crate::bedside::{Draft, steps};
use crate::cli::Outcome;
use crate::diagnostic::counted;
use crate::logbook::Trouble;
use crate::record::{Date, Moment};
use std::io::Write;
use std::path::PathBuf;

/// Do a check at the machine, asked step by step, and record it
#[derive(clap::Args, Debug)]
#[command(after_help = "Examples:\n  pinindex check theatre-1\n  pinindex check theatre-1 --from-paper\n  \
    pinindex check theatre-1 --by m-okafor,j-lindqvist --set suction=pass --set battery=\"not done: being replaced\"\n\n\
    Each answer is kept at once in drafts/; the same command goes on with a check that was stopped.\n\
    What is given here is not asked. Without a terminal everything must be given.\n\n\
    A failed or missing check never stands in the way of emergency care: `e` at any question, or --emergency.")]
pub struct Arguments {
    /// The machine
    machine: String,

    /// Which procedure [default: the check before the first case]
    #[arg(long, value_name = "ID")]
    procedure: Option<String>,

    /// The revision on the sheet, when it is not the one in force on that day
    #[arg(long, value_name = "N", requires = "from_paper")]
    revision: Option<u32>,

    /// Type in a sheet of paper: one line a step, nothing is counted down
    #[arg(long)]
    from_paper: bool,

    /// The code that is printed on the sheet
    #[arg(long, value_name = "CODE", requires = "from_paper", value_parser = paper::code)]
    code: Option<String>,

    /// Who did it, ids of people.yaml
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    by: Vec<String>,

    /// Who wrote it down, when that is not the first of --by
    #[arg(long, value_name = "ID")]
    recorded_by: Option<String>,

    /// When it was begun: 0642, 06:42, "2026-11-25 06:42", or with its offset
    #[arg(long, value_name = "TIME")]
    started: Option<String>,

    /// When it was finished [default: now]
    #[arg(long, value_name = "TIME")]
    finished: Option<String>,

    /// A file with answers, in the form of a draft; it may be partly filled
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,

    /// One answer: suction=pass, pipeline-pressure/oxygen="51 psi", battery="not done: REASON"
    #[arg(long = "set", value_name = "PLACE=ANSWER")]
    sets: Vec<String>,

    /// A remark on the whole check; never anything about a patient
    #[arg(long, value_name = "TEXT")]
    remarks: Option<String>,

    /// An emergency left no time: what was not answered and can wait is not done, for this reason
    #[arg(long, value_name = "REASON")]
    emergency: Option<String>,

    /// What is wrong, for the fault record of a check that fails
    #[arg(long, value_name = "TEXT")]
    fault_what: Option<String>,

    /// The fault withholds the machine from use
    #[arg(long, conflicts_with = "restrict")]
    withhold: bool,

    /// The fault restricts the machine's use, in these words
    #[arg(long, value_name = "TEXT", requires = "until", requires = "owner")]
    restrict: Option<String>,

    /// The last day of the restriction
    #[arg(long, value_name = "DATE", requires = "restrict")]
    until: Option<Date>,

    /// Who answers for the restriction
    #[arg(long, value_name = "ID", requires = "restrict")]
    owner: Option<String>,

    /// How to show problems and findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

impl Arguments {
    /// Returns what holds for the whole sheet; what was given of one day holds for no other.
    fn for_another_day(self) -> Arguments {
        Arguments {
            started: None,
            finished: None,
            answers: None,
            sets: Vec::new(),
            remarks: None,
            emergency: None,
            fault_what: None,
            withhold: false,
            restrict: None,
            until: None,
            owner: None,
            ..self
        }
    }
}

/// What came of one check.
enum Done {
    Recorded(Outcome),
    Stopped,
}

/// Runs the command.
pub fn run(context: &Context, mut arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut terminal = Terminal::of(context);
    let mut worst = Outcome::Clean;
    loop {
        let done = one(context, &arguments, terminal.as_mut())?;
        if matches!(done, Done::Recorded(Outcome::Problems)) {
            worst = Outcome::Problems;
        }
        let further = match (&mut terminal, done) {
            (Some(terminal), Done::Recorded(_)) if arguments.from_paper => at_terminal::another_day(terminal)?,
            _ => false,
        };
        if !further {
            return Ok(worst);
        }
        arguments = arguments.for_another_day();
    }
}

/// Does one check, from what is given to what is recorded.
fn one(context: &Context, arguments: &Arguments, mut terminal: Option<&mut Terminal<'_>>) -> anyhow::Result<Done> {
    let opened = asked::begin(context, &arguments.machine)?;
    let (answers, problems) = given::answers(context, arguments)?;
    let Some(work) = work::of(context, &opened, arguments, &answers.draft, terminal.as_deref_mut())? else {
        return Ok(Done::Stopped);
    };
    let steps = steps(&work.sheet);
    let given = given::all(context, &opened.contents, arguments, &answers, problems, &work, &steps)?;
    let given = match given {
        given::Given::Fits(given) => given,
        given::Given::Problems(located, wrong) => {
            let mut out = anstream::stdout().lock();
            show::diagnostics(&mut out, arguments.format, &located, &|_| Some(answers.text.clone()))?;
            for one in &wrong {
                show::tell(&mut out, arguments.format, one)?;
            }
            let problems = counted(located.len(), "problem");
            show::tell(&mut out, arguments.format, &format!("{problems} in {}; nothing was recorded", answers.shown))?;
            return Ok(Done::Recorded(Outcome::Problems));
        }
    };
    let mut draft = given.onto(Draft::default(), &work, &steps);
    let missing = work::missing(&draft, &work, &steps);
    let mut held = None;
    match terminal.as_deref_mut() {
        _ if missing.is_empty() => {}
        Some(terminal) => match at_terminal::ask(context, &opened, &work, &given, &steps, terminal)? {
            None => return Ok(Done::Stopped),
            Some((filled, kept)) => {
                draft = filled;
                held = Some(kept);
            }
        },
        None => return Err(tell_missing(&missing)?.into()),
    }
    let outcome = recording::record(context, &opened, &work, &draft, arguments, terminal)?;
    match (outcome, held) {
        (Some(outcome), held) => {
            if let Some(held) = held {
                held.done()?;
            }
            Ok(Done::Recorded(outcome))
        }
        (None, Some(held)) => {
            let mut out = anstream::stdout().lock();
            show::tell(
                &mut out,
                arguments.format,
                &format!("nothing is lost: the answers are kept in {}", held.shown()),
            )?;
            Ok(Done::Recorded(Outcome::Problems))
        }
        (None, None) => Ok(Done::Recorded(Outcome::Problems)),
    }
}

/// Lists what is missing, each with the option that gives it, and returns the failure.
fn tell_missing(missing: &[String]) -> anyhow::Result<Trouble> {
    let mut stderr = anstream::stderr().lock();
    writeln!(stderr, "nothing was recorded; this is missing:")?;
    for one in missing {
        writeln!(stderr, "  {one}")?;
    }
    Ok(Trouble::new(
        "there is no terminal to ask at, and not everything was given",
        "give what is missing as listed, or answers in a file with `--answers`",
    ))
}

/// Returns a time in the site's offset, as records hold it.
fn at_site(moment: Moment, work: &work::Work) -> Moment {
    moment.in_zone(work.site.time_zone)
}
