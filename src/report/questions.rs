//! The sheet of questions about the records: a report of its own, with the same renderings.
//!
//! Takes a basis, has everything looked through by [`crate::question`], and words it. Machine and form come first; a
//! person is named only where a question is about that person's two places. Every kind says how much was looked at and
//! how much chance explains, also when there is nothing to ask.

mod certain;
mod figures;
mod notes;
mod weighed;

use super::basis::Basis;
use super::build::about;
use super::document::{Block, Report, Section, Tile};
use crate::diagnostic::counted;
use crate::question::{self, Questions, Span, Weighed};
use notes::{TOO_FEW_CHECKS, TOO_FEW_READINGS, WHY};

/// Looks through the records of a period and words what is worth asking about.
pub fn build(basis: &Basis<'_>) -> Report {
    let span = Span {
        first: basis.period.first,
        after: basis.period.after,
        last_moment: basis.last_moment(),
        zone: basis.site.time_zone,
    };
    let questions = question::ask(basis.contents, basis.lives, &span);
    let mut about = about(basis);
    about.title = "Anaesthesia machine checks: questions about the records".to_owned();
    let sections = vec![
        first(basis, &questions),
        certain::impossible(basis, &questions),
        weighed::copied(basis, &questions.copies),
        weighed::patterns(basis, &questions),
        notes::methods(basis),
    ];
    Report { about, figures: figures::figures(&questions), sections }
}

fn first(basis: &Basis<'_>, questions: &Questions) -> Section {
    let impossible =
        questions.short.questions.len() + questions.places.asked.questions.len() + questions.finer.questions.len();
    let impossible = impossible + questions.beyond.questions.len();
    let copies = asked(&questions.copies);
    let patterns = asked(&questions.streaks) + asked(&questions.marks);
    // Nothing found among nothing looked at is no nought.
    let tile = |label: &str, n: usize, looked_at: usize, detail: String| Tile {
        label: label.to_owned(),
        value: if looked_at == 0 { "too little data".to_owned() } else { n.to_string() },
        detail,
    };
    let series = questions.copies.len();
    let (streaks, marks) = (questions.streaks.len(), questions.marks.len());
    let certain = questions.short.looked_at + questions.places.asked.looked_at + questions.finer.looked_at;
    let certain = certain + questions.beyond.looked_at;
    let mut blocks = vec![Block::Tiles(vec![
        tile(
            "Not possible as written",
            impossible,
            certain,
            "a check shorter than its holds, one person in two places, a reading finer than its gauge, a number hard to believe"
                .to_owned(),
        ),
        tile(
            "Copies",
            copies,
            series,
            match series {
                0 => TOO_FEW_CHECKS.to_owned(),
                n => format!("of {n} series of checks, with more checks equal to the one before than chance makes"),
            },
        ),
        tile(
            "Patterns",
            patterns,
            streaks + marks,
            match (streaks, marks) {
                (0, 0) => TOO_FEW_READINGS.to_owned(),
                _ => format!("of {streaks} series of readings looked at for streaks and {marks} for fifth marks"),
            },
        ),
    ])];
    let words = basis.period.words();
    blocks.push(match questions.count() {
        0 => Block::Paragraph(format!("Of what could be looked at in {words}, nothing is worth asking about.")),
        n => Block::Paragraph(format!(
            "{} about the records of {words} {} worth asking.",
            counted(n, "question"),
            if n == 1 { "is" } else { "are" }
        )),
    });
    blocks.extend(list(&heads(basis, questions), Clone::clone));
    blocks.extend(WHY.map(|text| Block::Paragraph(text.to_owned())));
    Section { id: "why".to_owned(), title: "What is worth asking about".to_owned(), blocks, new_page: false }
}

/// Returns every question in a few words, for page one.
fn heads(basis: &Basis<'_>, questions: &Questions) -> Vec<String> {
    let machine = |id: &str| basis.machine(id);
    let item = |id: &str, place: &str| format!("{}, {}", basis.machine(id), basis.item(place));
    let short = &questions.short.questions;
    let places = &questions.places.asked.questions;
    let copies = questions.copies.iter().filter(|c| c.asked());
    let streaks = questions.streaks.iter().filter(|s| s.asked());
    let marks = questions.marks.iter().filter(|m| m.asked());
    (short.iter().map(|q| format!("{}: a check shorter than the times held in it", machine(&q.machine))))
        .chain(places.iter().map(|q| {
            let sure = if q.certain { "" } else { "perhaps " };
            format!("{} and {}: {sure}one person in two places", machine(&q.machines[0]), machine(&q.machines[1]))
        }))
        .chain(questions.finer.questions.iter().map(|q| {
            format!("{}: {} finer than the gauge", item(&q.machine, &q.place), counted(q.readings.len(), "reading"))
        }))
        .chain(
            questions
                .beyond
                .questions
                .iter()
                .map(|q| format!("{}: {} is hard to believe", item(&q.machine, &q.place), q.doubt.number)),
        )
        .chain(copies.map(|c| {
            let n = counted(c.what.copies.len(), "check");
            format!("{}: {n} equal to the one before in every number", machine(&c.what.machine))
        }))
        .chain(streaks.map(|s| {
            format!("{}: the same reading {} times in a row", item(&s.what.machine, &s.what.place), s.what.longest)
        }))
        .chain(marks.map(|m| format!("{}: readings on every fifth mark", item(&m.what.machine, &m.what.place))))
        .collect()
}

fn list<T>(questions: &[T], words: impl Fn(&T) -> String) -> Option<Block> {
    (!questions.is_empty()).then(|| Block::List(questions.iter().map(words).collect()))
}

/// How many readings or records of one question are named.
const NAMED: usize = 5;

fn more(n: usize) -> String {
    n.checked_sub(NAMED).filter(|rest| *rest > 0).map_or_else(String::new, |rest| format!("; and {rest} more"))
}

fn asked<T>(all: &[Weighed<T>]) -> usize {
    all.iter().filter(|one| one.asked()).count()
}
