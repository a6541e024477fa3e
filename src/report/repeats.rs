//! Section: faults that came back, and what the repairs name as causes.
//!
//! Both look back over the twelve months to the end of the period: a month holds too few of either.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::proportion::Share;
use super::tally::Tally;
use crate::diagnostic::counted;
use crate::record::Moment;
use crate::record::moment::spoken;
use crate::timeline::Case;
use std::collections::BTreeMap;

/// How long after a release the same item is watched.
pub const DAYS_WATCHED: i64 = 30;

/// The released faults that were watched for thirty days, and those of them that came back.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeats<'a> {
    pub watched: u64,
    /// Those of them that came back.
    pub again: u64,
    /// Released faults of which no record names an item: nobody can say whether they came back.
    pub without_item: u64,
    /// Every fault that came back, also of those not watched for the whole time yet, and the one that followed.
    pub pairs: Vec<(&'a Case, &'a Case)>,
}

/// Counts the faults that came back on the same item of the same machine within thirty days of their release.
///
/// Of the faults released in the twelve months to the end of the period only those count, above and below the line,
/// whose thirty days are over: counting the newest ones would show fewer repeats than there will be. One that has come
/// back already is told all the same.
pub fn counted_repeats<'a>(basis: &Basis<'a>) -> Repeats<'a> {
    let last = basis.last_moment();
    let first = basis.period.twelve_months().first;
    let watch = chrono::Duration::days(DAYS_WATCHED);
    let mut repeats = Repeats { watched: 0, again: 0, without_item: 0, pairs: Vec::new() };
    let mut cases: Vec<&Case> = basis.cases().collect();
    cases.sort_by_key(|case| (case.found, &case.path));
    for case in &cases {
        let Some(released) = case.released_by(last).filter(|released| basis.day(*released) >= first) else { continue };
        let Some(until) = released.0.checked_add_signed(watch).map(Moment) else { continue };
        if items(basis, case).is_empty() {
            repeats.without_item += 1;
            continue;
        }
        let again = |later: &&&Case| {
            later.machine == case.machine
                && released <= later.found
                && later.found <= until
                && share_an_item(basis, case, later)
        };
        let later = cases.iter().find(again);
        if until <= last {
            repeats.watched += 1;
            repeats.again += u64::from(later.is_some());
        }
        repeats.pairs.extend(later.map(|later| (*case, *later)));
    }
    repeats
}

/// Returns whether two faults are about one item.
fn share_an_item(basis: &Basis<'_>, a: &Case, b: &Case) -> bool {
    let b = items(basis, b);
    items(basis, a).iter().any(|item| b.contains(item))
}

/// Returns the items of a fault: those it names, else those that failed in the check it names.
fn items(basis: &Basis<'_>, case: &Case) -> Vec<String> {
    if !case.found_during.items.is_empty() {
        return case.found_during.items.clone();
    }
    let check = case.found_during.check.as_deref().and_then(|path| basis.contents.speaking_for(path));
    let check = check.and_then(|path| basis.lives.get(&case.machine)?.check(path));
    check.map(|check| check.judgement.failures().map(|failed| failed.place()).collect()).unwrap_or_default()
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, tally: &Tally<'_>, repeats: &Repeats<'_>) -> (Section, Vec<Figure>) {
    let share = Share { k: repeats.again, n: repeats.watched };
    let mut figures = vec![Figure { note: sentence(share), ..share.figure("repeats", "all", "fault") }];
    let mut blocks = vec![Block::Paragraph(sentence(share))];
    if repeats.without_item > 0 {
        blocks.push(Block::Paragraph(format!(
            "Left out: {} of which no record names an item, so that nobody can say whether it came back.",
            counted(repeats.without_item as usize, "released fault")
        )));
    }
    if !repeats.pairs.is_empty() {
        let row = |(case, later): &(&Case, &Case)| {
            let released = case.released_by(basis.last_moment());
            vec![
                basis.machine(&case.machine),
                items(basis, case).iter().map(|item| basis.item(item)).collect::<Vec<_>>().join("; "),
                released.map_or(String::new(), |released| basis.clock(released)),
                basis.clock(later.found),
                released.map_or(String::new(), |released| spoken(later.found.seconds_since(released))),
            ]
        };
        let mut columns = ["Machine", "Item", "Released", "Found again"].map(Column::left).to_vec();
        columns.push(Column::right("After"));
        blocks.push(Block::Table(Table {
            caption: format!("Faults that came back within {DAYS_WATCHED} days"),
            columns,
            rows: repeats.pairs.iter().map(row).collect(),
            total: false,
        }));
    }
    let causes = causes(basis, tally);
    let n: u64 = causes.values().sum();
    let mut by_cause: Vec<(String, Share)> = causes.into_iter().map(|(cause, k)| (cause, Share { k, n })).collect();
    by_cause.sort_by(|(a, x), (b, y)| y.k.cmp(&x.k).then(a.cmp(b)));
    for (cause, share) in &by_cause {
        figures.push(share.named("cause", cause, &format!("faults with a repair name the cause {}", words(cause))));
    }
    if n > 0 {
        let row = |(cause, share): &(String, Share)| {
            let mut cells = share.cells();
            cells.insert(0, words(cause));
            cells
        };
        let mut columns = vec![Column::left("Cause")];
        columns.extend(["Faults", "of", "Share", "95 % from", "to"].map(Column::right));
        blocks.push(Block::Table(Table {
            caption: "Causes, as the last repair of each fault of the twelve months names them".to_owned(),
            columns,
            rows: by_cause.iter().map(row).collect(),
            total: false,
        }));
    }
    let title = "Faults that came back, and causes".to_owned();
    (Section { id: "repeats".to_owned(), title, blocks, new_page: false }, figures)
}

fn words(cause: &str) -> String {
    cause.replace('-', " ")
}

fn sentence(share: Share) -> String {
    let watched = counted(share.n as usize, "released fault");
    match (share.n, share.limits()) {
        (0, _) | (_, None) => format!(
            "Too little data for repeats: no fault released in the twelve months has been watched for {DAYS_WATCHED} days yet."
        ),
        (_, Some((lower, upper))) => format!(
            "{} of {watched} that were watched for {DAYS_WATCHED} days came back on the same item (95 % interval {lower} to {upper} %).",
            share.k
        ),
    }
}

/// Returns how many faults of the twelve months each cause has. The last repair of a fault has the last word.
fn causes(basis: &Basis<'_>, tally: &Tally<'_>) -> BTreeMap<String, u64> {
    let mut causes = BTreeMap::new();
    for case in tally.faults_of(basis.period.twelve_months(), None) {
        if let Some(work) = case.works_begun_by(basis.last_moment()).last() {
            *causes.entry(work.repair.cause.clone()).or_insert(0) += 1;
        }
    }
    causes
}
