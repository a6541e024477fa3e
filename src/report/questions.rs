//! The sheet of questions about the records: a report of its own, with the same renderings.
//!
//! Takes a basis, has everything looked through by [`crate::question`], and words it. Machine and form come first; a
//! person is named only where a question is about that person's two places. Every kind says how much was looked at and
//! how much chance explains, also when there is nothing to ask.

use super::basis::Basis;
use super::build::about;
use super::document::{Block, Column, Figure, Report, Section, Table, Tile};
use super::notes::provenance;
use super::proportion::count;
use crate::diagnostic::counted;
use crate::question::{self, Asked, Copies, Finer, Questions, Short, Span, TwoPlaces, Weighed};
use crate::record::moment::spoken;

/// What the sheet is for, and what it cannot show.
const WHY: [&str; 3] = [
    "This sheet exists because a binder is worth as much as its records. It looks for records that contradict themselves, that repeat each other, or that follow a pattern which chance hardly makes. Each is worth asking about and no more: most have an innocent reason, such as a clock that was wrong, a check written down twice, a gauge that sticks, or a form that takes longer than anybody has.",
    "It cannot show that anybody did anything wrong. Honest people write the same number on many days when a gauge is coarse or hardly moves, so that repeats are weighed against the history of the same machine. Nor can it show that a record without a question is true.",
    "Look at the machine, its gauges and the form first. Nothing here is counted by person. The sheet is no part of the binder unless the hospital wants it there.",
];

/// How each kind of question is found.
const METHODS: [&str; 8] = [
    "Shorter than its holds: the times held in a check, failed tries included, are longer together than the check lasted, counted once for each person who did it. Times written to the whole minute may be a minute off. Looked at: checks in which something is held for a time.",
    "Two places: two records name the same person, and nobody else, on different machines at the same time, for a minute or longer. Where one of them is a repair or a service, which may be left for a while, it is only perhaps so. Overlaps with a second name on a record are counted and not asked about. Repairs that name a wait are left out. Looked at: checks, repairs and services.",
    "Finer than the gauge: a reading that is no whole number of the steps which the machine's file states for that gauge, in the same unit. Looked at: readings whose gauge has a stated step.",
    "Equal to the check before: every number of a check equals that of the check before it, of the same machine and procedure. Looked at: checks with the same items as the check before, and with at least two values that vary. By chance: for each value, how often it stayed the same in the twelve months before, (k + 1) of (n + 1); their product is the chance of one copy, or the share of copies in those twelve months when that is larger; the sum over the checks is what chance makes at most. The chance of as many copies is the exact upper tail of the Poisson binomial distribution, that of as many in a row the exact chance of such a run; twice the smaller one counts. The product takes the values of one day to be independent of each other.",
    "Streak: the same reading in a row. Looked at: readings of one place of one machine, at least ten in the period, with at least 20 neighbours to compare in the twelve months before. The chance is the larger of two: that of a run of repeats as often as the machine repeated itself in those twelve months (Feller, An Introduction to Probability Theory 1968, volume 1), and that of such a run when the period's own readings are put in any order.",
    "Fifth marks: readings on every fifth step of a gauge, over the period and the twelve months before, beside the same item on the other machines with the same step, by Fisher's exact test, one-sided. Looked at: machines with at least 50 readings, others with at least 50 together, and a spread of at least five steps. A reading counts once until it changes.",
    "Copies, streaks and fifth marks make one family of chances. What is asked about is chosen so that at most 5 in 100 such questions are expected to be chance alone (Benjamini and Hochberg, J R Stat Soc B 1995; 57: 289–300), and so that honest records give any at most about 5 times in 100 sheets.",
    "A record that was corrected or voided is not looked at; its correction is. A record committed before the work was finished is refused, so that there is none to ask about.",
];

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
        impossible(basis, &questions),
        copied(basis, &questions.copies),
        patterns(basis, &questions),
        methods(basis),
    ];
    Report { about, figures: figures(&questions), sections }
}

fn first(basis: &Basis<'_>, questions: &Questions) -> Section {
    let impossible =
        questions.short.questions.len() + questions.places.asked.questions.len() + questions.finer.questions.len();
    let copies = asked(&questions.copies);
    let patterns = asked(&questions.streaks) + asked(&questions.marks);
    let tile = |label: &str, n: usize, detail: String| Tile { label: label.to_owned(), value: n.to_string(), detail };
    let mut blocks = vec![Block::Tiles(vec![
        tile(
            "Not possible as written",
            impossible,
            "a check shorter than its holds, one person in two places, a reading finer than its gauge".to_owned(),
        ),
        tile(
            "Copies",
            copies,
            format!(
                "{} with more checks equal to the one before than chance makes, of {} looked at",
                if copies == 1 { "series" } else { "series of checks" },
                questions.copies.len()
            ),
        ),
        tile(
            "Patterns",
            patterns,
            format!(
                "of {} series of readings looked at for streaks and {} for fifth marks",
                questions.streaks.len(),
                questions.marks.len()
            ),
        ),
    ])];
    let words = basis.period.words();
    blocks.push(match questions.count() {
        0 => Block::Paragraph(format!("There is nothing to ask about in {words}.")),
        n => Block::Paragraph(format!(
            "{} about the records of {words} {} worth asking.",
            counted(n, "question"),
            if n == 1 { "is" } else { "are" }
        )),
    });
    blocks.extend(WHY.map(|text| Block::Paragraph(text.to_owned())));
    Section { id: "why".to_owned(), title: "What is worth asking about".to_owned(), blocks, new_page: false }
}

fn impossible(basis: &Basis<'_>, questions: &Questions) -> Section {
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

fn list<T>(questions: &[T], words: impl Fn(&T) -> String) -> Option<Block> {
    (!questions.is_empty()).then(|| Block::List(questions.iter().map(words).collect()))
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

/// How many readings or records of one question are named.
const NAMED: usize = 5;

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

fn more(n: usize) -> String {
    n.checked_sub(NAMED).filter(|rest| *rest > 0).map_or_else(String::new, |rest| format!("; and {rest} more"))
}

/// Returns a length of time with its seconds, since seconds matter here.
fn lasted(seconds: i64) -> String {
    match seconds {
        60..3600 if seconds % 60 != 0 => format!("{} min {} s", seconds / 60, seconds % 60),
        _ => spoken(seconds),
    }
}

fn copied(basis: &Basis<'_>, copies: &[Weighed<Copies>]) -> Section {
    let looked_at: usize = copies.iter().map(|c| c.what.looked_at).sum();
    let equal: usize = copies.iter().map(|c| c.what.copies.len()).sum();
    let by_chance: f64 = copies.iter().map(|c| c.what.by_chance).sum();
    let mut blocks = Vec::new();
    if looked_at == 0 {
        blocks.push(Block::Paragraph(
            "No check could be looked at: that takes about a month of checks of the same machine and procedure, with at least two values that vary."
                .to_owned(),
        ));
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

fn patterns(basis: &Basis<'_>, questions: &Questions) -> Section {
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
        (0, _) => "None could be looked at: there are too few readings.".to_owned(),
        (n, 0) => format!("{n} {thing} looked at; none to ask about. By chance at most 1 sheet in 20 has any."),
        (n, k) => format!(
            "{n} {thing} looked at; {} below, at most {} of them expected by chance.",
            counted(k, "question"),
            at_most(k as f64 * question::FALSE_SHARE)
        ),
    })
}

fn methods(basis: &Basis<'_>) -> Section {
    Section {
        id: "method".to_owned(),
        title: "How each question is found".to_owned(),
        blocks: vec![
            Block::List(METHODS.map(str::to_owned).to_vec()),
            Block::Heading("What this sheet was built from".to_owned()),
            Block::List(provenance(basis)),
        ],
        new_page: true,
    }
}

fn figures(questions: &Questions) -> Vec<Figure> {
    let of =
        |figure: &str, k: usize, n: usize, note: &str| Figure { n: Some(n as u64), ..count(figure, "all", k, note) };
    let mut figures = vec![
        of(
            "checks-shorter-than-holds",
            questions.short.questions.len(),
            questions.short.looked_at,
            "of the checks with a time held; none by chance",
        ),
        of(
            "person-in-two-places",
            questions.places.asked.questions.len(),
            questions.places.asked.looked_at,
            "overlaps among the checks, repairs and services; none by chance",
        ),
        of(
            "readings-finer-than-gauge",
            questions.finer.questions.iter().map(|f| f.readings.len()).sum(),
            questions.finer.looked_at,
            "of the readings whose gauge has a stated step; none by chance",
        ),
    ];
    for c in &questions.copies {
        let id = format!("{}/{}", c.what.machine, c.what.procedure);
        let asked = if c.asked() { "worth asking about" } else { "not asked about" };
        let note = format!("equal to the check before, {asked}; at most {} by chance", at_most(c.what.by_chance));
        figures.push(Figure {
            n: Some(c.what.looked_at as u64),
            ..count("copied-checks", &id, c.what.copies.len(), note)
        });
    }
    figures.push(of(
        "streaks",
        asked(&questions.streaks),
        questions.streaks.len(),
        "series of readings with a streak worth asking about",
    ));
    figures.push(of(
        "fifth-marks",
        asked(&questions.marks),
        questions.marks.len(),
        "series of readings with fifth marks worth asking about",
    ));
    figures
}

fn asked<T>(all: &[Weighed<T>]) -> usize {
    all.iter().filter(|one| one.asked()).count()
}

fn procedure(basis: &Basis<'_>, id: &str) -> String {
    let revisions = basis.contents.procedures.values().filter(|p| p.procedure == id);
    revisions.last().map_or_else(|| id.to_owned(), |p| p.title.clone())
}

/// Returns a number of things expected, rounded up to hundredths.
fn at_most(expected: f64) -> String {
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
    use super::*;

    #[test]
    fn a_chance_is_never_called_smaller_than_it_is() {
        assert_eq!(
            [0.05, 0.003, 0.7, 1.0].map(one_in),
            ["1 in 20", "1 in 333", "more than 1 in 2", "more than 1 in 2"]
        );
        assert_eq!(one_in(1e-30), "less than 1 in 1000000");
        assert_eq!([0.0, 0.0301, 0.05, 1.0].map(at_most), ["0.01", "0.04", "0.05", "1.00"]);
    }

    #[test]
    fn short_times_keep_their_seconds() {
        assert_eq!([42, 60, 95, 7200].map(lasted), ["42 s", "1 min", "1 min 35 s", "2 h"]);
    }
}
