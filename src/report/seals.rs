//! Section: the seals of the period's months, the number that stands for each, and what came after.

use super::basis::Basis;
use super::document::{Block, Column, Picture, Section, Table};
use super::picture::{Card, CardLine};
use crate::diagnostic::counted;
use crate::record::moment::start_of_day;
use crate::seal::{Month, NumberedSeal, SealInHistory, Sought};

/// Returns the section.
pub fn section(basis: &Basis<'_>) -> Section {
    let months = months(basis);
    let mut blocks: Vec<Block> = basis.seals.iter().flat_map(broken).collect();
    if let Some(newest) = basis.seals.last() {
        let rows =
            if months.len() > 1 { basis.seals.iter().map(|seal| row(basis, seal)).collect() } else { Vec::new() };
        blocks.push(card(basis, newest, rows));
        blocks.push(Block::Paragraph(
            "The number stands for the records, people, machines, procedures and calendar as they were at that moment, and \
             for every seal before it. Keep this page outside the computer: with it, anybody can tell at any later time \
             whether a record was changed. It does not cover the figures of this report, which are counted anew from the \
             records, and it does not tell that what was written down is true."
                .to_owned(),
        ));
    }
    let sealed = |month: &Month| basis.seals.iter().any(|seal| seal.numbered.seal.seal == *month);
    let open: Vec<Month> = months.into_iter().filter(|month| !sealed(month)).collect();
    blocks.extend(not_sealed(basis, &open).map(Block::Paragraph));
    for seal in basis.seals {
        blocks.extend(late(seal));
        blocks.extend(changed(seal));
        blocks.extend(replaced(seal));
    }
    Section { id: "seal".to_owned(), title: "Seal".to_owned(), blocks, new_page: false }
}

/// Returns what rests on other files than it did when a month was sealed.
fn changed(seal: &SealInHistory) -> Option<Block> {
    let files = seal.changed.join(", ");
    (!files.is_empty()).then(|| {
        Block::Paragraph(format!(
            "Changed since {} was sealed, which may change figures but no record: {files}.",
            seal.numbered.seal.seal.words()
        ))
    })
}

/// Returns which of the sealed records do not count any more.
fn replaced(seal: &SealInHistory) -> Option<Block> {
    let records = counted(seal.replaced.len(), "record");
    let (month, paths) = (seal.numbered.seal.seal.words(), seal.replaced.join(", "));
    (!paths.is_empty())
        .then(|| Block::Paragraph(format!("Corrected or declared void since {month} was sealed, {records}: {paths}.")))
}

/// Returns what the foot of every page says of the newest seal, after the rest.
pub fn foot(basis: &Basis<'_>) -> String {
    match basis.seals.last() {
        None => String::new(),
        Some(seal) if !seal.problems.is_empty() => format!(" · seal of {} does not hold", seal.numbered.seal.seal),
        Some(seal) => format!(" · seal of {}: {}", seal.numbered.seal.seal, seal.numbered.number.short()),
    }
}

/// Returns the months of which days lie in the period.
fn months(basis: &Basis<'_>) -> Vec<Month> {
    Month::of(basis.period.first.0).through(Month::of(basis.period.last().0))
}

fn broken(seal: &SealInHistory) -> Vec<Block> {
    let notice = |problem: &crate::diagnostic::Diagnostic| {
        Block::Notice(format!("This seal does not hold. {} ({}).", sentence(&problem.headline), problem.label))
    };
    seal.problems.iter().map(notice).collect()
}

/// Returns a headline as a sentence without its end.
fn sentence(headline: &str) -> String {
    let mut letters = headline.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn card(basis: &Basis<'_>, newest: &SealInHistory, rows: Vec<Vec<String>>) -> Block {
    let numbered = &newest.numbered;
    let seal = &numbered.seal;
    let (when, who) = made(basis, newest);
    let sealed = match &newest.made {
        None => format!("sealed {when} by {who}"),
        Some(_) => format!("committed {when} by {who}, not as it says"),
    };
    let covers = format!(
        "{} of the month, {} of the logbook",
        counted(seal.month.records, "record"),
        counted(seal.logbook.files, "file")
    );
    let before = match &seal.before {
        Some(before) => {
            format!("follows the seal of {}, whose number begins {}", before.seal.words(), before.sha256.short())
        }
        None => "the first seal of this logbook".to_owned(),
    };
    let groups = numbered.number.in_groups();
    let line = |words: &str, bold| CardLine { words: words.to_owned(), bold };
    let mut lines =
        vec![line(&format!("Seal of {}", seal.seal.words()), true), line(&sealed, false), line(&covers, false)];
    lines.push(line("number:", false));
    lines.extend(groups.split(' ').collect::<Vec<_>>().chunks(4).map(|four| line(&four.join(" "), true)));
    lines.push(line(&before, false));
    let columns = if rows.is_empty() {
        Vec::new()
    } else {
        vec![
            Column::left("Month"),
            Column::left("Sealed"),
            Column::left("By"),
            Column::right("Records"),
            Column::left("Number begins"),
        ]
    };
    let caption = if rows.is_empty() { String::new() } else { "Every seal of the period".to_owned() };
    Block::Picture(Picture {
        id: "seal-code".to_owned(),
        caption: format!("Seal of {}", seal.seal.words()),
        reads: format!("The records of {} were {sealed}: {covers}; {before}. Number: {groups}.", seal.seal.words()),
        drawing: Card { code: Sought::code(numbered), lines }.draw(),
        table: Table { caption, columns, rows, total: false },
    })
}

/// Returns when a seal was made and by whom: as it says, or as its commit says where that is not so.
fn made(basis: &Basis<'_>, seal: &SealInHistory) -> (String, String) {
    match &seal.made {
        Some(made) => (basis.clock(made.moment), made.author.clone()),
        None => {
            let seal = &seal.numbered.seal;
            (basis.clock(seal.sealed), basis.people(std::slice::from_ref(&seal.by)))
        }
    }
}

fn row(basis: &Basis<'_>, seal: &SealInHistory) -> Vec<String> {
    let (when, who) = made(basis, seal);
    let NumberedSeal { seal, number } = &seal.numbered;
    vec![seal.seal.words(), when, who, seal.month.records.to_string(), number.short()]
}

/// Returns which months have no seal, and what to do.
fn not_sealed(basis: &Basis<'_>, open: &[Month]) -> Option<String> {
    let (first, last) = (open.first()?, open.last()?);
    let many = open.len() > 1;
    let names = open.iter().map(|month| month.words()).collect::<Vec<_>>().join(", ");
    let what = format!("Not sealed: {names}.");
    let newest = basis.contents.seals.keys().next_back();
    let over = start_of_day(last.next().first_day(), basis.site.time_zone) <= basis.as_of;
    let next = if basis.built_from.is_none() {
        "Only files in a git history can be sealed.".to_owned()
    } else if let Some(newest) = newest.filter(|newest| last < newest) {
        let they = if many { "They come" } else { "It comes" };
        format!("{they} before the first seal of this logbook; the seal of {} covers the records.", newest.words())
    } else if !over {
        format!("{} is not over; a month is sealed when it is.", last.words())
    } else {
        let from = newest.map_or(*first, |newest| newest.next());
        let span = if from < *last { format!("{from}..{last}") } else { last.to_string() };
        format!("`pinindex seal {span} --by ID` closes {}.", if many { "them" } else { "it" })
    };
    Some(format!("{what} {next}"))
}

/// Returns the records that came after a seal.
fn late(seal: &SealInHistory) -> Vec<Block> {
    let month = seal.numbered.seal.seal.words();
    match seal.late.as_deref() {
        None => vec![Block::Paragraph(format!("Whether records of {month} came after its seal cannot be said here."))],
        Some([]) => Vec::new(),
        Some(paths) => vec![
            Block::Paragraph(format!(
                "{} of {month} came after its seal. The next seal covers {}:",
                counted(paths.len(), "record"),
                if paths.len() == 1 { "it" } else { "them" }
            )),
            Block::List(paths.to_vec()),
        ],
    }
}
