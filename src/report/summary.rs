//! Page one: what the month was like, and what needs a decision.

use super::basis::{Basis, IN_NO_HISTORY};
use super::decisions;
use super::document::{Block, Column, Section, Table, Tile};
use super::drift::Drifts;
use super::expected::Expected;
use super::failures::Failures;
use super::machines::Comparison;
use super::repeats::Repeats;
use super::returns::{self, Returns};
use super::signals::{Signals, Test};
use super::tally::Counts;
use crate::record::Date;
use crate::register::site::Paper;
use crate::timeline::{Status, status};

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

/// The letters of a printed line, and how many lines page one has room for below its picture: a list, and the machines'
/// states when both fit.
const LETTERS: usize = 95;
const LINES: usize = 22;

/// The lines that a sheet of US letter has fewer than one of A4.
const FEWER_ON_LETTER: usize = 4;

/// Returns the section, and one for the machines' states when they have no room on page one.
pub fn sections(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<Section> {
    let mut blocks = Vec::new();
    if let Some(reader) = &basis.site.report.prepared_for {
        blocks.push(Block::Paragraph(format!("Prepared for: {reader}.")));
    }
    if basis.built_from.is_none() {
        blocks.push(Block::Notice(IN_NO_HISTORY.to_owned()));
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
            "{} with problems left out of every figure; see the section on corrections and records left out.",
            crate::diagnostic::counted(basis.left_out.len(), "record")
        )));
    }
    blocks.push(Block::Tiles(tiles(basis, counted)));
    blocks.push(super::strip::strip(basis, &counted.signals));
    blocks.push(Block::Heading("Needs a decision".to_owned()));
    let sheet = match basis.site.report.paper {
        Paper::A4 => LINES,
        Paper::UsLetter => LINES - FEWER_ON_LETTER,
    };
    let room = sheet - 2 * blocks.iter().filter(|block| matches!(block, Block::Notice(_))).count();
    let (decisions, used) = fitting(decisions::decisions(basis, counted), room);
    blocks.push(if decisions.is_empty() {
        Block::Paragraph("Nothing in the records of this period waits for a decision.".to_owned())
    } else {
        Block::List(decisions)
    });
    let machines = machines(basis);
    // A row and its line take more than a line of text; the caption and the heads stand above them.
    let rows = 3 + basis.machines().count() * 13 / 10;
    let apart = used + rows > room;
    if !apart {
        blocks.push(machines.clone());
    }
    blocks.push(Block::Paragraph(format!("Ranges in brackets are 95 % intervals. {}", false_alarms(counted))));
    let mut sections = vec![Section { id: "summary".to_owned(), title: "Summary".to_owned(), blocks, new_page: false }];
    if apart {
        let title = "State of every machine".to_owned();
        sections.push(Section { id: "states".to_owned(), title, blocks: vec![machines], new_page: true });
    }
    sections
}

/// Returns the lines that fit into the room, the first ones first, with one that says how many do not; and the room used.
fn fitting(mut lines: Vec<String>, room: usize) -> (Vec<String>, usize) {
    let printed = |line: &String| line.chars().count() / LETTERS + 1;
    let all = lines.len();
    let mut used = 0;
    let fit = lines.iter().take_while(|line| {
        used += printed(line);
        used <= room
    });
    let fit = fit.count();
    if fit < all {
        lines.truncate(fit.saturating_sub(1));
        lines.push(format!("See the sections that follow for {} more", all - lines.len()));
    }
    let used = lines.iter().map(printed).sum();
    (lines, used)
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
                "no check on record".to_owned()
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
