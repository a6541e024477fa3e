//! Section: what single records tell that no count shows: emergency starts, checks by people whom the procedure does not
//! ask for, people before their first or after their last day, numbers that are hard to believe.
//!
//! Lists in the order of time. Nothing is ranked, and nothing is counted by person.

use super::basis::Basis;
use super::document::{Block, Figure, Section};
use super::proportion::count;
use crate::contents::Filed;
use crate::diagnostic::counted;
use crate::procedure::Verdict;
use crate::timeline::{CheckDone, Life, emergency, lacking};

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>) -> (Section, Vec<Figure>) {
    let mut checks: Vec<(&Life, &CheckDone)> =
        basis.machines().flat_map(|(_, _, life)| basis.checks(life).map(move |done| (life, done))).collect();
    checks.sort_by_key(|(_, done)| (done.check.finished, done.path()));
    let starts: Vec<String> = checks.iter().filter_map(|(life, done)| start(basis, life, done)).collect();
    let by_others: Vec<String> = checks.iter().filter_map(|(life, done)| by_others(basis, life, done)).collect();
    let away = away(basis);
    let doubts: Vec<String> = checks.iter().flat_map(|(life, done)| doubts(basis, life, done)).collect();
    let parts = [
        ("emergency-starts", "Emergency starts", "checks in which only what could not wait was done", starts),
        (
            "checks-by-others",
            "Checks by people whom the procedure does not ask for",
            "checks with steps that the people they name may not do",
            by_others,
        ),
        (
            "people-not-here",
            "People before their first day or after their last one",
            "names in records of people who were not with the hospital on that day",
            away,
        ),
        (
            "numbers-not-believed",
            "Numbers that are hard to believe",
            "numbers that no gauge shows or nobody waits for, as they were recorded",
            doubts,
        ),
    ];
    let (mut blocks, mut figures, mut none) = (Vec::new(), Vec::new(), Vec::new());
    for (figure, title, note, lines) in parts {
        figures.push(count(figure, "all", lines.len(), note));
        if lines.is_empty() {
            none.push(title.to_lowercase());
        } else {
            blocks.push(Block::Heading(title.to_owned()));
            blocks.push(Block::List(lines));
        }
    }
    if !none.is_empty() {
        blocks.push(Block::Paragraph(format!("None in the records of this period: {}.", none.join("; "))));
    }
    let title = "What single records tell".to_owned();
    (Section { id: "single".to_owned(), title, blocks, new_page: false }, figures)
}

/// Says where and when a check was done.
fn check_of(basis: &Basis<'_>, life: &Life, done: &CheckDone) -> String {
    format!("{}, check of {}", basis.machine(&life.machine), basis.clock(done.check.finished))
}

/// Tells an emergency start: why, by whom, and what followed.
fn start(basis: &Basis<'_>, life: &Life, done: &CheckDone) -> Option<String> {
    let after = emergency(life, done, basis.last_moment())?;
    let uses = counted(after.used, "more use");
    let followed = match (after.completed, after.used) {
        (Some(check), 0) => format!("the complete check followed at {}", basis.clock(check.check.finished)),
        (Some(check), _) => {
            format!("the complete check followed only at {}, after {uses}", basis.clock(check.check.finished))
        }
        (None, 0) => format!("no complete check followed {}", basis.at_the_end()),
        (None, _) => format!("no complete check followed {}, and {uses}", basis.at_the_end()),
    };
    Some(format!(
        "{} by {}: {}; {followed}. Record {}",
        check_of(basis, life, done),
        basis.people(done.by()),
        done.left_out_words(),
        done.path()
    ))
}

fn by_others(basis: &Basis<'_>, life: &Life, done: &CheckDone) -> Option<String> {
    let lacking = lacking(basis.contents, done)?;
    Some(format!("{}: {}. Record {}", check_of(basis, life, done), lacking.words(), done.path()))
}

fn doubts(basis: &Basis<'_>, life: &Life, done: &CheckDone) -> Vec<String> {
    let judged = done.judgement.doubts().filter(|(item, _)| matches!(item.verdict, Verdict::Pass | Verdict::Fail));
    let told = judged.map(|(item, doubt)| {
        let (check, place) = (check_of(basis, life, done), basis.item(&item.place()));
        format!("{check}: {place}, {}; {}. Record {}", doubt.number, doubt.why, done.path())
    });
    told.collect()
}

/// Tells the names of people who were not with the hospital on the day of the work.
fn away(basis: &Basis<'_>) -> Vec<String> {
    let in_period = basis.contents.counting().filter(|filed| basis.in_period(filed.record.when()));
    let mut told: Vec<(&Filed, String)> = Vec::new();
    for filed in in_period {
        for named in filed.record.people() {
            let Some(person) = basis.contents.people.get(named.id) else { continue };
            let Some((which, date)) = person.not_here_on(basis.day(named.on)) else { continue };
            let (machine, kind) = (basis.machine(&filed.record.common.machine), filed.record.kind());
            let when = basis.clock(filed.record.when());
            let words = format!(
                "{machine}, {kind} of {when}: names {}, whose {which} was {date}. Record {}",
                person.name, filed.path
            );
            told.push((filed, words));
        }
    }
    told.sort_by_key(|(filed, _)| (filed.record.when(), filed.path.clone()));
    told.into_iter().map(|(_, words)| words).collect()
}
