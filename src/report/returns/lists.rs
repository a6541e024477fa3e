//! Lists of faults: those open at the end, those released in the period, and each of the twelve months when they are too
//! few for an estimate.
//!
//! Takes the basis, gives tables. Faults that only restrict a machine are listed too, and say so.

use super::super::basis::Basis;
use super::super::document::{Block, Column, Table};
use super::parts::parts;
use crate::record::Use;
use crate::record::moment::spoken;
use crate::timeline::Case;

/// Returns the faults open at the end of the period, the longest open first.
pub fn open_cases<'a>(basis: &Basis<'a>) -> Vec<&'a Case> {
    let mut open: Vec<&Case> = basis.cases().filter(|case| case.open_at(basis.last_moment())).collect();
    open.sort_by_key(|case| (case.found, &case.path));
    open
}

/// Returns the faults open at the end, or a sentence that there is none.
pub fn open(basis: &Basis<'_>) -> Block {
    let open = open_cases(basis);
    if open.is_empty() {
        return Block::Paragraph(format!("No fault was open at {}.", basis.clock(basis.as_of)));
    }
    let row = |case: &&Case| {
        let usage = match &case.usage {
            Use::Withheld => "withheld".to_owned(),
            Use::Restricted { until, .. } => format!("restricted until {until}"),
        };
        vec![
            basis.machine(&case.machine),
            basis.clock(case.found),
            basis.open_for(case),
            usage,
            case.what.trim().to_owned(),
        ]
    };
    Block::Table(Table {
        caption: format!("Faults open at {}, the longest open first", basis.clock(basis.as_of)),
        columns: vec![
            Column::left("Machine"),
            Column::left("Found"),
            Column::right("Open for"),
            Column::left("Use"),
            Column::left("What"),
        ],
        rows: open.iter().map(row).collect(),
        total: false,
    })
}

/// Returns the faults released in the period; nothing when there is none.
pub fn released(basis: &Basis<'_>) -> Option<Block> {
    let last = basis.last_moment();
    let mut released: Vec<&Case> =
        basis.cases().filter(|case| case.released_by(last).is_some_and(|r| basis.in_period(r))).collect();
    released.sort_by_key(|case| (case.released_by(last), case.found, &case.path));
    let row = |case: &&Case| {
        vec![
            basis.machine(&case.machine),
            basis.clock(case.found),
            case.released_by(last).map_or(String::new(), |released| basis.clock(released)),
            parts(case, last).response.map_or("–".to_owned(), spoken),
            released_after(basis, case),
            case.works_begun_by(last).last().map_or("–".to_owned(), |work| work.repair.cause.replace('-', " ")),
        ]
    };
    let table = Table {
        caption: format!("Faults released in {}", basis.period.words()),
        columns: vec![
            Column::left("Machine"),
            Column::left("Found"),
            Column::left("Released"),
            Column::right("Response"),
            Column::right("Released after"),
            Column::left("Cause"),
        ],
        rows: released.iter().map(row).collect(),
        total: false,
    };
    (!released.is_empty()).then_some(Block::Table(table))
}

/// Returns every fault that the estimates would be taken from, for when there are too few for one.
pub fn every_case(basis: &Basis<'_>, mut cases: Vec<&Case>) -> Block {
    cases.sort_by_key(|case| (case.found, &case.path));
    let row = |case: &&Case| {
        let released = case.released_by(basis.last_moment());
        vec![
            basis.machine(&case.machine),
            basis.clock(case.found),
            released.map_or("open".to_owned(), |released| basis.clock(released)),
            released_after(basis, case),
        ]
    };
    Block::Table(Table {
        caption: "Every fault that withheld a machine in this time".to_owned(),
        columns: vec![
            Column::left("Machine"),
            Column::left("Found"),
            Column::left("Released"),
            Column::right("Released after"),
        ],
        rows: cases.iter().map(row).collect(),
        total: false,
    })
}

/// Returns in words after what time a fault was released, or for how long it has been open.
pub fn released_after(basis: &Basis<'_>, case: &Case) -> String {
    let Some(released) = case.released_by(basis.last_moment()) else {
        return format!("open for {}", basis.open_for(case));
    };
    let time = spoken(released.seconds_since(case.found).max(0));
    match &case.usage {
        Use::Withheld => time,
        Use::Restricted { .. } => format!("restriction lifted after {time}"),
    }
}
