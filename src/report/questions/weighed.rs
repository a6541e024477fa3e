//! Sections: copies and patterns, each with how likely it is by chance.

use super::notes::{TOO_FEW_CHECKS, TOO_FEW_READINGS};
use super::{NAMED, asked, list, more};
use crate::diagnostic::counted;
use crate::question::{Copies, FALSE_SHARE, Questions, Weighed};
use crate::report::basis::Basis;
use crate::report::document::{Block, Column, Section, Table};

/// Returns the section on checks that equal the one before.
pub fn copied(basis: &Basis<'_>, copies: &[Weighed<Copies>]) -> Section {
    let looked_at: usize = copies.iter().map(|c| c.what.looked_at).sum();
    let equal: usize = copies.iter().map(|c| c.what.copies.len()).sum();
    let by_chance: f64 = copies.iter().map(|c| c.what.by_chance).sum();
    let mut blocks = Vec::new();
    if looked_at == 0 {
        blocks.push(Block::Paragraph(format!("No check could be looked at: {TOO_FEW_CHECKS}.")));
    } else {
        blocks.push(Block::Paragraph(format!(
            "{} looked at; {equal} equal to the one before in every number; at most {} expected by chance.",
            counted(looked_at, "check"),
            at_most(by_chance)
        )));
        blocks.push(Block::Table(Table {
            caption: format!("Checks equal to the one before, {}", basis.period.words()),
            columns: vec![
                Column::left("Machine"),
                Column::left("Procedure"),
                Column::right("Looked at"),
                Column::right("Equal"),
                Column::right("By chance at most"),
                Column::right("In a row"),
                Column::right("Chance"),
                Column::left("Asked about"),
            ],
            rows: copies.iter().map(|c| row(basis, c)).collect(),
            total: false,
        }));
    }
    let questions: Vec<&Weighed<Copies>> = copies.iter().filter(|c| c.asked()).collect();
    blocks.extend(list(&questions, |c| copy(basis, &c.what)));
    Section { id: "copies".to_owned(), title: "Checks equal to the check before".to_owned(), blocks, new_page: false }
}

fn row(basis: &Basis<'_>, c: &Weighed<Copies>) -> Vec<String> {
    vec![
        basis.machine(&c.what.machine),
        procedure(basis, &c.what.procedure),
        c.what.looked_at.to_string(),
        c.what.copies.len().to_string(),
        at_most(c.what.by_chance),
        c.what.in_a_row.to_string(),
        if c.what.copies.is_empty() { "–".to_owned() } else { one_in(c.p) },
        if c.asked() { "yes" } else { "no" }.to_owned(),
    ]
}

fn copy(basis: &Basis<'_>, q: &Copies) -> String {
    let fewest = q.copies.iter().map(|copy| copy.varying).min().unwrap_or(0);
    let paths: Vec<&str> = q.copies.iter().take(NAMED).map(|copy| copy.path.as_str()).collect();
    format!(
        "{}, {}: {} equal to the one before in every number, up to {} in a row; {fewest} values or more vary from check to check. Was the form filled in ahead or from the last one, or was one check written down twice? See {}{}",
        basis.machine(&q.machine),
        procedure(basis, &q.procedure),
        counted(q.copies.len(), "check"),
        q.in_a_row,
        paths.join("; "),
        more(q.copies.len())
    )
}

/// Returns the section on streaks and fifth marks.
pub fn patterns(basis: &Basis<'_>, questions: &Questions) -> Section {
    let mut blocks = vec![Block::Heading("Streaks of the same reading".to_owned())];
    blocks.push(weighed(&questions.streaks, "series of readings"));
    let streaks: Vec<_> = questions.streaks.iter().filter(|s| s.asked()).collect();
    blocks.extend(list(&streaks, |s| {
        format!(
            "{}, {} ({}): the same reading {} times in a row among {}; by chance {}. Does the gauge stick, or was the number carried over? From {} to {}",
            basis.machine(&s.what.machine),
            basis.item(&s.what.place),
            procedure(basis, &s.what.procedure),
            s.what.longest,
            s.what.looked_at,
            one_in(s.p),
            s.what.from,
            s.what.until
        )
    }));
    blocks.push(Block::Heading("Readings on every fifth mark".to_owned()));
    blocks.push(weighed(&questions.marks, "series of readings"));
    let marks: Vec<_> = questions.marks.iter().filter(|m| m.asked()).collect();
    blocks.extend(list(&marks, |m| {
        format!(
            "{}, {}: {} of {} readings on a fifth step of {}, on the other machines {} of {}; by chance {}. Are the marks between hard to read on this gauge?",
            basis.machine(&m.what.machine),
            basis.item(&m.what.place),
            m.what.on_mark,
            m.what.of,
            m.what.step,
            m.what.others_on_mark,
            m.what.others,
            one_in(m.p)
        )
    }));
    Section {
        id: "patterns".to_owned(),
        title: "Patterns that chance hardly makes".to_owned(),
        blocks,
        new_page: false,
    }
}

fn weighed<T>(all: &[Weighed<T>], thing: &str) -> Block {
    Block::Paragraph(match (all.len(), asked(all)) {
        (0, _) => format!("None could be looked at: {TOO_FEW_READINGS}."),
        (n, 0) => format!("{n} {thing} looked at; none to ask about. By chance at most 1 sheet in 20 has any."),
        (n, k) => format!(
            "{n} {thing} looked at; {} below, at most {} of them expected by chance.",
            counted(k, "question"),
            at_most(k as f64 * FALSE_SHARE)
        ),
    })
}

fn procedure(basis: &Basis<'_>, id: &str) -> String {
    let revisions = basis.contents.procedures.values().filter(|p| p.procedure == id);
    revisions.max_by_key(|p| p.revision).map_or_else(|| id.to_owned(), |p| p.title.clone())
}

/// Returns a number of things expected, rounded up to hundredths.
pub fn at_most(expected: f64) -> String {
    // What the rounding of binary fractions adds is no reason to step up.
    let hundredths = (expected * 100.0 - 1e-9).ceil().max(1.0);
    format!("{:.2}", hundredths / 100.0)
}

/// Returns a chance as people say it, rounded so that it is never called smaller than it is.
fn one_in(p: f64) -> String {
    const RARE: f64 = 1e6;
    match 1.0 / p {
        odds if odds >= RARE => "less than 1 in 1000000".to_owned(),
        odds if odds >= 2.0 => format!("1 in {}", odds.floor()),
        _ => "more than 1 in 2".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::{at_most, one_in};

    #[test]
    fn a_chance_is_never_called_smaller_than_it_is() {
        assert_eq!(
            [0.05, 0.003, 0.7, 1.0].map(one_in),
            ["1 in 20", "1 in 333", "more than 1 in 2", "more than 1 in 2"]
        );
        assert_eq!(one_in(1e-30), "less than 1 in 1000000");
        assert_eq!([0.0, 0.0301, 0.05, 1.0].map(at_most), ["0.01", "0.04", "0.05", "1.00"]);
    }
}
