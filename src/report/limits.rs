//! Section: the limits that the checks of the period were judged by, each with its source.

use super::basis::Basis;
use super::document::{Block, Column, Section, Table};
use crate::procedure::Sheet;
use crate::register::Standing;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A limit as it was used, in the order of the table: procedure, revision, place of the item, title, limit, source.
type Used = (String, u32, usize, String, String, String);

/// Returns the section.
pub fn section(basis: &Basis<'_>) -> Section {
    // Which machines were judged by a limit: by procedure and revision, item, limit and source.
    let mut used: BTreeMap<Used, BTreeSet<String>> = BTreeMap::new();
    let mut memory = false;
    for (id, _, life) in basis.machines() {
        // A machine's own limits may change within the period, so every check tells what it was judged by.
        let mut seen: Vec<&Arc<Sheet>> = Vec::new();
        for check in basis.checks(life) {
            let (sheet, name, revision) =
                (check.judgement.sheet(), check.check.procedure.as_str(), check.check.revision);
            if seen.iter().any(|known| Arc::ptr_eq(known, sheet)) {
                continue;
            }
            seen.push(sheet);
            for (line, limit) in sheet.lines.iter().flat_map(|line| line.limits.iter().map(move |limit| (line, limit)))
            {
                memory |= limit.standing == Standing::Memory;
                let words = format!("{} {}", limit.of.words(), limit.words());
                used.entry((name.to_owned(), revision, line.n, line.item.title.clone(), words, limit.source_words()))
                    .or_default()
                    .insert(id.to_owned());
            }
        }
    }
    let everywhere = basis.machines().count();
    let rows = used
        .into_iter()
        .map(|((procedure, revision, _, item, words, source), machines)| {
            let machines = if machines.len() == everywhere {
                "all".to_owned()
            } else {
                machines.iter().map(|id| basis.machine(id)).collect::<Vec<_>>().join(", ")
            };
            vec![format!("{procedure} {revision}"), item, words, source, machines]
        })
        .collect();
    let mut blocks = vec![Block::Paragraph(
        "Each check was judged by the revision of the procedure it followed. Where a machine's maker states a limit of its own, that limit took the place of the procedure's."
            .to_owned(),
    )];
    if let Some(pressure) = &basis.site.barometric_pressure {
        blocks.push(Block::Paragraph(format!(
            "Barometric pressure of the site: {pressure}. An oxygen cell senses partial pressure, so oxygen monitors are calibrated in room air here."
        )));
    }
    if memory {
        blocks.push(Block::Notice(
            "Limits marked as from memory are examples and have not been confirmed in their source. Confirm them or replace them by your own."
                .to_owned(),
        ));
    }
    blocks.push(Block::Table(Table {
        caption: format!("Limits used in {}", basis.period.words()),
        columns: ["Procedure", "Item", "Limit", "Source", "Machines"].map(Column::left).to_vec(),
        rows,
        total: false,
    }));
    Section { id: "limits".to_owned(), title: "Limits and their sources".to_owned(), blocks, new_page: true }
}
