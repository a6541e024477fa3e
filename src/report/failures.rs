//! Section: how many checks failed, over all, by occasion, by item and by machine.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::proportion::Share;
use super::tally::Tally;
use crate::procedure::When;
use std::collections::BTreeMap;

/// The failures of the period. A check fails when at least one of its items fails.
#[derive(Clone, Debug, PartialEq)]
pub struct Failures {
    /// Checks before the first case and before each patient.
    pub all: Share,
    pub by_occasion: Vec<(&'static str, &'static str, Share)>,
    pub by_machine: Vec<(String, Share)>,
    /// By item: answers that passed or failed, most failures first.
    pub by_item: Vec<(String, Share)>,
}

/// Counts the failures of the period.
pub fn counted_failures(basis: &Basis<'_>, tally: &Tally<'_>) -> Failures {
    let mut machines: BTreeMap<&str, Share> = basis.machines().map(|(id, ..)| (id, Share { k: 0, n: 0 })).collect();
    let mut occasions = [(0, 0); 3];
    for checked in tally.checks.iter().filter(|checked| basis.period.contains(checked.day)) {
        let failed = u64::from(checked.failed);
        let occasion = &mut occasions[occasion(checked.done.when)];
        *occasion = (occasion.0 + failed, occasion.1 + 1);
        let machine = machines.entry(checked.machine).or_insert(Share { k: 0, n: 0 });
        *machine = Share { k: machine.k + failed, n: machine.n + 1 };
    }
    for (_, _, life) in basis.machines() {
        for check in basis.checks(life).filter(|check| check.when == When::AfterService) {
            let occasion = &mut occasions[occasion(check.when)];
            *occasion = (occasion.0 + u64::from(check.judgement.failures().next().is_some()), occasion.1 + 1);
        }
    }
    let by_machine: Vec<(String, Share)> = machines.into_iter().map(|(id, share)| (id.to_owned(), share)).collect();
    let all = by_machine.iter().fold(Share { k: 0, n: 0 }, |sum, (_, s)| Share { k: sum.k + s.k, n: sum.n + s.n });
    let by_item = tally.answers_by_item(basis.period);
    let by_occasion =
        OCCASIONS.iter().zip(occasions).map(|((id, words), (k, n))| (*id, *words, Share { k, n })).collect();
    Failures { all, by_occasion, by_machine, by_item }
}

const OCCASIONS: [(&str, &str); 3] = [
    ("first-case", "Before the first case of the day"),
    ("each-patient", "Before each patient"),
    ("after-service", "After repair or service (not in the total)"),
];

fn occasion(when: When) -> usize {
    match when {
        When::FirstCase => 0,
        When::EachPatient => 1,
        When::AfterService => 2,
    }
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, failures: &Failures) -> (Section, Vec<Figure>) {
    let mut figures = vec![failures.all.figure("failed-checks", "all", "check")];
    let table = |caption: &str, first: &str, rows: Vec<(String, Share)>, unit: &str, total: bool| {
        Block::Table(Table {
            caption: format!("{caption}, {}", basis.period.words()),
            columns: vec![
                Column::left(first),
                Column::right("Failed"),
                Column::right(unit),
                Column::right("Share"),
                Column::right("95 % from"),
                Column::right("to"),
            ],
            rows: rows.into_iter().map(|(name, share)| [vec![name], share.cells()].concat()).collect(),
            total,
        })
    };
    for (id, _, share) in &failures.by_occasion {
        figures.push(share.figure("failed-checks-by-occasion", id, "check"));
    }
    for (id, share) in &failures.by_machine {
        figures.push(share.figure("failed-checks-by-machine", id, "check"));
    }
    for (id, share) in &failures.by_item {
        figures.push(share.figure("failed-answers-by-item", id, "answer"));
    }
    let mut machines: Vec<(String, Share)> =
        failures.by_machine.iter().map(|(id, share)| (basis.machine(id), *share)).collect();
    machines.push(("All machines".to_owned(), failures.all));
    let occasions = failures.by_occasion.iter().map(|(_, words, share)| ((*words).to_owned(), *share)).collect();
    let failing = failures.by_item.iter().filter(|(_, share)| share.k > 0);
    let failing: Vec<(String, Share)> = failing.map(|(id, share)| (basis.item(id), *share)).collect();
    let clean: Vec<(String, Share)> =
        failures.by_item.iter().filter(|(_, share)| share.k == 0).map(|(id, share)| (basis.item(id), *share)).collect();
    let mut blocks = vec![
        Block::Paragraph(format!("Before use, {}.", failures.all.sentence("check"))),
        Block::Paragraph(
            "A check counts as failed when at least one item failed. A defect that fails several checks until it is repaired counts once in each of them; the section on faults counts it once."
                .to_owned(),
        ),
        table("Failed checks by occasion", "Occasion", occasions, "of checks", false),
        table("Failed checks before use by machine", "Machine", machines, "of checks", true),
    ];
    if failing.is_empty() {
        blocks.push(Block::Paragraph("No item failed in this period.".to_owned()));
    } else {
        blocks.push(table("Items that failed", "Item", failing, "of answers", false));
    }
    if !clean.is_empty() {
        let names: Vec<String> = clean.iter().map(|(item, share)| format!("{item} (0 of {})", share.n)).collect();
        blocks.push(Block::Paragraph(format!("Items that did not fail, with their answers: {}.", names.join("; "))));
    }
    let section =
        Section { id: "failures".to_owned(), title: "Failures found by checks".to_owned(), blocks, new_page: false };
    (section, figures)
}
