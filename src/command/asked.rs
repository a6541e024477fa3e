//! From an inquiry to one commit: what was given by flags, what is asked at the terminal, and what is said in the end.
//!
//! What was typed is kept in `drafts/` after each answer, so that a closed terminal costs nothing.

use super::Context;
use super::opened::{Opened, Which, open};
use super::record::no_history;
use super::resumed::{UNREADABLE, go_on, resume};
use super::show::{Format, tell};
use super::terminal::Terminal;
use super::written;
use crate::bedside::console::Console;
use crate::bedside::given::Given;
use crate::bedside::inquiry::{Inquiry, complete};
use crate::bedside::setting::Setting;
use crate::cli::Outcome;
use crate::diagnostic::counted;
use crate::logbook::{self, Draft, Trouble};
use crate::record::{Common, Record, write};
use crate::timeline::Life;
use std::io::Write;

/// What can be given for every record.
#[derive(clap::Args, Debug)]
pub struct Everywhere {
    /// Who did it, ids of people.yaml
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    by: Vec<String>,

    /// Who writes it down, when that is not the first of --by
    #[arg(long, value_name = "ID")]
    recorded_by: Option<String>,

    /// Anything else worth knowing; never a patient's name or number
    #[arg(long, value_name = "TEXT")]
    remarks: Option<String>,

    /// How to show problems and findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
}

impl Everywhere {
    /// Returns what was given, and how problems and findings are shown.
    pub fn given(self) -> (Given, Format) {
        let one = |text: Option<String>| text.into_iter().collect();
        (given([("by", self.by), ("recorded-by", one(self.recorded_by)), ("remarks", one(self.remarks))]), self.format)
    }
}

/// Under which name a draft holds the record that was made of its answers and is just being handed in.
const HANDED_IN: &str = "handed-in";
/// What a draft calls the moment of its last answer.
const KEPT: &str = "kept";

/// What came of asking for a record.
pub enum Came {
    /// The person stopped.
    Nothing,
    Refused(Outcome),
    Recorded(Outcome),
}

/// Returns the answers that flags gave; a flag without any was not given.
pub fn given(flags: impl IntoIterator<Item = (&'static str, Vec<String>)>) -> Given {
    let named = flags.into_iter().filter(|(_, answers)| !answers.is_empty());
    named.fold(Given::default(), |given, (flag, answers)| given.with(flag, answers))
}

/// Opens the logbook to record something of a machine.
pub fn begin(context: &Context, machine: &str) -> anyhow::Result<Opened> {
    let opened = ground(context)?;
    super::known_machine(&opened.contents, machine)?;
    Ok(opened)
}

/// Opens the logbook to record something.
pub fn ground(context: &Context) -> anyhow::Result<Opened> {
    let root = context.find_logbook()?;
    if !logbook::has_history(&root)? {
        return Err(no_history().into());
    }
    let opened = open(context, Which::Committed)?;
    opened.solid_ground()?;
    Ok(opened)
}

/// Asks for a record of one kind about a machine, and records it. The inquiry is made from what the history says of it.
pub fn of_machine(
    context: &Context,
    machine: &str,
    kind: &str,
    flags: Given,
    everywhere: Everywhere,
    inquiry: impl for<'a> FnOnce(Setting<'a>, &'a Life) -> anyhow::Result<Box<dyn Inquiry + 'a>>,
) -> anyhow::Result<Outcome> {
    let opened = begin(context, machine)?;
    let nothing_yet = Life::default();
    let life = opened.lives.get(machine).unwrap_or(&nothing_yet);
    let inquiry = inquiry(Setting { contents: &opened.contents, machine }, life)?;
    run(context, &opened, &*inquiry, flags, everywhere, &format!("{machine}.{kind}.record"))
}

/// Asks for what was not given, records it, and says what comes next. `name` is that of its draft.
pub fn run(
    context: &Context,
    opened: &Opened,
    inquiry: &dyn Inquiry,
    flags: Given,
    everywhere: Everywhere,
    name: &str,
) -> anyhow::Result<Outcome> {
    let (given, format) = everywhere.given();
    Ok(match record(context, opened, inquiry, flags.joined(given), format, name)? {
        Came::Nothing => Outcome::Clean,
        Came::Refused(outcome) | Came::Recorded(outcome) => outcome,
    })
}

/// Asks for what was not given, records it, and says what comes next.
pub fn record(
    context: &Context,
    opened: &Opened,
    inquiry: &dyn Inquiry,
    flags: Given,
    format: Format,
    name: &str,
) -> anyhow::Result<Came> {
    match (complete(inquiry, &flags, context.now()), Terminal::of(context)) {
        (Ok(answers), _) => {
            let record = inquiry.record(&answers, context.now());
            if let Some(path) = recorded_already(opened, &record) {
                // Whoever runs a command again may have seen it stopped; what that left is put in order in a turn.
                drop(super::turn(&opened.root)?);
                tell(&mut anstream::stdout().lock(), format, &format!("already recorded as {path}"))?;
                return Ok(Came::Nothing);
            }
            let recorded = written::record(context, &[&record], context.now(), format)?;
            if !recorded.holds(record.kind()) {
                return Ok(Came::Refused(recorded.outcome));
            }
            say_next(inquiry, &answers, format)?;
            Ok(Came::Recorded(recorded.outcome))
        }
        (Err(_), Some(mut terminal)) => at_terminal(opened, inquiry, flags, (&mut terminal, name), (context, format)),
        (Err(wrong), None) => Err(missing(&wrong)?.into()),
    }
}

/// Returns the path of a record that counts and says the same, whenever it was written down: the same command was run before,
/// perhaps without coming to its last word.
fn recorded_already(opened: &Opened, record: &Record) -> Option<String> {
    let same = |old: &Record| {
        let common = Common { recorded: record.common.recorded, ..old.common.clone() };
        common == record.common && old.body == record.body
    };
    opened.contents.counting().find(|filed| same(&filed.record)).map(|filed| filed.path.clone())
}

/// Lists what is missing on standard error, and returns the failure.
fn missing(wrong: &[String]) -> anyhow::Result<Trouble> {
    if let [only] = wrong
        && !only.starts_with("--")
    {
        let help = "give what was wrong with the options of this command, or run it at a terminal";
        return Ok(Trouble::new(format!("nothing was recorded: {only}"), help));
    }
    let mut stderr = anstream::stderr().lock();
    for line in wrong {
        writeln!(stderr, "{}", crate::diagnostic::visible(line))?;
    }
    let flags = counted(wrong.iter().filter(|line| line.starts_with("--")).count(), "answer");
    Ok(Trouble::new(
        format!("nothing was recorded: {flags} missing or not as they must be, and there is no terminal to ask at"),
        "give them with the flags named above, or run the same command at a terminal",
    ))
}

fn at_terminal(
    opened: &Opened,
    inquiry: &dyn Inquiry,
    flags: Given,
    (terminal, name): (&mut Terminal<'_>, &str),
    (context, format): (&Context, Format),
) -> anyhow::Result<Came> {
    let draft = Draft::take(&opened.root, name)?;
    let Some(kept) = kept(opened, terminal, &draft)? else {
        terminal.say("Stopped. Nothing was recorded; what was answered before is still kept.")?;
        return Ok(Came::Nothing);
    };
    let mut told = kept.joined(flags);
    let now = terminal.now();
    let keep = |given: &Given| draft.keep(&serde_yaml::to_string(&given.clone().with(KEPT, [now.to_string()]))?);
    loop {
        let mut latest = told.clone();
        let answers = inquiry.ask(terminal, told, &mut |given| {
            latest = given.clone();
            keep(given)
        })?;
        let Some(answers) = answers else {
            let kept = if latest.is_empty() { "" } else { " What was answered is kept for the next time." };
            terminal.say(&format!("Stopped. Nothing was recorded.{kept}"))?;
            return Ok(Came::Nothing);
        };
        let now = terminal.now();
        let record = inquiry.record(&answers, now);
        keep(&latest.clone().with(HANDED_IN, [write::text(&record)?]))?;
        let recorded = written::record(context, &[&record], now, format)?;
        if recorded.holds(record.kind()) {
            draft.done()?;
            say_next(inquiry, &answers, format)?;
            return Ok(Came::Recorded(recorded.outcome));
        }
        keep(&latest)?;
        terminal.say("It was refused, and nothing was recorded. Change what is wrong, or stop with q.")?;
        told = latest;
    }
}

/// Returns what was answered before and not recorded, when the person wants to go on with it, or no answers. Nothing when the
/// person stopped.
fn kept(opened: &Opened, terminal: &mut Terminal<'_>, draft: &Draft) -> anyhow::Result<Option<Given>> {
    let read = |bytes: &[u8]| {
        let text = std::str::from_utf8(bytes).map_err(|_| UNREADABLE)?;
        serde_yaml::from_str::<Given>(text).map_err(|_| UNREADABLE)
    };
    let recorded = |given: &Given| {
        let text = given.one(HANDED_IN)?.as_bytes();
        let mut records = opened.contents.records.iter().map(|filed| &filed.path);
        records.find(|path| opened.snapshot.bytes(path) == Some(text)).cloned()
    };
    let Some(mut given) = resume(terminal, draft, read, recorded)? else { return Ok(Some(Given::default())) };
    let since = given.moment(KEPT);
    given.forget(HANDED_IN);
    given.forget(KEPT);
    terminal.say("")?;
    let when = since.map_or(String::new(), |since| format!(", kept {}", opened.at_site(since).short()));
    terminal.say(&format!("What was answered before and not recorded is still here{when}."))?;
    go_on(terminal, draft, given, since)
}

/// Says what comes next.
fn say_next(inquiry: &dyn Inquiry, answers: &Given, format: Format) -> anyhow::Result<()> {
    let mut out = anstream::stdout().lock();
    for line in inquiry.next(answers) {
        tell(&mut out, format, &line)?;
    }
    Ok(())
}
