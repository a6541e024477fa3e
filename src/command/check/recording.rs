//! From a finished draft to commits: the check, and the fault that a failed step asks for, judged and committed together.

use super::work::Work;
use super::{Arguments, at_site};
use crate::bedside::Draft;
use crate::bedside::console::Console;
use crate::bedside::fault::{self, Found};
use crate::bedside::follow_up::{self, FollowUp};
use crate::bedside::outcome;
use crate::cli::Outcome;
use crate::command::Context;
use crate::command::filing::{Where, file_under};
use crate::command::opened::Opened;
use crate::command::show::tell;
use crate::command::terminal::Terminal;
use crate::command::written;
use crate::logbook;
use crate::procedure::{IfFailed, Outcome as CheckOutcome, judge_by};
use crate::record::{self, Body, Common, Fault, FoundDuring, Moment, Record, Use};
use std::sync::Arc;

/// Records a draft; nothing when the check itself was refused.
pub fn record(
    context: &Context,
    opened: &Opened,
    work: &Work,
    draft: &Draft,
    arguments: &Arguments,
    terminal: Option<&mut Terminal<'_>>,
) -> anyhow::Result<Option<Outcome>> {
    let now = at_site(context.clock(), work);
    let check = draft.record(&work.sheet, draft.started.unwrap_or(now), draft.finished.unwrap_or(now), now);
    let Body::Check(body) = &check.body else { return Ok(None) };
    let judgement = judge_by(body, &Arc::new(work.sheet.clone()));
    let text = record::write::text(&check)?;
    let path = match file_under(opened, &[], &check, &text, None) {
        Where::New(path) | Where::AlreadyThere(path) | Where::SameAs(path) => path,
    };
    let follow = follow_up::of(&judgement);
    let mut asked_in_vain = false;
    let fault = match &follow {
        None => None,
        Some(follow) if is_given(arguments, follow) => Some(given_fault(arguments, draft, work, (&path, now), follow)),
        Some(follow) => match terminal {
            None => None,
            Some(terminal) => {
                let fault = ask_fault(opened, work, draft, (&path, body.finished), follow, terminal)?;
                asked_in_vain = fault.is_none();
                fault
            }
        },
    };
    let now = at_site(context.clock(), work);
    let records: Vec<&Record> = std::iter::once(&check).chain(&fault).collect();
    let recorded = written::record(context, &records, now, arguments.format)?;
    let mut out = anstream::stdout().lock();
    if !recorded.holds("check") {
        tell(&mut out, arguments.format, "the check was refused and nothing was recorded")?;
        return Ok(None);
    }
    for line in in_the_end(&recorded.opened, work, &path, now) {
        tell(&mut out, arguments.format, &line)?;
    }
    if follow.is_some() && !recorded.holds("fault") {
        let word = match (&fault, asked_in_vain) {
            (Some(fault), _) => {
                format!("The fault record was refused; it is kept in {}", set_aside(opened, work, fault)?)
            }
            (None, true) => "No fault record was made".to_owned(),
            (None, false) => "No fault record was given".to_owned(),
        };
        tell(
            &mut out,
            arguments.format,
            &format!("{word}: `failed-check-without-fault` stays open until `pinindex fault {}`.", work.id),
        )?;
    }
    Ok(Some(recorded.outcome))
}

/// Keeps a fault record that was refused, and returns where: what was typed is not lost with it.
fn set_aside(opened: &Opened, work: &Work, fault: &Record) -> anyhow::Result<String> {
    let draft = logbook::Draft::take(&opened.root, &format!("{}.refused-fault", work.id))?;
    draft.keep(&record::write::text(fault)?)?;
    draft.put_aside()
}

fn ask_fault(
    opened: &Opened,
    work: &Work,
    draft: &Draft,
    (path, finished): (&str, Moment),
    follow: &FollowUp,
    console: &mut dyn Console,
) -> anyhow::Result<Option<Record>> {
    let found = Found {
        machine: work.id.clone(),
        by: draft.by.clone(),
        found: finished,
        check: Some(path.to_owned()),
        items: follow.items.clone(),
        what: follow.what.clone(),
        fails: follow.fails,
    };
    fault::ask(console, &opened.contents, &found)
}

/// Returns whether the options say enough for a fault record; what is wrong is enough where the machine is withheld.
fn is_given(arguments: &Arguments, follow: &FollowUp) -> bool {
    let told = arguments.fault_what.is_some() && follow.fails == IfFailed::Withhold;
    arguments.withhold || arguments.restrict.is_some() || told
}

/// Returns the fault record that the options describe.
fn given_fault(
    arguments: &Arguments,
    draft: &Draft,
    work: &Work,
    (path, now): (&str, Moment),
    follow: &FollowUp,
) -> Record {
    let restricted = arguments.restrict.clone().zip(arguments.until).zip(arguments.owner.clone());
    let usage = match restricted {
        Some(((restriction, until), owner)) => Use::Restricted { restriction, until, owner },
        None => Use::Withheld,
    };
    let common = Common {
        machine: work.id.clone(),
        recorded: now,
        by: draft.by.clone(),
        recorded_by: draft.recorded_by.clone(),
        corrects: None,
        remarks: None,
    };
    let found_during = FoundDuring { check: Some(path.to_owned()), items: follow.items.clone(), way: None };
    let what = arguments.fault_what.clone().unwrap_or_else(|| follow.what.clone());
    let found = draft.finished.unwrap_or(now);
    Record { common, body: Body::Fault(Fault { found, found_during, what, usage }) }
}

/// Returns what the check came to and what the records say of the machine now.
fn in_the_end(opened: &Opened, work: &Work, path: &str, now: Moment) -> Vec<String> {
    let Some(done) = opened.lives.get(&work.id).and_then(|life| life.check(path)) else { return Vec::new() };
    let mut lines = outcome::of_check(done, &work.id, "The check");
    let today = work.day == opened.contents.day(now);
    let passed = today && done.judgement.outcome == CheckOutcome::Passed;
    if today {
        lines.extend(outcome::state_now(&opened.contents, &opened.lives, &work.id, now, passed));
    }
    lines
}
