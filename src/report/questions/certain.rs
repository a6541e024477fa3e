//! Section: what is not possible as written. Chance makes none of these.

use super::{NAMED, list, more};
use crate::diagnostic::counted;
use crate::question::{Asked, Finer, Questions, Short, TwoPlaces, Unbelieved};
use crate::record::moment::spoken;
use crate::report::basis::Basis;
use crate::report::document::{Block, Section};

/// Returns the section.
pub fn impossible(basis: &Basis<'_>, questions: &Questions) -> Section {
    let mut blocks = vec![Block::Heading("Checks shorter than the times held in them".to_owned())];
    blocks.push(told(&questions.short, "checks in which something is held for a time"));
    blocks.extend(list(&questions.short.questions, |q| short(basis, q)));
    blocks.push(Block::Heading("One person in two places".to_owned()));
    blocks.push(told(&questions.places.asked, "checks, repairs and services"));
    blocks.extend(list(&questions.places.asked.questions, |q| two_places(basis, q)));
    if questions.places.with_others > 0 {
        blocks.push(Block::Paragraph(format!(
            "{} of two records by the same person, one of which at least names somebody else too, are not asked about: that other person may have done it.",
            counted(questions.places.with_others, "further overlap")
        )));
    }
    blocks.push(Block::Heading("Readings finer than their gauge".to_owned()));
    blocks.push(match questions.finer.looked_at {
        0 => Block::Paragraph(
            "No reading could be looked at: no machine's file states what its gauges can show (`finest-step`)."
                .to_owned(),
        ),
        _ => told(&questions.finer, "readings of gauges with a stated step"),
    });
    blocks.extend(list(&questions.finer.questions, |q| finer(basis, q)));
    blocks.push(Block::Heading("Numbers that are hard to believe".to_owned()));
    blocks.push(told(&questions.beyond, "answers"));
    blocks.extend(list(&questions.beyond.questions, |q| beyond(basis, q)));
    Section { id: "impossible".to_owned(), title: "Not possible as written".to_owned(), blocks, new_page: false }
}

/// Says how much was looked at and what came of it. Chance makes none of these.
fn told<T>(asked: &Asked<T>, things: &str) -> Block {
    let looked_at = format!("{} {things} looked at", asked.looked_at);
    Block::Paragraph(match asked.questions.len() {
        0 => format!("{looked_at}; none to ask about. None is expected by chance."),
        n => format!("{looked_at}; {} below. None is expected by chance.", counted(n, "question")),
    })
}

fn short(basis: &Basis<'_>, q: &Short) -> String {
    let people = if q.people == 1 { String::new() } else { format!(" by {} people", q.people) };
    format!(
        "{}: a check lasted {}{people}, and the times held in it come to {}. Was a time mistyped, or a hold not done as long as written? See {}",
        basis.machine(&q.machine),
        lasted(q.lasted),
        lasted(q.held),
        q.path
    )
}

fn two_places(basis: &Basis<'_>, q: &TwoPlaces) -> String {
    let sure = if q.certain { "" } else { "perhaps " };
    let why = if q.certain {
        "Is a clock wrong, or a name missing?"
    } else {
        "Was one of them left for a while, or is a clock wrong?"
    };
    format!(
        "{} and {}: {sure}one person in two places for {}, {}. {why} See {} and {}",
        basis.machine(&q.machines[0]),
        basis.machine(&q.machines[1]),
        lasted(q.overlap),
        basis.people(std::slice::from_ref(&q.person)),
        q.paths[0],
        q.paths[1]
    )
}

fn finer(basis: &Basis<'_>, q: &Finer) -> String {
    let named: Vec<String> =
        q.readings.iter().take(NAMED).map(|(reading, path)| format!("{reading} in {path}")).collect();
    format!(
        "{}, {}: {} of {} {} no whole number of steps of {}. Does the gauge show more than the machine's file says, or was the number reckoned? {}{}",
        basis.machine(&q.machine),
        basis.item(&q.place),
        q.readings.len(),
        counted(q.of, "reading"),
        if q.readings.len() == 1 { "is" } else { "are" },
        q.step,
        named.join("; "),
        more(q.readings.len())
    )
}

fn beyond(basis: &Basis<'_>, q: &Unbelieved) -> String {
    format!(
        "{}, {}: {}; {}. Was it mistyped, or is the gauge broken? See {}",
        basis.machine(&q.machine),
        basis.item(&q.place),
        q.doubt.number,
        q.doubt.why,
        q.path
    )
}

/// Returns a length of time with its seconds, since seconds matter here.
fn lasted(seconds: i64) -> String {
    match seconds {
        60..3600 if seconds % 60 != 0 => format!("{} min {} s", seconds / 60, seconds % 60),
        _ => spoken(seconds),
    }
}

#[cfg(test)]
mod tests {
    use super::lasted;

    #[test]
    fn short_times_keep_their_seconds() {
        assert_eq!([42, 60, 95, 7200].map(lasted), ["42 s", "1 min", "1 min 35 s", "2 h"]);
    }
}
