//! The files of the demo that are no records: the site, the people, the machines, the procedures, the calendars, a README.
//!
//! The procedures are the shipped ones with other days of coming into force; everything else is written from the same
//! types that read it.

use super::Settings;
use super::calendar::calendars;
use super::clock::{ZONE, days_later};
use super::machines::{Unit, quantity};
use super::people;
use super::planted::Planted;
use crate::register::Site;
use crate::register::site::{Paper, ReportSettings};
use chrono::NaiveDate;
use serde::Serialize;

/// The shipped procedures: path in a logbook, text, and whether it comes into force only half-way.
const PROCEDURES: [(&str, &str, bool); 4] = [
    ("procedures/daily/1.yaml", include_str!("../../records-example/procedures/daily/1.yaml"), false),
    ("procedures/daily/2.yaml", include_str!("../../records-example/procedures/daily/2.yaml"), true),
    ("procedures/each-patient/1.yaml", include_str!("../../records-example/procedures/each-patient/1.yaml"), false),
    ("procedures/complete/1.yaml", include_str!("../../records-example/procedures/complete/1.yaml"), false),
];

/// Returns paths and texts.
pub fn files(settings: &Settings, planted: &Planted, units: &[Unit]) -> Vec<(String, String)> {
    let (first, last) = (planted.first_day.0, settings.last_day.0);
    let mut files = vec![
        ("README.md".to_owned(), readme(settings, planted)),
        ("site.yaml".to_owned(), yaml("An invented hospital: nobody and nothing in this logbook is real.", &site())),
        (
            "people.yaml".to_owned(),
            yaml(
                "Nobody is taken off this list, because old records name them. Who leaves gets an `until`.",
                &people::all(settings.machines, first, last),
            ),
        ),
    ];
    for unit in units {
        let about = if unit.machine.spare { "A spare: its records follow the machine, not the room." } else { "" };
        files.push((format!("machines/{}.yaml", unit.id), yaml(about, &unit.machine)));
    }
    for (path, text, later) in PROCEDURES {
        let day = if later { planted.new_revision.0 } else { days_later(first, -30) };
        files.push((path.to_owned(), in_force_from(text, day)));
    }
    for calendar in calendars(settings.seed, units, first, last) {
        let about = "The days on which each machine is expected in use: missing checks are counted from this.";
        files.push((format!("calendar/{}.yaml", calendar.year), yaml(about, &calendar)));
    }
    files
}

fn site() -> Site {
    Site {
        call_on_failure: Some("Clinical engineering, extension 4410, day and night".to_owned()),
        name: "Sankt Orlan Hospital".to_owned(),
        time_zone: ZONE,
        late_after: quantity(12, "h"),
        planning_flow: Some(quantity(2, "L/min")),
        barometric_pressure: Some(super::machines::scaled(962, 1, "kPa absolute")),
        return_to_service_target: Some(quantity(72, "h")),
        report: ReportSettings {
            prepared_for: Some("Equipment committee".to_owned()),
            standards: vec![
                "Equipment policy of the hospital, edition 3".to_owned(),
                "ANSI/AAMI EQ56:2024, as guidance".to_owned(),
            ],
            paper: Paper::default(),
            signatures: vec!["Responsible anaesthetist".to_owned(), "Clinical engineer".to_owned()],
        },
    }
}

/// Returns a value as YAML below a line that says what it is.
fn yaml(about: &str, value: &impl Serialize) -> String {
    let text = serde_yaml::to_string(value).expect("the demo's own values have text keys and plain values");
    if about.is_empty() { text } else { format!("# {about}\n{text}") }
}

/// Returns a procedure with another day of coming into force.
fn in_force_from(text: &str, day: NaiveDate) -> String {
    let line = |line: &str| match line.strip_prefix("in-force-from:") {
        Some(_) => format!("in-force-from: {day}\n"),
        None => format!("{line}\n"),
    };
    text.lines().map(line).collect()
}

fn readme(settings: &Settings, planted: &Planted) -> String {
    let mut text = format!(
        "# An invented logbook\n\n\
        {machines} machine(s), from {first} to the morning of {last}. The hospital, its people and its machines are \
        invented; nothing here says anything about real machines. It is no example of how a machine should be checked: \
        the maker's instructions, local policy and licensed staff decide that. No patient data stand in it.\n\n\
        ## What was put in on purpose\n\n\
        So that whoever looks for patterns knows what is there to be found:\n\n",
        machines = settings.machines,
        first = planted.first_day,
        last = settings.last_day,
    );
    for line in told(planted) {
        text.push_str(&format!("- {line}\n"));
    }
    text.push_str("\nEverything else is chance.\n");
    text
}

fn told(planted: &Planted) -> Vec<String> {
    let (machine, item, since) = &planted.drift;
    let mut lines = vec![
        format!("drift: `{item}` of `{machine}` falls by about 1.6 % in a year; its oxygen cell was new on {since}"),
        format!(
            "worst machine: items of `{}` fail about three times as often as those of others",
            planted.worst_machine
        ),
        format!("worsening month: more failures than usual in the month from {}", planted.worsening_month),
        format!("missed checks: more of `{}` than of others, and more on Mondays", planted.often_missed),
        format!(
            "overdue instrument: one service was measured with `{}` out of calibration",
            planted.instrument_overdue
        ),
        format!("wrong revision: one check on {} still follows the first revision", planted.new_revision),
    ];
    if let Some(copied) = &planted.copied {
        lines.push(format!(
            "copied readings: `{}` writes the same numbers for `{}` from {} to {}",
            copied.person, copied.machine, copied.from, copied.until
        ));
    }
    if let Some((machine, item, day)) = &planted.repeat {
        lines
            .push(format!("repeat failure: `{item}` of `{machine}`, not found again after {day}, back within 30 days"));
    }
    if let Some(machine) = &planted.open_fault {
        lines.push(format!("open fault: `{machine}` is withheld on the last day, waiting for a part"));
    }
    if let Some(machine) = &planted.open_restriction {
        lines.push(format!("open restriction: `{machine}` is restricted until two days after the last day"));
    }
    if let Some((machine, day)) = &planted.expired_restriction {
        lines.push(format!("expired restriction: that of `{machine}` ended on {day}, days before it was released"));
    }
    if let Some(machine) = &planted.service_overdue {
        lines.push(format!("overdue service: that of `{machine}`"));
    }
    lines
}
