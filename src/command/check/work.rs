//! What is to be checked: the machine, the day, the procedure in force, and the sheet they make.

use super::Arguments;
use crate::bedside::console::{Console, Key};
use crate::bedside::guided::paper;
use crate::bedside::{Draft, Step, clock_time, form_code, named};
use crate::command::Context;
use crate::command::opened::Opened;
use crate::command::procedure_in_force;
use crate::command::terminal::Terminal;
use crate::logbook::Trouble;
use crate::procedure::{Procedure, Sheet, When};
use crate::record::Date;
use crate::register::{Machine, Site};
use crate::timeline::{self, Status};

/// One check that is to be done, or was done on paper.
pub struct Work {
    pub id: String,
    pub day: Date,
    pub site: Site,
    /// The machine as it is on that day.
    pub machine: Machine,
    pub procedure: Procedure,
    pub sheet: Sheet,
    /// The code that a form for it has now.
    pub code: String,
    pub from_paper: bool,
}

/// Finds out what is to be checked; nothing when the person stopped.
pub fn of(
    context: &Context,
    opened: &Opened,
    arguments: &Arguments,
    answers: &Draft,
    mut terminal: Option<&mut Terminal<'_>>,
) -> anyhow::Result<Option<Work>> {
    let contents = &opened.contents;
    let site = opened.site()?.clone();
    let today = contents.day(context.clock());
    if let Some(other) = answers.machine.as_ref().filter(|machine| **machine != arguments.machine) {
        return Err(Trouble::new(
            format!("the file with answers is about `{other}`, not about `{}`", arguments.machine),
            "name the machine that was checked",
        )
        .into());
    }
    let time = |text: &String| clock_time::moment(text, today, site.time_zone).ok();
    let given = arguments.finished.as_ref().or(arguments.started.as_ref()).and_then(time);
    let given = given.or(answers.finished).or(answers.started).map(|moment| contents.day(moment));
    let day = match (given, terminal.as_deref_mut()) {
        (Some(day), _) => day,
        (None, Some(terminal)) if arguments.from_paper => match paper::day(terminal, today)? {
            Some(day) => day,
            None => return Ok(None),
        },
        _ => today,
    };
    let named = arguments.procedure.as_ref().or(answers.procedure.as_ref());
    let revision = arguments.revision.or(answers.revision.filter(|_| named.is_some()));
    let procedure = match (named, revision) {
        (Some(id), Some(revision)) => contents.procedures.get(&(id.clone(), revision)).ok_or_else(|| {
            Trouble::new(format!("there is no revision {revision} of `{id}`"), "write the revision that was followed")
        })?,
        (Some(id), None) => procedure_in_force(contents, Some(id), day)?,
        (None, _) => match usual(context, opened, arguments, day, terminal)? {
            Some(procedure) => procedure,
            None => return Ok(None),
        },
    };
    let machine = contents.machine_on(&arguments.machine, day).cloned().ok_or_else(|| {
        Trouble::new(format!("there is no machine `{}`", arguments.machine), "look at the folder machines/")
    })?;
    let sheet = Sheet::of(procedure, &machine);
    let code = form_code::of(procedure, &arguments.machine, &sheet);
    Ok(Some(Work {
        id: arguments.machine.clone(),
        day,
        site,
        machine,
        procedure: procedure.clone(),
        sheet,
        code,
        from_paper: arguments.from_paper,
    }))
}

/// Returns the procedure for the first case of the day; when it passed today already, the person is asked which one.
fn usual<'a>(
    context: &Context,
    opened: &'a Opened,
    arguments: &Arguments,
    day: Date,
    terminal: Option<&mut Terminal<'_>>,
) -> anyhow::Result<Option<&'a Procedure>> {
    let contents = &opened.contents;
    let first = procedure_in_force(contents, None, day)?;
    // Answers that were given are meant for one procedure, and nobody is asked for another one.
    let given = arguments.from_paper || arguments.answers.is_some() || !arguments.sets.is_empty();
    let Some(terminal) = terminal.filter(|_| !given) else { return Ok(Some(first)) };
    let status = opened.lives.get(&arguments.machine);
    let status = status.and_then(|life| timeline::status(contents, life, context.clock()));
    let (Some(passed), Some(patient)) =
        (status.as_ref().and_then(Status::passed_today), contents.in_force_when(When::EachPatient, day))
    else {
        return Ok(Some(first));
    };
    let at = opened.site()?.time_zone;
    let at = passed.check.finished.in_zone(at).0.format("%H:%M");
    terminal.say(&format!("Today's check passed at {at}: {} ({}).", passed.check.procedure, passed.path()))?;
    let prompt = format!("Enter {}  a {} once more  q stop", patient.title, first.title);
    Ok(match terminal.key(&prompt, &['a', 'q'])? {
        Key::Enter => Some(patient),
        Key::Char('a') => Some(first),
        Key::Char(_) | Key::Escape | Key::Stop => None,
    })
}

/// Returns everything that a draft lacks to become a record, each as the option that gives it.
pub fn missing(draft: &Draft, work: &Work, steps: &[Step<'_>]) -> Vec<String> {
    let mut missing = Vec::new();
    if draft.by.is_empty() {
        missing.push("--by ID,ID".to_owned());
    }
    if draft.started.is_none() {
        missing.push("--started TIME".to_owned());
    }
    if work.from_paper && draft.finished.is_none() {
        missing.push("--finished TIME".to_owned());
    }
    if work.from_paper && draft.form.is_none() {
        missing.push("--code CODE, as it is printed on the sheet".to_owned());
    }
    let open = steps.iter().filter(|step| draft.lacks(step));
    missing.extend(open.map(|step| format!("--set {}", quoted(&named::example(step)))));
    missing
}

fn quoted(option: &str) -> String {
    match option.split_once('=') {
        Some((place, answer)) if answer.contains([' ', '|']) => format!("{place}=\"{answer}\""),
        _ => option.to_owned(),
    }
}
