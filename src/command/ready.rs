//! `pinindex ready`: which machines the records call ready now, which not, and why.

use super::Context;
use super::opened::{Which, open};
use super::show::Lines;
use crate::cli::Outcome;
use crate::contents::{self, Contents};
use crate::diagnostic::{Severity, counted, one_line};
use crate::gas::cylinder::{Contents as CylinderContents, contents as cylinder_contents, lasts};
use crate::logbook::parse_record_path;
use crate::procedure::{Outcome as CheckOutcome, When};
use crate::record::result::Entry;
use crate::record::{Answer, Measure};
use crate::timeline::{CheckDone, Status, status};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use uom::si::time::minute;
use uom::si::volume::liter;

/// Say which machines the records call ready now, and why the others are not
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex ready\n  pinindex ready theatre-1 --format json\n\n\
    Ready means: in service, not withheld, no restriction past its day, and today's check passed.\n\
    It is what the records say. Whether a machine is used is for the clinician to decide.")]
pub struct Arguments {
    /// Only these machines
    machines: Vec<String>,

    /// How to show it
    #[arg(long, value_enum, default_value_t = Lines::Human)]
    format: Lines,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct Line {
    machine: String,
    name: String,
    pub(super) state: &'static str,
    pub(super) reasons: Vec<String>,
    pub(super) notes: Vec<String>,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut opened = open(context, Which::Committed)?;
    opened.tell_uncounted()?;
    opened.site()?;
    for machine in &arguments.machines {
        super::known_machine(&opened.contents, machine)?;
    }
    // A record with a fault could be the one that withholds a machine: it is told beside that machine.
    let mut unread: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for d in opened.diagnostics.iter().filter(|d| d.severity == Severity::Fault) {
        if let Some(name) = parse_record_path(&d.place.path) {
            unread.entry(name.machine).or_default().insert(d.place.path.clone());
        }
    }
    let left_out = opened.without_faulty();
    let mut lines = Vec::new();
    for (id, life) in &opened.lives {
        if !arguments.machines.is_empty() && !arguments.machines.contains(id) {
            continue;
        }
        let Some(status) = status(&opened.contents, life, context.now()) else { continue };
        lines.push(line(&opened.contents, id, &status, unread.get(id)));
    }
    lines.extend(
        unreadable_machines(&opened.contents)
            .filter(|line| arguments.machines.is_empty() || arguments.machines.contains(&line.machine)),
    );
    lines.sort_by(|a, b| a.machine.cmp(&b.machine));
    let mut out = anstream::stdout().lock();
    match arguments.format {
        Lines::Json => {
            for line in &lines {
                writeln!(out, "{}", serde_json::to_string(line)?)?;
            }
        }
        Lines::Human => write_lines(&mut out, context, &opened.contents, &lines)?,
    }
    let mut stderr = anstream::stderr().lock();
    for path in opened.contents.unreadable_ground() {
        let path = one_line(path);
        writeln!(stderr, "{path} has faults and was not read; `pinindex validate {path}` shows them")?;
    }
    if left_out.is_empty() {
        let solid = opened.contents.unreadable_ground().next().is_none();
        return Ok(if solid { Outcome::Clean } else { Outcome::Faults });
    }
    writeln!(stderr, "{} with faults left out; `pinindex validate` shows them", counted(left_out.len(), "record"))?;
    Ok(Outcome::Faults)
}

/// Returns a line for each machine whose own file could not be read: nothing can be said of it.
fn unreadable_machines(contents: &Contents) -> impl Iterator<Item = Line> {
    contents.unreadable_ground().filter_map(|path| {
        let id = path.strip_prefix("machines/")?.strip_suffix(".yaml").filter(|id| contents::is_id(id))?;
        Some(Line {
            machine: id.to_owned(),
            name: String::new(),
            state: "not ready",
            reasons: vec![format!("{path} has faults and was not read")],
            notes: Vec::new(),
        })
    })
}

fn write_lines(out: &mut dyn Write, context: &Context, contents: &Contents, lines: &[Line]) -> std::io::Result<()> {
    let now = contents.site.as_ref().map_or(context.now(), |site| context.now().in_zone(site.time_zone));
    writeln!(out, "What the records say at {}:", now.short())?;
    let width = lines.iter().map(|l| l.machine.chars().count()).max().unwrap_or(0);
    for line in lines {
        let state = line.state;
        writeln!(out, "\n  {:<width$}  {state:<10}  {}", line.machine, one_line(&line.name))?;
        for text in line.reasons.iter().chain(&line.notes) {
            writeln!(out, "  {:<width$}  - {}", "", one_line(text))?;
        }
    }
    writeln!(
        out,
        "\nA machine is not made safe by a record. The maker's instructions and the clinician's judgement come first."
    )
}

/// Returns what the records say of a machine at the moment of its status.
pub(super) fn line(contents: &Contents, id: &str, status: &Status, unread: Option<&BTreeSet<String>>) -> Line {
    let mut reasons = Vec::new();
    let mut notes = Vec::new();
    if !status.in_use {
        reasons.push("not among the machines in use today".to_owned());
    }
    for path in &status.withheld_by {
        let what = contents.record(path).map_or(String::new(), |filed| match &filed.record.body {
            crate::record::Body::Fault(fault) => format!(": {}", fault.what.trim()),
            _ => String::new(),
        });
        reasons.push(format!("withheld from use{what} ({path})"));
    }
    for restriction in &status.restricted_by {
        let text = format!("{} ({})", restriction.restriction.trim(), restriction.fault);
        if restriction.expired {
            reasons.push(format!("the restriction ended on {} and the fault is still open: {text}", restriction.until));
        } else {
            notes.push(format!("restricted until {}: {text}", restriction.until));
        }
    }
    match &status.todays_check {
        None => reasons.push("no check before the first case today".to_owned()),
        Some(check) => {
            check_words(contents, check, status, &mut reasons, &mut notes);
            notes.extend(spare_oxygen(contents, check));
        }
    }
    for check in &status.failed_since {
        check_words(contents, check, status, &mut reasons, &mut notes);
    }
    for path in unread.into_iter().flatten() {
        reasons.push(format!("a record of this machine has a fault and was not counted: {path}"));
    }
    if let Some(due) = status.service_due.filter(|_| status.service_overdue) {
        notes.push(format!("service was due on {due}"));
    }
    let ready = status.ready() && unread.is_none();
    let state = match (ready, status.restricted_by.is_empty()) {
        (true, true) => "ready",
        (true, false) => "restricted",
        (false, _) => "not ready",
    };
    let name = contents.machines.get(id).map_or(String::new(), |m| m.name.clone());
    Line { machine: id.to_owned(), name, state, reasons, notes }
}

fn check_words(
    contents: &Contents,
    check: &CheckDone,
    status: &Status,
    reasons: &mut Vec<String>,
    notes: &mut Vec<String>,
) {
    let zone = contents.site.as_ref().map(|site| site.time_zone);
    let at = zone.map_or(check.check.finished, |zone| check.check.finished.in_zone(zone));
    let at = at.0.format("%H:%M");
    let occasion = match check.when {
        When::FirstCase => "check",
        When::EachPatient => "check before a patient",
        When::AfterService => "complete check",
    };
    match check.judgement.outcome {
        CheckOutcome::Passed => notes.push(format!("{occasion} passed at {at}")),
        CheckOutcome::Incomplete => reasons.push(format!("{occasion} at {at} left items undone")),
        CheckOutcome::Failed => {
            let items: Vec<String> = check.judgement.failures().map(|f| f.title.to_owned()).collect();
            let text = format!("{occasion} at {at} failed: {}", items.join("; "));
            if status.restricted_by.is_empty() { reasons.push(text) } else { notes.push(text) }
        }
    }
}

/// Says how long the spare oxygen lasts at the site's planning flow, when the check read its gauge.
fn spare_oxygen(contents: &Contents, check: &CheckDone) -> Option<String> {
    let machine = contents.machine_on(&check.filed.record.common.machine, check.day)?;
    let cylinder = machine.cylinders.get("oxygen")?;
    let Some(Entry::One(result)) = check.check.results.get("spare-oxygen-cylinder") else { return None };
    let Answer::Reading(reading) = &result.answer else { return None };
    let Measure::GaugePressure(pressure) = reading.measure() else { return None };
    let volume = match cylinder_contents("oxygen", cylinder, pressure) {
        CylinderContents::Left(volume) => volume,
        CylinderContents::MoreThanFull => {
            return Some(format!("spare oxygen {reading}: more than a full cylinder shows; read the gauge again"));
        }
        CylinderContents::NotShownByGauge | CylinderContents::NotKnown => return None,
    };
    let litres = volume.get::<liter>();
    let flow = contents.site.as_ref()?.planning_flow.as_ref()?;
    let Measure::Flow(rate) = flow.measure() else { return None };
    let minutes = lasts(volume, rate)?.get::<minute>();
    // Rounded down: a reserve is never shown larger than it is.
    Some(format!(
        "spare oxygen {reading}: about {:.0} L, {:.0} min at {flow} ({})",
        litres.floor(),
        minutes.floor(),
        cylinder.source
    ))
}
