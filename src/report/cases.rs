//! Section: every fault found in the period, from the moment it was found to the machine's release.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Step, Table};
use super::proportion::count;
use super::returns;
use crate::diagnostic::counted;
use crate::procedure::{Outcome, When};
use crate::record::moment::spoken;
use crate::record::{Moment, Use};
use crate::timeline::{Case, CheckDone, Life};

/// Returns the cases found in the period, in the order in which they were found.
pub fn found<'a>(basis: &Basis<'a>) -> Vec<&'a Case> {
    let mut cases: Vec<&Case> = basis.cases().filter(|case| basis.in_period(case.found)).collect();
    cases.sort_by_key(|case| (case.found, &case.path));
    cases
}

/// Returns the failed checks before use of the period for which no fault was recorded.
///
/// A check that only failed again what faults still open at that time name needs no fault of its own.
pub fn without_fault<'a>(basis: &Basis<'a>) -> Vec<(&'a str, &'a CheckDone)> {
    let named = |life: &Life, check: &CheckDone| {
        life.cases.iter().any(|case| {
            case.found_during
                .check
                .as_deref()
                .and_then(|path| basis.contents.speaking_for(path))
                .is_some_and(|path| path == check.path())
        })
    };
    let known = |life: &Life, check: &CheckDone| {
        let open: Vec<&Case> = life.cases.iter().filter(|case| case.open_at(check.check.finished)).collect();
        check.judgement.failures().all(|failed| {
            let place = failed.place();
            open.iter().any(|case| case.found_during.items.iter().any(|item| *item == place || *item == failed.item))
        })
    };
    basis
        .machines()
        .flat_map(|(id, _, life)| basis.checks(life).map(move |check| (id, life, check)))
        .filter(|(_, life, check)| {
            check.when != When::AfterService
                && check.judgement.failures().next().is_some()
                && !named(life, check)
                && !known(life, check)
        })
        .map(|(id, _, check)| (id, check))
        .collect()
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>) -> (Section, Vec<Figure>) {
    let cases = found(basis);
    let open = cases.iter().filter(|case| case.open_at(basis.last_moment())).count();
    let figures = vec![
        count("faults-found", "all", cases.len(), "faults found in the period, each counted once"),
        count("faults-found-still-open", "all", open, "of these, open at the end"),
    ];
    let mut blocks = vec![Block::Paragraph(match cases.len() {
        0 => "No fault was recorded in this period. That is not proof that there was none.".to_owned(),
        n => format!(
            "{} found; {} open at {}.",
            counted(n, "fault"),
            counted(open, "fault").replace(" faults", "").replace(" fault", ""),
            basis.clock(basis.as_of)
        ),
    })];
    for (id, check) in without_fault(basis) {
        let items: Vec<String> = check.judgement.failures().map(|f| basis.item(&f.place())).collect();
        blocks.push(Block::Notice(format!(
            "{}: the check of {} failed ({}) and no fault was recorded for it. Record {}.",
            basis.machine(id),
            basis.clock(check.check.finished),
            items.join("; "),
            check.path()
        )));
    }
    if cases.len() > 1 {
        blocks.push(overview(basis, &cases));
    }
    for (n, case) in cases.iter().enumerate() {
        blocks.push(Block::Heading(format!("{}. {}: {}", n + 1, basis.machine(&case.machine), case.what)));
        blocks.push(Block::Steps(steps(basis, case)));
        blocks.push(Block::Paragraph(times(basis, case)));
    }
    let section = Section {
        id: "faults".to_owned(),
        title: "Every fault, from found to released".to_owned(),
        blocks,
        new_page: true,
    };
    (section, figures)
}

/// Returns all faults of the period in one table, before each is told in full.
fn overview(basis: &Basis<'_>, cases: &[&Case]) -> Block {
    let row = |case: &&Case| {
        vec![
            basis.machine(&case.machine),
            basis.clock(case.found),
            case.what.trim().to_owned(),
            returns::released_after(basis, case),
        ]
    };
    let mut columns = ["Machine", "Found", "What"].map(Column::left).to_vec();
    columns.push(Column::right("Released after"));
    Block::Table(Table {
        caption: format!("Faults found in {}", basis.period.words()),
        columns,
        rows: cases.iter().map(row).collect(),
        total: false,
    })
}

/// Returns what happened with a fault, one step a record. Steps after the period are shown and marked.
fn steps(basis: &Basis<'_>, case: &Case) -> Vec<Step> {
    let life = basis.lives.get(&case.machine);
    let check_of = |path: &str| {
        let path = basis.contents.speaking_for(path)?;
        life?.check(path)
    };
    let mut steps = Vec::new();
    if let Some(check) = case.found_during.check.as_deref().and_then(check_of) {
        let failed: Vec<String> = check.judgement.failures().map(|f| failure_words(basis, &f)).collect();
        let what = if failed.is_empty() { "Check".to_owned() } else { format!("Check failed: {}", failed.join("; ")) };
        steps.push((check.check.finished, what, check.by(), check.path().to_owned()));
    }
    let usage = match &case.usage {
        Use::Withheld => "machine withheld from use".to_owned(),
        Use::Restricted { restriction, until, owner } => {
            format!(
                "restricted until {until}: {restriction} (answers for it: {})",
                basis.people(std::slice::from_ref(owner))
            )
        }
    };
    let how = case.found_during.way.as_deref().map_or(String::new(), |way| format!(" ({})", way.replace('-', " ")));
    steps.push((case.found, format!("Fault recorded{how}; {usage}"), &case.by, case.path.clone()));
    for work in &case.works {
        let repair = &work.repair;
        let mut what = format!(
            "Repair, begun {}. Cause: {}. {}",
            basis.clock(repair.started),
            repair.cause.replace('-', " "),
            repair.work.trim()
        );
        if !repair.parts.is_empty() {
            what.push_str(&format!(" Parts: {}.", repair.parts.join(", ")));
        }
        for waited in &repair.waited {
            what.push_str(&format!(" Waited {} for {}.", waited.time, waited.what));
        }
        for instrument in &repair.instruments {
            what.push_str(&format!(
                " Test instrument {}, calibration due {}.",
                instrument.id, instrument.calibration_due
            ));
        }
        steps.push((repair.finished, what, &work.by, work.path.clone()));
    }
    if let Some(released) = &case.released {
        if let Some(proof) = check_of(&released.proved_by) {
            steps.push((
                proof.check.finished,
                format!("Proving check {} ({})", outcome_word(proof), proof.check.procedure),
                proof.by(),
                proof.path().to_owned(),
            ));
        }
        steps.push((released.released, "Released to service".to_owned(), &released.by, released.path.clone()));
    }
    if let Some((path, moment)) = &case.first_check_after
        && let Some(check) = life.and_then(|life| life.check(path))
    {
        let items: Vec<String> = check.judgement.failures().map(|f| basis.item(&f.place())).collect();
        let items = if items.is_empty() { String::new() } else { format!(": {}", items.join("; ")) };
        let what = format!("First check before use after the release {}{items}", outcome_word(check));
        steps.push((*moment, what, check.by(), path.clone()));
    }
    // The order of writing decides where two steps share a minute.
    steps.sort_by_key(|(when, ..)| *when);
    steps.into_iter().map(|(when, what, who, record)| step(basis, when, what, who, record)).collect()
}

fn outcome_word(check: &CheckDone) -> &'static str {
    match check.judgement.outcome {
        Outcome::Passed => "passed",
        Outcome::Failed => "failed",
        Outcome::Incomplete => "left incomplete",
    }
}

fn step(basis: &Basis<'_>, when: Moment, what: String, who: &[String], record: String) -> Step {
    let what = if when > basis.last_moment() { format!("{what} (after the period)") } else { what };
    Step { when: basis.clock(when), what, who: basis.people(who), record }
}

/// Returns a failed answer with what was seen and the limit it missed.
pub fn failure_words(basis: &Basis<'_>, failed: &crate::procedure::ItemJudgement<'_>) -> String {
    let missed: Vec<String> = failed
        .measured()
        .iter()
        .filter(|m| !m.met)
        .map(|m| format!("{} {}, limit {}", m.of.words(), m.value, m.limit.words()))
        .collect();
    let item = basis.item(&failed.place());
    if missed.is_empty() { item } else { format!("{item}: {}", missed.join(", ")) }
}

/// Returns the times of a case in words, by the terms of the method notes.
fn times(basis: &Basis<'_>, case: &Case) -> String {
    let last = basis.last_moment();
    let known = returns::parts(case, last);
    let mut parts = vec![match known.response {
        Some(seconds) => format!("Response {}", spoken(seconds)),
        None => "No work begun yet".to_owned(),
    }];
    if known.work + known.waiting_inside > 0 {
        parts.push(format!("work {}", spoken(known.work)));
    }
    if known.waiting_inside > 0 {
        parts.push(format!("waiting during the work {}", spoken(known.waiting_inside)));
    }
    if known.waiting_outside > 0 {
        parts.push(format!("waiting before or between the work {}", spoken(known.waiting_outside)));
    }
    if known.going_on {
        parts.push(format!("work not finished {}", basis.at_the_end()));
    }
    parts.push(match (case.released_by(last), &case.usage) {
        (Some(released), Use::Withheld) => {
            format!("time to return to service {}", spoken(released.seconds_since(case.found).max(0)))
        }
        (Some(released), Use::Restricted { .. }) => {
            format!("restriction lifted after {}", spoken(released.seconds_since(case.found).max(0)))
        }
        (None, _) => format!("open for {} {}", basis.open_for(case), basis.at_the_end()),
    });
    format!("{}.", parts.join("; "))
}
