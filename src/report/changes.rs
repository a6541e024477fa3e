//! Section: what was corrected, declared void, written down late, or left out of this report.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::proportion::count;
use crate::contents::{Filed, Standing};
use crate::diagnostic::counted;
use crate::record::moment::spoken;
use crate::record::{Body, Date};

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>) -> (Section, Vec<Figure>) {
    // Hardly any record is replaced, so that is asked before the moment.
    let readable = basis.contents.records.iter().filter(|filed| {
        basis.contents.standing(&filed.path) != Standing::Counts && basis.in_period(filed.record.when())
    });
    // A file that nobody can read is dated by its name.
    let unreadable = basis.contents.unreadable_records().filter(|path| {
        crate::logbook::parse_record_path(path).is_some_and(|name| basis.period.contains(Date(name.date)))
    });
    let replaced: Vec<Vec<String>> = readable
        .map(|filed| filed.path.as_str())
        .chain(unreadable)
        .filter_map(|path| match basis.contents.standing(path) {
            Standing::Counts => None,
            Standing::CorrectedBy(by) => Some((path, "corrected", by)),
            Standing::VoidedBy(by) => Some((path, "void", by)),
        })
        .map(|(path, how, by)| match basis.contents.record(&by) {
            Some(later) => replaced_row(basis, path, how, later),
            None => vec![path.to_owned(), how.to_owned(), by, String::new(), String::new()],
        })
        .collect();
    let earlier: Vec<Vec<String>> = basis
        .contents
        .records
        .iter()
        .filter_map(|later| {
            let (of, how) = match (&later.record.body, &later.record.common.corrects) {
                (Body::Void(void), _) => (void.of.as_str(), "void"),
                (_, Some(correction)) => (correction.record.as_str(), "corrected"),
                _ => return None,
            };
            // What was taken back since, or is settled by a newer record, changed nothing.
            let has_say = match basis.contents.standing(of) {
                Standing::Counts => false,
                Standing::CorrectedBy(by) | Standing::VoidedBy(by) => by == later.path,
            };
            if !has_say || !basis.in_period(later.record.common.recorded) {
                return None;
            }
            let day = match basis.contents.record(of) {
                Some(filed) => basis.day(filed.record.when()),
                None => Date(crate::logbook::parse_record_path(of)?.date),
            };
            (day < basis.period.first).then(|| replaced_row(basis, of, how, later))
        })
        .collect();
    let late: Vec<Vec<String>> = basis
        .machines()
        .flat_map(|(id, _, life)| basis.checks(life).map(move |check| (id, check)))
        .filter(|(_, check)| check.late)
        .map(|(id, check)| {
            vec![
                basis.machine(id),
                basis.clock(check.check.finished),
                basis.clock(check.recorded),
                spoken(check.recorded.seconds_since(check.check.finished)),
                basis.people(check.by()),
            ]
        })
        .collect();
    let (corrections, of_corrections) = super::corrections::table(basis);
    let mut figures = vec![
        count(
            "records-left-out",
            "all",
            basis.left_out.len(),
            "records with problems, not counted anywhere in the report",
        ),
        count("records-replaced", "all", replaced.len(), "records of the period that a later record corrects or voids"),
        count("records-late", "all", late.len(), "checks of the period written down late"),
    ];
    figures.extend(of_corrections);

    let mut blocks = Vec::new();
    if basis.left_out.is_empty() {
        blocks.push(Block::Paragraph("No record was left out of this report.".to_owned()));
    } else {
        blocks.push(Block::Notice(format!(
            "{} with problems left out of every figure of this report. They may belong to any month.",
            counted(basis.left_out.len(), "record")
        )));
        blocks.push(Block::Table(Table {
            caption: "Records left out, and why".to_owned(),
            columns: vec![Column::left("Record"), Column::left("Faults")],
            rows: basis.left_out.iter().map(|left| vec![left.path.clone(), left.reasons.join("; ")]).collect(),
            total: false,
        }));
    }
    if replaced.is_empty() {
        blocks.push(Block::Paragraph("No record of this period was corrected or declared void.".to_owned()));
    } else {
        blocks.push(Block::Table(Table {
            caption: "Records of the period that a later record replaces. Both stay in the logbook.".to_owned(),
            columns: ["Record", "Now", "By the record", "Recorded by", "Because"].map(Column::left).to_vec(),
            rows: replaced,
            total: false,
        }));
    }
    if !earlier.is_empty() {
        blocks.push(Block::Table(Table {
            caption: format!("Written down in {} about earlier months", basis.period.words()),
            columns: ["Record", "Now", "By the record", "Recorded by", "Because"].map(Column::left).to_vec(),
            rows: earlier,
            total: false,
        }));
    }
    blocks.extend(corrections);
    if late.is_empty() {
        blocks.push(Block::Paragraph("No check of this period was written down late.".to_owned()));
    } else {
        blocks.push(Block::Table(Table {
            caption: format!("Checks written down more than {} after the work", basis.site.late_after),
            columns: vec![
                Column::left("Machine"),
                Column::left("Done"),
                Column::left("Written down"),
                Column::right("After"),
                Column::left("By"),
            ],
            rows: late,
            total: false,
        }));
    }
    let section = Section {
        id: "changes".to_owned(),
        title: "Corrections, late records, records left out".to_owned(),
        blocks,
        new_page: false,
    };
    (section, figures)
}

/// Returns a row that tells what a later record made of an earlier one, and why.
fn replaced_row(basis: &Basis<'_>, path: &str, how: &str, later: &Filed) -> Vec<String> {
    let because = match (&later.record.body, &later.record.common.corrects) {
        (Body::Void(void), _) => void.because.clone(),
        (_, Some(correction)) => correction.because.clone(),
        _ => String::new(),
    };
    let who = basis.people(std::slice::from_ref(&later.record.common.recorder().to_owned()));
    vec![path.to_owned(), how.to_owned(), later.path.clone(), who, because]
}
