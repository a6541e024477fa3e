//! What was corrected: who wrote it down and when, why, and both values of everything that differs.
//!
//! A correction belongs to the period of the record that it corrects, and to the one in which it was written down.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Table};
use super::proportion::count;
use crate::contents::difference::corrected;
use crate::contents::{Filed, Standing};
use crate::record::Date;

/// Returns the table of all corrections but those that were declared void, and their figures; without any there is no table.
pub fn table(basis: &Basis<'_>) -> (Option<Block>, Vec<Figure>) {
    let (mut rows, mut figures) = (Vec::new(), Vec::new());
    let of_period = basis.contents.records.iter().filter_map(|filed| {
        let correction = filed.record.common.corrects.as_ref()?;
        let is_void = matches!(basis.contents.standing(&filed.path), Standing::VoidedBy(_));
        (!is_void && concerns(basis, filed, &correction.record)).then_some((&**filed, correction))
    });
    for (filed, correction) in of_period {
        let differing = corrected(basis.contents, filed).map(|(_, differing)| differing);
        let written = format!(
            "{}, {}: {}",
            basis.contents.person_name(filed.record.common.recorder()),
            basis.clock(filed.record.common.recorded),
            correction.because.trim()
        );
        let row = |what: &str, old: &str, new: &str| {
            vec![correction.record.clone(), what.to_owned(), old.to_owned(), new.to_owned(), written.clone()]
        };
        let told = match &differing {
            None => vec![row("the whole record", "it could not be read", &filed.path)],
            Some(none) if none.is_empty() => vec![row("nothing", "the same", "the same")],
            Some(differing) => differing.iter().map(|one| row(&one.name, &one.old, &one.new)).collect(),
        };
        let words: Vec<String> = differing.iter().flatten().map(ToString::to_string).collect();
        let note = format!("values of {} that this record puts right: {}", correction.record, words.join("; "));
        figures.push(count("values-corrected", &filed.path, words.len(), note));
        rows.extend(told);
    }
    let (number, note) = (figures.len(), "corrections of records of the period, or written down in it");
    figures.insert(0, count("corrections", "all", number, note));
    let table = (!rows.is_empty()).then(|| {
        Block::Table(Table {
            caption: "What was corrected. Both values stay in the logbook.".to_owned(),
            columns: ["Record", "What", "It said", "It is", "Who, when, why"].map(Column::left).to_vec(),
            rows,
            total: false,
        })
    });
    (table, figures)
}

/// Returns whether a correction was written down in the period, or corrects a record of it.
fn concerns(basis: &Basis<'_>, filed: &Filed, of: &str) -> bool {
    let of_period = match basis.contents.record(of) {
        Some(old) => basis.in_period(old.record.when()),
        // A file that nobody can read is dated by its name.
        None => crate::logbook::parse_record_path(of).is_some_and(|name| basis.period.contains(Date(name.date))),
    };
    of_period || basis.in_period(filed.record.common.recorded)
}
