//! Page one: what the month was like, and what needs a decision.

use super::basis::Basis;
use super::cases;
use super::document::{Block, Column, Section, Table, Tile};
use super::drift::Drifts;
use super::expected::Expected;
use super::failures::Failures;
use super::machines::Comparison;
use super::repeats::Repeats;
use super::returns::{self, Returns};
use super::signals::{Signals, Test};
use super::tally::Counts;
use crate::record::{Date, Use};
use crate::timeline::{Case, Status, status};

/// Everything page one speaks of.
pub struct Counted<'a> {
    pub expected: Expected,
    pub failures: Failures,
    pub faults: Counts,
    pub returned: Returns,
    pub signals: Signals,
    pub comparison: Option<Comparison>,
    pub repeats: Repeats<'a>,
    pub drifts: Drifts<'a>,
}

/// The most lines of what needs a decision; the rest stands in the sections.
const DECISIONS: usize = 12;

/// The most machines whose states stand on page one.
const MACHINES: usize = 8;

/// Returns the section.
pub fn section(basis: &Basis<'_>, counted: &Counted<'_>) -> Section {
    let mut blocks = Vec::new();
    if let Some(reader) = &basis.site.report.prepared_for {
        blocks.push(Block::Paragraph(format!("Prepared for: {reader}.")));
    }
    if basis.built_from.is_none() {
        blocks.push(Block::Notice(
            "Draft: these files are in no git history, so nothing shows whether they were changed.".to_owned(),
        ));
    }
    if !basis.period_is_over() {
        blocks.push(Block::Notice(format!(
            "The records end at {}; {} is not over.",
            basis.clock(basis.as_of),
            basis.period.words()
        )));
    }
    if !basis.left_out.is_empty() {
        blocks.push(Block::Notice(format!(
            "{} with faults left out of every figure; see the section on corrections and records left out.",
            crate::diagnostic::counted(basis.left_out.len(), "record")
        )));
    }
    blocks.push(Block::Tiles(tiles(basis, counted)));
    blocks.push(super::signals::strip(basis, &counted.signals));
    blocks.push(Block::Heading("Needs a decision".to_owned()));
    let mut decisions = decisions(basis, counted);
    let more = decisions.len().saturating_sub(DECISIONS);
    if more > 0 {
        decisions.truncate(DECISIONS - 1);
        decisions.push(format!("and {} more, in the sections that follow", more + 1));
    }
    blocks.push(if decisions.is_empty() {
        Block::Paragraph("Nothing in the records of this period waits for a decision.".to_owned())
    } else {
        Block::List(decisions)
    });
    if basis.machines().count() <= MACHINES {
        blocks.push(machines(basis));
    }
    blocks.push(Block::Paragraph(format!("Ranges in brackets are 95 % intervals. {}", false_alarms(counted))));
    Section { id: "summary".to_owned(), title: "Summary".to_owned(), blocks, new_page: false }
}

/// Returns the states of the machines as a section of their own, when they are too many for page one.
pub fn many_machines(basis: &Basis<'_>) -> Option<Section> {
    (basis.machines().count() > MACHINES).then(|| Section {
        id: "states".to_owned(),
        title: "State of every machine".to_owned(),
        blocks: vec![machines(basis)],
        new_page: true,
    })
}

/// Returns how many tests the report ran and how many false alarms they give when nothing has changed.
fn false_alarms(counted: &Counted<'_>) -> String {
    let families = counted.tests();
    // Rounded up, past the noise of the sum: "at most" stays true.
    let expected = (families.iter().map(|test| test.false_alarm).sum::<f64>() * 100.0 - 1e-9).ceil() / 100.0;
    match families.iter().map(|test| test.runs).sum() {
        0 => "No test was run for this report: there is too little data for any.".to_owned(),
        n => format!(
            "{} run for this report: {}. If nothing had changed, {expected:.2} false alarms would be expected in it, at most.",
            if n == 1 { "One test was".to_owned() } else { format!("{n} tests were") },
            families.iter().map(|test| test.what.as_str()).collect::<Vec<_>>().join("; ")
        ),
    }
}

impl Counted<'_> {
    /// Returns every test that was run.
    fn tests(&self) -> Vec<Test> {
        let machines = self.comparison.iter().flat_map(|comparison| &comparison.tests);
        self.signals.tests.iter().chain(machines).cloned().chain(self.drifts.test()).collect()
    }
}

fn tiles(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<Tile> {
    let days = &counted.expected.total;
    let failed = counted.failures.all;
    let states: Vec<(String, &'static str)> = basis
        .machines()
        .filter(|(_, machine, _)| machine.in_use_on(basis.day(basis.last_moment())))
        .filter_map(|(id, _, life)| {
            Some((basis.machine(id), state(&status(basis.contents, life, basis.last_moment())?)))
        })
        .collect();
    let away: Vec<String> = states
        .iter()
        .filter(|(_, state)| *state != IN_SERVICE)
        .map(|(name, state)| format!("{name} {state}"))
        .collect();
    vec![
        Tile {
            label: "Machines in service".to_owned(),
            value: format!("{} of {}", states.len() - away.len(), states.len()),
            detail: format!(
                "as of {}{}",
                basis.clock(basis.as_of),
                if away.is_empty() { String::new() } else { format!(": {}", away.join(", ")) }
            ),
        },
        Tile {
            label: "Checks before the first case".to_owned(),
            value: if counted.expected.calendar {
                format!("{} of {}", days.done, days.expected)
            } else {
                "no calendar".to_owned()
            },
            detail: if counted.expected.calendar {
                format!("{} missing, {} incomplete, {} late", days.missing.len(), days.incomplete.len(), days.late)
            } else {
                "how many were expected is unknown".to_owned()
            },
        },
        Tile {
            label: "Faults found".to_owned(),
            value: counted.faults.faults.to_string(),
            detail: format!(
                "{}; {}",
                match counted.faults.rated.map(|rated| (rated, rated.limits())) {
                    Some((rated, Some((lower, upper)))) => {
                        format!("{} per 1000 machine-days ({lower} to {upper})", rated.rate())
                    }
                    Some((_, None)) => "too few machine-days for a rate".to_owned(),
                    None => "no rate without a calendar".to_owned(),
                },
                match failed.limits() {
                    Some((lower, upper)) => {
                        format!("{} of {} checks failed ({lower} to {upper} %)", failed.k, failed.n)
                    }
                    None => "no checks".to_owned(),
                }
            ),
        },
        Tile {
            label: "Time to return to service".to_owned(),
            value: returns::median_words(&counted.returned),
            detail: returns::median_detail(&counted.returned),
        },
    ]
}

const IN_SERVICE: &str = "in service";

/// Returns what a machine may be used for, in a word or two.
fn state(status: &Status) -> &'static str {
    if !status.withheld_by.is_empty() {
        "withheld"
    } else if status.restricted_by.iter().any(|restriction| restriction.expired) {
        "past its restriction"
    } else {
        IN_SERVICE
    }
}

/// A service that is due within this many days is told in time to plan it.
const DAYS_AHEAD: i64 = 30;

/// Returns what somebody has to decide or follow up, the most pressing first.
fn decisions(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<String> {
    let expected = &counted.expected;
    let mut list = open_faults(basis);
    for (id, check) in cases::without_fault(basis) {
        list.push(format!(
            "{}: the check of {} failed and no fault was recorded for it",
            basis.machine(id),
            basis.clock(check.check.finished)
        ));
    }
    if counted.signals.against_before.signals() {
        list.push("New faults differ from before, see above: look for a common cause".to_owned());
    }
    if let Some(compared) = counted.signals.three_months.as_ref().filter(|compared| compared.signals()) {
        list.push(compared.sentence());
    }
    if let Some(last) = counted.signals.last_faults.as_ref().filter(|last| last.signals(basis.period)) {
        list.push(format!(
            "Three faults within {}, faster than before",
            crate::diagnostic::counted(last.machine_days as usize, "machine-day")
        ));
    }
    for machine in counted.comparison.iter().flat_map(|comparison| &comparison.machines) {
        if machine.signals() && machine.ratio.is_none_or(|ratio| ratio > 1.0) {
            list.push(format!(
                "{}: more faults than the other machines, {}",
                basis.machine(&machine.machine),
                machine.times()
            ));
        }
    }
    for (case, later) in counted.repeats.pairs.iter().filter(|(_, later)| basis.in_period(later.found)) {
        list.push(format!(
            "{}: a fault came back within {} days of its release ({}; again {})",
            basis.machine(&case.machine),
            super::repeats::DAYS_WATCHED,
            case.what.trim(),
            basis.day(later.found)
        ));
    }
    for drift in counted.drifts.dated(basis) {
        list.push(format!(
            "{}: {} reaches its limit not before {}, about {}, if it goes on as before",
            basis.machine(&drift.machine),
            lower_first(&basis.item(&drift.place)),
            drift.earliest,
            drift.estimate
        ));
    }
    let today = basis.day(basis.as_of);
    for (id, _, life) in basis.machines() {
        let Some(due) = life.service_due(basis.last_moment()) else { continue };
        if due < today {
            list.push(format!("{}: service was due on {due}", basis.machine(id)));
        } else if due.0.signed_duration_since(today.0).num_days() <= DAYS_AHEAD {
            list.push(format!("{}: service is due on {due}", basis.machine(id)));
        }
    }
    if !expected.calendar {
        list.push(
            "Write a calendar for every year of the period, so that the number of checks expected is known".to_owned(),
        );
    }
    for days in &expected.machines {
        if expected.calendar && !days.known {
            list.push(format!(
                "{} is not in the calendar: how many checks were expected is unknown",
                basis.machine(&days.machine)
            ));
        }
        if !days.missing.is_empty() {
            list.push(format!("{}: no check on {}", basis.machine(&days.machine), short_dates(days.missing.iter())));
        }
        if !days.incomplete.is_empty() {
            let dates = short_dates(days.incomplete.iter().map(|left| &left.date));
            list.push(format!("{}: incomplete check on {dates}", basis.machine(&days.machine)));
        }
    }
    list
}

/// Returns a title for the middle of a sentence; one that begins with an abbreviation stays as it is.
fn lower_first(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => title.to_owned(),
    }
}

/// The most days that a line of page one names; a section names them all.
const DAYS: usize = 6;

/// Returns days for a line: each of a few, else how many and the last of them.
fn short_dates<'a>(dates: impl Iterator<Item = &'a Date>) -> String {
    let dates: Vec<String> = dates.map(|date| date.0.format("%-d %b").to_string()).collect();
    match dates.last() {
        Some(last) if dates.len() > DAYS => format!("{} days, the last of them {last}", dates.len()),
        _ => dates.join(", "),
    }
}

/// Returns the faults open at the end: first those that are open still, then those that were released after it.
fn open_faults(basis: &Basis<'_>) -> Vec<String> {
    let (later, still): (Vec<&Case>, Vec<&Case>) =
        returns::open_cases(basis).into_iter().partition(|case| case.released.is_some());
    let usage = |case: &Case| match &case.usage {
        Use::Withheld => "withheld".to_owned(),
        Use::Restricted { until, .. } if *until < basis.day(basis.as_of) => {
            format!("restricted, and the restriction ended on {until}")
        }
        Use::Restricted { until, .. } => format!("restricted until {until}"),
    };
    let mut list: Vec<String> = still
        .into_iter()
        .map(|case| {
            format!(
                "{} is {}: {} (open for {})",
                basis.machine(&case.machine),
                usage(case),
                case.what.trim(),
                basis.open_for(case)
            )
        })
        .collect();
    for case in later {
        let Some(released) = &case.released else { continue };
        let (what_then, ended) = match &case.usage {
            Use::Withheld => ("withheld", "released"),
            Use::Restricted { .. } => ("restricted", "restriction lifted"),
        };
        list.push(format!(
            "{} was {what_then} {}: {}; {ended} {}, after it",
            basis.machine(&case.machine),
            basis.at_the_end(),
            case.what.trim(),
            basis.day(released.released)
        ));
    }
    list
}

fn machines(basis: &Basis<'_>) -> Block {
    let today = basis.day(basis.as_of);
    let rows = basis
        .machines()
        .filter_map(|(id, machine, life)| {
            let status = status(basis.contents, life, basis.last_moment())?;
            let last = life.checks.iter().rev().find(|c| c.check.finished <= basis.last_moment());
            // A restriction that has ended asks for more than one in force.
            let restricted = status.restricted_by.iter().map(|restriction| restriction.until).min();
            let retired = machine.in_use.until.filter(|until| *until < today);
            let state = if let Some(after) = retired.and_then(|until| until.0.succ_opt()) {
                format!("not in use since {}", Date(after))
            } else if !status.withheld_by.is_empty() {
                "withheld".to_owned()
            } else if let Some(until) = restricted {
                if until < today { format!("restriction ended {until}") } else { format!("restricted until {until}") }
            } else if last.is_none() {
                "no fault on record".to_owned()
            } else {
                "in service".to_owned()
            };
            Some(vec![
                basis.machine(id),
                machine.asset.clone(),
                state,
                last.map_or("none".to_owned(), |c| basis.clock(c.check.finished)),
                status.service_due.map_or("not recorded".to_owned(), |due| due.to_string()),
            ])
        })
        .collect();
    Block::Table(Table {
        caption: format!("Machines as of {}", basis.clock(basis.as_of)),
        columns: ["Machine", "Asset", "State", "Last check", "Service due"].map(Column::left).to_vec(),
        rows,
        total: false,
    })
}
