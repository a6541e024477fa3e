//! Section: the items of the checks, by how often they failed over twelve months.
//!
//! A month has too few failures for an order of items; the month's own counts stand in the section on failures.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Picture, Section, Table};
use super::picture::{DotRow, Dots};
use super::proportion::Share;

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, items: &[(String, Share)]) -> (Section, Vec<Figure>) {
    let figures =
        items.iter().map(|(id, share)| share.named("failed-answers-by-item-12-months", id, "answers failed")).collect();
    let failing: Vec<&(String, Share)> = items.iter().filter(|(_, share)| share.k > 0).collect();
    let mut blocks = Vec::new();
    if failing.is_empty() {
        blocks.push(Block::Paragraph("No item failed in the twelve months.".to_owned()));
    } else {
        blocks.push(Block::Paragraph(
            "Failed answers of each item that failed at least once. A defect that failed several checks is in each of them. Intervals that overlap do not put one item before another."
                .to_owned(),
        ));
        blocks.push(picture(basis, &failing));
    }
    let title = "Items that failed, twelve months".to_owned();
    (Section { id: "items".to_owned(), title, blocks, new_page: false }, figures)
}

/// The most items in the picture; all of them stand in its table.
const DRAWN: usize = 12;

fn picture(basis: &Basis<'_>, failing: &[&(String, Share)]) -> Block {
    let row = |(id, share): &&(String, Share)| DotRow {
        title: basis.item(id),
        count: format!("{} of {}", share.k, share.n),
        estimate: share.estimate(),
        strong: false,
    };
    let dots = Dots {
        axis: "failed answers, % of answers".to_owned(),
        dot: "share with its 95 % interval".to_owned(),
        empty: "no answers".to_owned(),
        rows: failing.iter().take(DRAWN).map(row).collect(),
    };
    let most = failing
        .first()
        .map(|(id, share)| format!("Most failed answers: {}, {} of {}.", basis.item(id), share.k, share.n));
    let rest = match failing.len().saturating_sub(DRAWN) {
        0 => String::new(),
        more => {
            format!(" {} with fewer failed answers stand in the table only.", crate::diagnostic::counted(more, "item"))
        }
    };
    Block::Picture(Picture {
        id: "items".to_owned(),
        caption: "Failed answers by item".to_owned(),
        reads: format!("{}{rest}", most.unwrap_or_default()),
        drawing: dots.draw(),
        table: table(basis, failing),
    })
}

fn table(basis: &Basis<'_>, failing: &[&(String, Share)]) -> Table {
    let row = |(id, share): &&(String, Share)| {
        let mut cells = share.cells();
        cells.insert(0, basis.item(id));
        cells
    };
    let mut columns = vec![Column::left("Item")];
    columns.extend(["Failed", "of answers", "Share", "95 % from", "to"].map(Column::right));
    Table {
        caption: "Failed answers by item".to_owned(),
        columns,
        rows: failing.iter().map(row).collect(),
        total: false,
    }
}
