//! Asking for a correction: the record line by line, one line picked and put right after the other, then why and who.
//!
//! A record may have more lines than a screen, so that they are shown in pages; the number of a line holds on every page.

use super::CorrectionInquiry;
use crate::bedside::console::{Console, Entered};
use crate::bedside::field::{Asked, Field};
use crate::bedside::given::Given;
use crate::bedside::inquiry::{Go, Inquiry, Keep, ask, whole};

/// What is said where nothing was put right.
pub(super) const NOTHING_DIFFERS: &str = "nothing differs from the record that is to be corrected";

/// This many lines are on a page, so that it fits a screen with its title and its keys.
const PAGE: usize = 16;
/// A longer line is cut where all are listed; it is shown whole when it is picked.
const WIDEST: usize = 76;

/// What a person wants who looks at the lines or reads everything over.
enum Wish {
    Change(String),
    /// Another page.
    Page(usize),
    On,
    Lines,
    Stop,
}

/// Asks for a correction, and returns the answers once the person says that it is to be recorded.
pub fn fill(
    console: &mut dyn Console,
    correction: &CorrectionInquiry<'_>,
    mut told: Given,
    keep: Keep<'_>,
) -> anyhow::Result<Option<Given>> {
    console.new_part()?;
    console.say(&correction.title())?;
    for line in correction.preface() {
        console.say(&format!("  {line}"))?;
    }
    let (mut looking, mut page) = (true, 0);
    let mut picked: Option<String> = None;
    loop {
        let (fields, answers) = whole(correction, &told, console.now(), |asked| asked == Asked::Known);
        let wanted = fields.iter().find(|field| Some(&*field.flag) == picked.as_deref());
        let open = || fields.iter().find(|field| !looking && !correction.stands(field, &answers));
        let Some(field) = wanted.or_else(open) else {
            let wish = if looking {
                pick(console, correction, &fields, &answers, page)?
            } else {
                read_over(console, correction, &fields, &answers)?
            };
            match wish {
                Wish::Stop => return Ok(None),
                Wish::Change(flag) => picked = Some(flag),
                Wish::Page(other) => page = other,
                Wish::Lines => looking = true,
                // An answer may have opened questions, and says nothing before they are answered.
                Wish::On if looking && open_line(correction, &fields, &answers) => looking = false,
                Wish::On if correction.differences(&answers, console.now()).is_empty() => {
                    console.say(&format!("  {NOTHING_DIFFERS}: pick the line that is wrong, or stop with q"))?;
                    looking = true;
                }
                Wish::On if looking => looking = false,
                Wish::On => return Ok(Some(answers)),
            }
            continue;
        };
        picked = None;
        match ask(console, correction, field, &answers)? {
            Go::Stop | Go::More(_) => return Ok(None),
            Go::Back => looking = true,
            Go::Answered(new) => {
                told.set(&field.flag, new);
                keep(&told)?;
                let (_, answers) = whole(correction, &told, console.now(), |asked| asked == Asked::Known);
                for line in correction.comes_to(&field.flag, &answers) {
                    console.say(&format!("  {line}"))?;
                }
            }
        }
    }
}

/// Returns whether a field is one of the correction itself, and not a line of the record.
fn is_own(field: &Field) -> bool {
    matches!(&*field.flag, "because" | "by")
}

/// Returns whether a line of the record waits for an answer.
fn open_line(correction: &CorrectionInquiry<'_>, fields: &[Field], answers: &Given) -> bool {
    fields.iter().any(|field| !is_own(field) && !correction.stands(field, answers))
}

/// Shows a page of the record's lines, and asks which of them is wrong.
fn pick(
    console: &mut dyn Console,
    correction: &CorrectionInquiry<'_>,
    fields: &[Field],
    answers: &Given,
    page: usize,
) -> anyhow::Result<Wish> {
    let lines: Vec<&Field> = fields.iter().filter(|field| !is_own(field)).collect();
    let pages = lines.len().div_ceil(PAGE).max(1);
    let page = page % pages;
    console.say("")?;
    for (n, field) in lines.iter().enumerate().skip(page * PAGE).take(PAGE) {
        let line = format!("{:>4}  {}: {}", n + 1, field.name, in_words(correction, field, answers));
        console.say(&shortened(&line))?;
    }
    let more = if pages > 1 { format!(", m: more lines ({} of {pages} shown)", page + 1) } else { String::new() };
    console.say(&format!("  (a number: change that line{more}, Enter: nothing else is wrong, q: stop)"))?;
    let field_of = |line: &str| line.parse::<usize>().ok().and_then(|n| lines.get(n.checked_sub(1)?));
    let check = |line: &str| match line {
        "" | "q" => Ok(()),
        "m" if pages > 1 => Ok(()),
        line if field_of(line).is_some() => Ok(()),
        _ => Err(format!("type the number of a line from 1 to {}, nothing, or q, and then Enter", lines.len())),
    };
    Ok(match console.line("which line is wrong?", "", &check)? {
        Entered::Stop => Wish::Stop,
        Entered::Escape => Wish::Page(page),
        Entered::Text(line) => match (line.as_str(), field_of(&line)) {
            ("", _) => Wish::On,
            ("m", _) => Wish::Page(page + 1),
            (_, Some(field)) => Wish::Change(field.flag.to_string()),
            _ => Wish::Stop,
        },
    })
}

/// Returns what a line says; both values where it was changed.
fn in_words(correction: &CorrectionInquiry<'_>, field: &Field, answers: &Given) -> String {
    let words = |answers: &Given| {
        let shown: Vec<String> = answers.all(&field.flag).iter().map(|answer| field.shown(answer)).collect();
        match (answers.has(&field.flag), shown.is_empty()) {
            (false, _) => "no answer yet".to_owned(),
            (true, true) => field.when_empty.to_owned(),
            (true, false) => shown.join("; "),
        }
    };
    let old = correction.answered();
    match old.has(&field.flag) && old.all(&field.flag) != answers.all(&field.flag) {
        true => format!("{} -> {}", words(&old), words(answers)),
        false => words(answers),
    }
}

fn shortened(line: &str) -> String {
    let line = line.replace('\n', " ");
    let line = line.trim_end();
    match line.chars().count() > WIDEST {
        true => format!("{}...", line.chars().take(WIDEST - 3).collect::<String>()),
        false => line.to_owned(),
    }
}

/// Shows both values of everything that was changed, why and who, and asks whether it is recorded.
fn read_over(
    console: &mut dyn Console,
    correction: &CorrectionInquiry<'_>,
    fields: &[Field],
    answers: &Given,
) -> anyhow::Result<Wish> {
    console.new_part()?;
    console.say(&format!("{}, to read over:", correction.title()))?;
    let differing = correction.differences(answers, console.now());
    let own = fields.iter().filter(|field| is_own(field));
    let own: Vec<_> =
        own.map(|field| (format!("{}: {}", field.name, in_words(correction, field, answers)), field)).collect();
    let lines = differing.iter().map(|one| (one.to_string(), field_of(fields, &one.key)));
    let lines: Vec<(String, Option<&Field>)> =
        lines.chain(own.into_iter().map(|(line, field)| (line, Some(field)))).collect();
    for ((line, _), n) in lines.iter().zip(1..) {
        console.say(&format!("  {n:>2}  {line}"))?;
    }
    for note in correction.notes(answers) {
        console.say(&format!("  {note}"))?;
    }
    console.say("  (y: record it, a number: change that line, b: back to all lines, q: stop)")?;
    let wanted = |line: &str| line.parse::<usize>().ok().and_then(|n| lines.get(n.checked_sub(1)?));
    let check = |line: &str| match line {
        "y" | "Y" | "b" | "q" => Ok(()),
        line if wanted(line).is_some() => Ok(()),
        _ => Err("type y, the number of a line, b or q, and then Enter".to_owned()),
    };
    Ok(match console.line("record it?", "", &check)? {
        Entered::Escape => Wish::Lines,
        Entered::Stop => Wish::Stop,
        Entered::Text(line) => match (line.as_str(), wanted(&line)) {
            ("y" | "Y", _) => Wish::On,
            ("b", _) | (_, Some((_, None))) => Wish::Lines,
            (_, Some((_, Some(field)))) => Wish::Change(field.flag.to_string()),
            _ => Wish::Stop,
        },
    })
}

/// Returns the field that answers a place of the record.
fn field_of<'a>(fields: &'a [Field], key: &str) -> Option<&'a Field> {
    let flag = match key {
        "by" => "done-by".to_owned(),
        "because" => "reason".to_owned(),
        "of" => "record".to_owned(),
        "parts" => "part".to_owned(),
        "instruments" => "instrument".to_owned(),
        "faults" => "fault".to_owned(),
        "found-during/items" => "items".to_owned(),
        "use/restricted" => "restriction".to_owned(),
        "use/until" => "until".to_owned(),
        "use/owner" => "owner".to_owned(),
        key => key.strip_prefix("results/").map_or(key.to_owned(), |place| format!("set {place}")),
    };
    fields.iter().find(|field| field.flag == flag)
}
