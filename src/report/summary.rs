//! Page one: what the month was like, and what needs a decision.

use super::basis::Basis;
use super::cases;
use super::document::{Block, Column, Section, Table, Tile};
use super::expected::Expected;
use super::failures::Failures;
use super::returns::{self, Returns};
use crate::diagnostic::counted;
use crate::record::{Date, Use};
use crate::statistics::rounding::percent;
use crate::timeline::{Case, status};

/// Returns the section.
pub fn section(basis: &Basis<'_>, expected: &Expected, failures: &Failures, returned: &Returns) -> Section {
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
            counted(basis.left_out.len(), "record")
        )));
    }
    blocks.push(Block::Tiles(tiles(basis, expected, failures, returned)));
    blocks.push(Block::Heading("Needs a decision".to_owned()));
    let decisions = decisions(basis, expected);
    blocks.push(if decisions.is_empty() {
        Block::Paragraph("Nothing in the records of this period waits for a decision.".to_owned())
    } else {
        Block::List(decisions)
    });
    blocks.extend(found_faults(basis));
    blocks.push(machines(basis));
    Section { id: "summary".to_owned(), title: "Summary".to_owned(), blocks, new_page: false }
}

fn tiles(basis: &Basis<'_>, expected: &Expected, failures: &Failures, returned: &Returns) -> Vec<Tile> {
    let days = &expected.total;
    let found = cases::found(basis);
    let open = returns::open_cases(basis);
    let failed = failures.all;
    vec![
        Tile {
            label: "Checks before the first case".to_owned(),
            value: if expected.calendar {
                format!("{} of {}", days.done, days.expected)
            } else {
                "no calendar".to_owned()
            },
            detail: if expected.calendar {
                format!("{} missing, {} incomplete, {} late", days.missing.len(), days.incomplete.len(), days.late)
            } else {
                "how many were expected is unknown".to_owned()
            },
        },
        Tile {
            label: "Checks before use that failed".to_owned(),
            value: if failed.n == 0 { "no checks".to_owned() } else { format!("{} of {}", failed.k, failed.n) },
            detail: match failed.limits() {
                Some((lower, upper)) => {
                    format!("{} %, 95 % interval {lower} to {upper} %", percent(failed.k, failed.n, 1))
                }
                None => "no rate can be given".to_owned(),
            },
        },
        Tile {
            label: "Faults found".to_owned(),
            value: found.len().to_string(),
            detail: format!("{} open at the end, from this month or before", open.len()),
        },
        Tile {
            label: "Time to return to service".to_owned(),
            value: returns::median_words(returned),
            detail: format!(
                "estimated median {}, from {} released and {} open",
                match returned.since {
                    Some(since) => format!("since {since}"),
                    None => "over 12 months".to_owned(),
                },
                returned.released,
                returned.open
            ),
        },
    ]
}

/// A service that is due within this many days is told in time to plan it.
const DAYS_AHEAD: i64 = 30;

/// Returns what somebody has to decide or follow up, the most pressing first.
fn decisions(basis: &Basis<'_>, expected: &Expected) -> Vec<String> {
    let mut list = open_faults(basis);
    for (id, check) in cases::without_fault(basis) {
        list.push(format!(
            "{}: the check of {} failed and no fault was recorded for it",
            basis.machine(id),
            basis.clock(check.check.finished)
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
        list.push("Write a calendar for this year, so that the number of checks expected is known".to_owned());
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

fn short_dates<'a>(dates: impl Iterator<Item = &'a Date>) -> String {
    dates.map(|date| date.0.format("%-d %b").to_string()).collect::<Vec<_>>().join(", ")
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

/// The most faults that page one lists one by one; the section on faults tells all of them.
const LISTED: usize = 10;

fn found_faults(basis: &Basis<'_>) -> Option<Block> {
    let found = cases::found(basis);
    let caption = match found.len() {
        0 => return None,
        n if n > LISTED => format!("The first {LISTED} of {n} faults found in {}", basis.period.words()),
        _ => format!("Faults found in {}", basis.period.words()),
    };
    let row = |case: &&Case| {
        vec![
            basis.machine(&case.machine),
            basis.clock(case.found),
            case.what.trim().to_owned(),
            returns::released_after(basis, case),
        ]
    };
    Some(Block::Table(Table {
        caption,
        columns: vec![
            Column::left("Machine"),
            Column::left("Found"),
            Column::left("What"),
            Column::right("Released after"),
        ],
        rows: found.iter().take(LISTED).map(row).collect(),
        total: false,
    }))
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
