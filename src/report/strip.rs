//! The strip of months: the picture for page one, and the numbers behind it.

use super::basis::Basis;
use super::document::{Block, Column, Picture, Table};
use super::picture::{Range, Strip, StripMonth};
use super::signals::{Month, Signals};

/// Returns the strip of thirteen months for page one. Its numbers stand in the section, which has room for them.
pub fn strip(basis: &Basis<'_>, signals: &Signals) -> Block {
    let month = |month: &Month| {
        // Only the month of the report is a test of this report; each of the others was one of its own.
        let tested = basis.period == month.month;
        let outside = tested && month.quiet.is_some_and(|(low, high)| month.share.k < low || high < month.share.k);
        let percent = |k: u64| k as f64 * 100.0 / month.share.n as f64;
        StripMonth {
            name: month.month.first.0.format("%b").to_string(),
            year: month.month.first.0.format("%Y").to_string(),
            count: month.share.k.to_string(),
            of: format!("of {}", month.share.n),
            estimate: month.share.estimate(),
            quiet: month.quiet.map(|(low, high)| Range { low: percent(low), high: percent(high) }),
            outside,
            current: basis.period.contains(month.month.last()),
        }
    };
    let strip = Strip {
        axis: "% of checks".to_owned(),
        dot: "share with its 95 % interval".to_owned(),
        quiet: "where a month like the others stays".to_owned(),
        outside: "differs from the others".to_owned(),
        empty: "no checks".to_owned(),
        months: signals.strip.iter().map(month).collect(),
    };
    Block::Picture(Picture {
        id: "new-faults-by-month".to_owned(),
        caption: "Checks before use that found a new fault, by month".to_owned(),
        reads: signals.against_before.sentence(),
        drawing: strip.draw(),
        table: Table { caption: String::new(), columns: Vec::new(), rows: Vec::new(), total: false },
    })
}

/// Returns the numbers behind the strip.
pub fn table(signals: &Signals) -> Block {
    let row = |month: &Month| {
        let mut cells = month.share.cells();
        cells.insert(0, month.month.words());
        cells.push(month.quiet.map_or("–".to_owned(), |(low, high)| format!("{low} to {high}")));
        cells
    };
    let mut columns = vec![Column::left("Month")];
    columns.extend(["With a new fault", "of checks", "Share", "95 % from", "to", "Not signalled"].map(Column::right));
    Block::Table(Table {
        caption: "Checks before use that found a new fault, by month".to_owned(),
        columns,
        rows: signals.strip.iter().map(row).collect(),
        total: false,
    })
}
