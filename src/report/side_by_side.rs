//! Section: the same figures for the period, for the year so far and for the twelve months before.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::downtime::all_downtime;
use super::per_thousand;
use super::period::Period;
use super::proportion::Share;
use super::returns::hours;
use super::tally::Tally;

/// Returns the section and its figures; those of the period itself stand in their own sections.
pub fn section(basis: &Basis<'_>, tally: &Tally<'_>) -> (Section, Vec<Figure>) {
    let young =
        tally.covered(basis.period.twelve_months_before()).filter(|span| *span != basis.period.twelve_months_before());
    let before = young.map_or("Twelve months before".to_owned(), |span| format!("Before, from {} on", span.first));
    let spans = [
        ("", basis.period.words(), basis.period),
        ("year-to-date", format!("Year to {}", basis.period.last()), basis.period.year_to_date()),
        ("twelve-months-before", before, basis.period.twelve_months_before()),
    ];
    // Of a year the year so far is the period itself.
    let spans = spans.into_iter().filter(|(id, _, span)| id.is_empty() || *span != basis.period);
    let mut figures = Vec::new();
    let mut columns = vec![Column::left("Figure")];
    let mut cells: Vec<Vec<String>> = ROWS.iter().map(|row| vec![(*row).to_owned()]).collect();
    for (id, title, span) in spans {
        columns.push(Column::left(&title));
        let column = column(basis, tally, span, id, &mut figures);
        cells.iter_mut().zip(column).for_each(|(row, cell)| row.push(cell));
    }
    let note = match tally.since.filter(|since| *since > basis.period.twelve_months_before().first) {
        Some(since) => format!("The logbook's first record is of {since}; nothing before it is counted."),
        None => "A difference between columns is not yet a change: see the intervals, and the section after this one. The year to date holds the period, and can share months with the twelve months before it."
            .to_owned(),
    };
    let blocks = vec![
        Block::Table(Table { caption: "The figures side by side".to_owned(), columns, rows: cells, total: false }),
        Block::Paragraph(note),
    ];
    let title = "This period, the year to date, and the twelve months before".to_owned();
    (Section { id: "side-by-side".to_owned(), title, blocks, new_page: false }, figures)
}

const ROWS: [&str; 6] = [
    "Checks before the first case done, of expected",
    "Checks before use that failed",
    "Checks before use that found a new fault",
    "Faults per 1000 machine-days",
    "Hours withheld from use",
    "Not withheld, of the time",
];

fn column(basis: &Basis<'_>, tally: &Tally<'_>, span: Period, id: &str, figures: &mut Vec<Figure>) -> Vec<String> {
    let Some(span) = tally.covered(span) else {
        return vec!["no records".to_owned(); ROWS.len()];
    };
    let counts = tally.counts(span, None);
    let failed = Share { k: counts.failed, n: counts.checks };
    let new = Share { k: counts.found_fault, n: counts.checks };
    let days = tally.done_of_expected(span);
    let down = all_downtime(basis, span);
    if !id.is_empty() {
        figures.push(failed.figure("failed-checks", id, "check"));
    }
    let of = if id.is_empty() { "all" } else { id };
    figures.push(per_thousand::figure(counts.rated, "faults-per-1000-machine-days", of));
    figures.push(new.named("new-faults", of, "checks found a new fault"));
    vec![
        days.map_or("no calendar".to_owned(), |(done, expected)| format!("{done} of {expected}")),
        share_words(failed),
        share_words(new),
        match counts.rated {
            None => "no calendar".to_owned(),
            Some(rated) => match rated.limits() {
                Some((lower, upper)) => format!("{} ({lower} to {upper})", rated.rate()),
                None => format!("{} in {} days", rated.faults, rated.machine_days),
            },
        },
        hours(down.withheld),
        down.available().map_or("–".to_owned(), |share| format!("{share} %")),
    ]
}

fn share_words(share: Share) -> String {
    match share.limits() {
        Some((lower, upper)) => {
            format!("{} of {}: {} % ({lower} to {upper})", share.k, share.n, share.percent())
        }
        None => "no checks".to_owned(),
    }
}
