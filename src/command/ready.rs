//! `pinindex ready`: which machines the records call ready now, which not, and why.

use super::Context;
use super::opened::{Opened, Which, open};
use super::show::Lines;
use crate::bedside::readiness::{self, CAUTION, Readiness, Sentence, Uncounted};
use crate::cli::Outcome;
use crate::diagnostic::{Severity, counted, hidden, one_line};
use crate::logbook::parse_record_path;
use crate::record::Moment;
use crate::report::IN_NO_HISTORY;
use serde_json::json;
use std::io::Write;

/// Say which machines the records call ready now, and why the others are not
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex ready\n  pinindex ready theatre-1 --format json\n\n\
    Ready means: in use, not withheld, no restriction past its day, no failure that no fault record\n\
    answers for, and today's check passed, by the people its procedure asks for and with readings that\n\
    can be true.\n\
    It is what the records say. Whether a machine is used is for the clinician to decide.")]
pub struct Arguments {
    /// Only these machines
    machines: Vec<String>,

    /// How to show it
    #[arg(long, value_enum, default_value_t = Lines::Human)]
    format: Lines,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut opened = open(context, Which::Committed)?;
    opened.tell_uncounted()?;
    opened.site()?;
    for machine in &arguments.machines {
        super::known_machine(&opened.contents, machine)?;
    }
    let (mut machines, left_out) = readiness_of(&mut opened, context.now());
    machines.retain(|one| arguments.machines.is_empty() || arguments.machines.contains(&one.machine));
    let mut out = anstream::stdout().lock();
    match arguments.format {
        Lines::Json => {
            for one in &machines {
                writeln!(out, "{}", hidden::json(&as_json(one, opened.is_draft()).to_string()))?;
            }
        }
        Lines::Human => write_lines(&mut out, &opened, opened.at_site(context.now()), &machines)?,
    }
    let mut stderr = anstream::stderr().lock();
    for path in opened.contents.unreadable_ground() {
        let path = one_line(path);
        writeln!(stderr, "{path} has problems and was not read; `pinindex validate {path}` shows them")?;
    }
    if left_out == 0 {
        let solid = opened.contents.unreadable_ground().next().is_none();
        return Ok(if solid { Outcome::Clean } else { Outcome::Problems });
    }
    writeln!(stderr, "{} with problems left out; `pinindex validate` shows them", counted(left_out, "record"))?;
    Ok(Outcome::Problems)
}

/// Returns the readiness of every machine by the records without problems, and how many records were left out.
pub fn readiness_of(opened: &mut Opened, now: Moment) -> (Vec<Readiness>, usize) {
    let mut uncounted = Uncounted::new();
    for d in opened.diagnostics.iter().filter(|d| d.severity == Severity::Problem) {
        if let Some(name) = parse_record_path(&d.place.path) {
            uncounted.entry(name.machine).or_default().insert(d.place.path.clone());
        }
    }
    let left_out = opened.without_faulty().len();
    (readiness::of(&opened.contents, &opened.lives, now, &uncounted), left_out)
}

fn as_json(one: &Readiness, is_draft: bool) -> serde_json::Value {
    let texts = |said: &[Sentence]| said.iter().map(Sentence::to_string).collect::<Vec<_>>();
    json!({
        "machine": one.machine,
        "name": one.name,
        "state": one.state.words(),
        "reasons": texts(&one.reasons),
        "notes": texts(&one.notes),
        "draft": is_draft,
    })
}

fn write_lines(out: &mut dyn Write, opened: &Opened, now: Moment, machines: &[Readiness]) -> std::io::Result<()> {
    writeln!(out, "What the records say at {}:", now.short())?;
    if opened.is_draft() {
        writeln!(out, "{IN_NO_HISTORY}")?;
    }
    let width = machines.iter().map(|one| one.machine.chars().count()).max().unwrap_or(0);
    for one in machines {
        let state = one.state.words();
        writeln!(out, "\n  {:<width$}  {state:<10}  {}", one.machine, one_line(&one.name))?;
        for sentence in one.reasons.iter().chain(&one.notes) {
            writeln!(out, "  {:<width$}  - {}", "", one_line(&sentence.to_string()))?;
        }
    }
    writeln!(out, "\n{CAUTION}")
}
