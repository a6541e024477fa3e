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
use crate::register::site::Paper;
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
    let sheet = match basis.site.report.paper {
        Paper::A4 => LINES,
        Paper::UsLetter => LINES - FEWER_ON_LETTER,
    };
    let room = sheet - 2 * blocks.iter().filter(|block| matches!(block, Block::Notice(_))).count();
    let (decisions, used) = fitting(decisions(basis, counted), room);
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

/// A service that is due within this many days is told in time to plan it.
const DAYS_AHEAD: i64 = 30;

/// Returns what somebody has to decide or follow up, the most pressing first. Each line begins with what to do.
fn decisions(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<String> {
    let (still, closed) = open_faults(basis);
    let mut list = still;
    for (id, check) in cases::without_fault(basis) {
        list.push(format!(
            "Record a fault of {}: its check of {} failed and none was recorded",
            basis.machine(id),
            basis.clock(check.check.finished)
        ));
    }
    list.extend(signalled(basis, counted));
    let today = basis.day(basis.as_of);
    let days_until = |day: Date| day.0.signed_duration_since(today.0).num_days();
    let services: Vec<(Date, String)> = basis
        .machines()
        .filter_map(|(id, _, life)| Some((life.service_due(basis.last_moment())?, basis.machine(id))))
        .collect();
    for (due, machine) in services.iter().filter(|(due, _)| *due < today) {
        list.push(format!("Have {machine} serviced: that was due on {due}"));
    }
    list.extend(came_back(basis, counted, days_until));
    list.extend(near_limits(basis, counted, days_until));
    for (due, machine) in services.iter().filter(|(due, _)| (0..=DAYS_AHEAD).contains(&days_until(*due))) {
        list.push(format!("Book the service of {machine}: due on {due}"));
    }
    list.extend(not_done(basis, &counted.expected));
    list.extend(closed);
    list
}

/// Returns a line for each difference that a test signals.
fn signalled(basis: &Basis<'_>, counted: &Counted<'_>) -> Vec<String> {
    let mut list = Vec::new();
    if counted.signals.against_before.signals() {
        list.push("Look for a common cause: new faults differ from before, see above".to_owned());
    }
    if let Some(compared) = counted.signals.three_months.as_ref().filter(|compared| compared.signals()) {
        list.push(format!("Look for a common cause. {}", compared.sentence()));
    }
    if let Some(last) = counted.signals.last_faults.as_ref().filter(|last| last.signals(basis.period)) {
        list.push(format!(
            "Look for a common cause: the last three faults came within {}, faster than before",
            crate::diagnostic::counted(last.machine_days as usize, "machine-day")
        ));
    }
    for machine in counted.comparison.iter().flat_map(|comparison| &comparison.machines) {
        if machine.signals() && machine.ratio.is_none_or(|ratio| ratio > 1.0) {
            list.push(format!("Look into {}: {}", basis.machine(&machine.machine), machine.times()));
        }
    }
    list
}

/// The most days since a fault came back for which it is a line of its own.
const DAYS_BACK: i64 = 60;

/// Returns a line for each fault that came back lately, and one for those earlier in the period.
fn came_back(basis: &Basis<'_>, counted: &Counted<'_>, days_until: impl Fn(Date) -> i64) -> Vec<String> {
    let again: Vec<&(&Case, &Case)> =
        counted.repeats.pairs.iter().filter(|(_, later)| basis.in_period(later.found)).collect();
    let (fresh, older): (Vec<_>, Vec<_>) =
        again.into_iter().partition(|(_, later)| -days_until(basis.day(later.found)) <= DAYS_BACK);
    let mut list: Vec<String> = fresh
        .into_iter()
        .map(|(case, later)| {
            format!(
                "Look into {} again: {}; it came back on {}, within {} days of its release",
                basis.machine(&case.machine),
                case.what.trim(),
                basis.day(later.found),
                super::repeats::DAYS_WATCHED
            )
        })
        .collect();
    if !older.is_empty() {
        list.push(format!(
            "See which faults came back: {} earlier in the period",
            crate::diagnostic::counted(older.len(), "fault")
        ));
    }
    list
}

/// The most days ahead for which a reading near its limit is a line of its own.
const DAYS_TO_LIMIT: i64 = 45;

/// Returns a line for each reading that may reach its limit soon, and one for all that may later.
fn near_limits(basis: &Basis<'_>, counted: &Counted<'_>, days_until: impl Fn(Date) -> i64) -> Vec<String> {
    let dated = counted.drifts.dated();
    let (soon, later): (Vec<_>, Vec<_>) =
        dated.into_iter().partition(|drift| days_until(drift.earliest) <= DAYS_TO_LIMIT);
    let mut list: Vec<String> = soon
        .into_iter()
        .map(|drift| {
            let what = lower_first(&basis.item(&drift.place));
            let when = if drift.reached {
                "the line through its readings has reached its limit".to_owned()
            } else {
                format!("it may reach its limit from {} on, about {}", drift.earliest, drift.estimate)
            };
            format!("See to the {what} of {}: {when}", basis.machine(&drift.machine))
        })
        .collect();
    if let Some(first) = later.first() {
        list.push(format!(
            "Plan ahead: {} may reach a limit later, the first from {} on",
            crate::diagnostic::counted(later.len(), "reading"),
            first.earliest
        ));
    }
    list
}

/// Returns a line for each machine with checks that are missing or incomplete.
fn not_done(basis: &Basis<'_>, expected: &Expected) -> Vec<String> {
    let mut list = Vec::new();
    if !expected.calendar {
        list.push(
            "Write a calendar for every year of the period, so that the number of checks expected is known".to_owned(),
        );
    }
    for days in &expected.machines {
        let machine = basis.machine(&days.machine);
        if expected.calendar && !days.known {
            list.push(format!("Put {machine} into the calendar: how many checks were expected is unknown"));
        }
        if !days.missing.is_empty() {
            list.push(format!("Ask why {machine} had no check on {}", short_dates(days.missing.iter())));
        }
        if !days.incomplete.is_empty() {
            let dates = short_dates(days.incomplete.iter().map(|left| &left.date));
            list.push(format!("Ask why {machine} had an incomplete check on {dates}"));
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

/// Returns the faults open at the end: those that are open still, and those that were released after it.
fn open_faults(basis: &Basis<'_>) -> (Vec<String>, Vec<String>) {
    let (later, still): (Vec<&Case>, Vec<&Case>) =
        returns::open_cases(basis).into_iter().partition(|case| case.released.is_some());
    let (withheld, restricted): (Vec<&Case>, Vec<&Case>) =
        still.into_iter().partition(|case| case.usage == Use::Withheld);
    let still = withheld
        .into_iter()
        .chain(restricted)
        .map(|case| {
            let (machine, what, open) = (basis.machine(&case.machine), case.what.trim(), basis.open_for(case));
            match &case.usage {
                Use::Withheld => format!("Get {machine} back into service: withheld, {what} (open for {open})"),
                Use::Restricted { until, .. } if *until < basis.day(basis.as_of) => {
                    format!(
                        "Repair {machine} or withhold it: its restriction ended on {until}, {what} (open for {open})"
                    )
                }
                Use::Restricted { until, .. } => {
                    format!("Repair {machine} by {until}, when its restriction ends: {what} (open for {open})")
                }
            }
        })
        .collect();
    let closed = later
        .into_iter()
        .filter_map(|case| {
            let what_then = match &case.usage {
                Use::Withheld => "withheld",
                Use::Restricted { .. } => "restricted",
            };
            Some(format!(
                "Nothing more to do: {} was {what_then} {}, and was released on {} ({})",
                basis.machine(&case.machine),
                basis.at_the_end(),
                basis.day(case.released.as_ref()?.released),
                case.what.trim()
            ))
        })
        .collect();
    (still, closed)
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
