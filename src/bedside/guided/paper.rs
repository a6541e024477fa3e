//! What a sheet of paper says at its head: the day, the times, the people, and the code printed on it.

use super::people;
use crate::bedside::clock_time;
use crate::bedside::console::{Console, Entered};
use crate::bedside::{Draft, Step};
use crate::contents::Contents;
use crate::record::{Date, Form, FormOn};
use chrono::Duration;
use chrono_tz::Tz;

/// Asks of which day the sheet is. Nothing when the person stopped.
///
/// # Errors
/// The console fails.
pub fn day(console: &mut dyn Console, today: Date) -> anyhow::Result<Option<Date>> {
    let day = |text: &str| match text.parse::<Date>() {
        Err(_) => Err(format!("write the day as {today}")),
        Ok(day) if day > today => Err("that day has not come yet".to_owned()),
        Ok(day) => Ok(day),
    };
    let typed = console.line("day on the sheet:", &today.to_string(), &|text| day(text).map(|_| ()))?;
    Ok(match typed {
        Entered::Text(text) => day(&text).ok(),
        Entered::Escape | Entered::Stop => None,
    })
}

/// Asks for what the head of the sheet says and is not known yet; returns whether all of it is known now.
///
/// # Errors
/// The console fails.
pub fn head(
    console: &mut dyn Console,
    (contents, steps): (&Contents, &[Step<'_>]),
    draft: &mut Draft,
    (day, zone): (Date, Tz),
    code_now: &str,
) -> anyhow::Result<bool> {
    if draft.started.is_none() {
        let moment = |text: &str| match clock_time::moment(text, day, zone)? {
            moment if contents.day(moment) == day => Ok(moment),
            _ => Err(format!("that is another day than that of the sheet, {day}")),
        };
        let Some(text) = line(console, "started:", "", &|text| moment(text).map(|_| ()))? else { return Ok(false) };
        draft.started = moment(&text).ok();
    }
    if draft.finished.is_none() {
        let started = draft.started;
        // Work that began before midnight ends on the next day.
        let moment = |text: &str| {
            let moment = clock_time::moment(text, day, zone)?;
            if started.is_none_or(|started| started <= moment) {
                return Ok(moment);
            }
            let next = clock_time::moment(text, Date(day.0 + Duration::days(1)), zone)?;
            match started {
                Some(started) if (0..12 * 3600).contains(&next.seconds_since(started)) => Ok(next),
                _ => Err("that is before it was started".to_owned()),
            }
        };
        let Some(text) = line(console, "finished:", "", &|text| moment(text).map(|_| ()))? else { return Ok(false) };
        draft.finished = moment(&text).ok();
    }
    if draft.by.is_empty() {
        let Some(by) = people::ask(console, contents, (day, steps), "Who signed the sheet?")? else { return Ok(false) };
        draft.by = by;
    }
    if draft.recorded_by.is_none() {
        let first = draft.by.first().cloned().unwrap_or_default();
        let known = |text: &str| people::known(contents, text).map(|_| ());
        let Some(id) = line(console, "who types it in (an id of people.yaml):", &first, &known)? else {
            return Ok(false);
        };
        draft.recorded_by = (id != first).then_some(id);
    }
    if draft.form.is_none() {
        // Neither suggested nor shown: what stands beside the question is typed without a look at the sheet.
        let read = |text: &str| beginning(text, code_now).unwrap_or_else(|| code(text));
        let check = |text: &str| read(text).map(|_| ());
        let question = "code on the sheet (its first four signs, or all eight):";
        let Some(text) = line(console, question, "", &check)? else { return Ok(false) };
        let Ok(code) = read(&text) else { return Ok(false) };
        if code != code_now {
            console.say("  This sheet was made for other items or other limits than those in force on that day.")?;
            console.say("  Type in what is on it. Its code stays in the record.")?;
        }
        draft.form = Some(Form { on: FormOn::Paper, code, commit: None, made: None });
    }
    Ok(true)
}

/// Returns the code that holds now where a text is its first four signs; nothing where the text is not that short.
fn beginning(text: &str, code_now: &str) -> Option<Result<String, String>> {
    let typed = signs(text);
    let whole = signs(code_now);
    (typed.len() == 4).then(|| match whole.starts_with(&typed) {
        true => Ok(code_now.to_owned()),
        false => Err("the code of today's form begins otherwise: type all eight signs".to_owned()),
    })
}

/// Returns the signs of a code, with those that are taken for each other put right.
fn signs(text: &str) -> Vec<char> {
    let alike = |c: char| match c.to_ascii_lowercase() {
        'o' => '0',
        'i' | 'l' => '1',
        c => c,
    };
    text.chars().filter(|c| !matches!(c, '-' | ' ')).map(alike).collect()
}

/// Returns a code as it is printed, also when it was typed in capitals, without its hyphen, or with look-alike signs.
///
/// # Errors
/// In a sentence: what a code looks like.
pub fn code(text: &str) -> Result<String, String> {
    let signs = signs(text);
    if signs.len() != 8 || !signs.iter().all(|c| c.is_ascii_alphanumeric() && *c != 'u') {
        return Err("a code has eight signs, such as k7f3-q2x9".to_owned());
    }
    let (front, back) = signs.split_at(4);
    Ok(front.iter().chain(['-'].iter()).chain(back).collect())
}

fn line(
    console: &mut dyn Console,
    prompt: &str,
    suggestion: &str,
    check: &dyn Fn(&str) -> Result<(), String>,
) -> anyhow::Result<Option<String>> {
    Ok(match console.line(prompt, suggestion, check)? {
        Entered::Text(text) => Some(text),
        Entered::Escape | Entered::Stop => None,
    })
}

#[cfg(test)]
mod tests {
    use super::code;

    #[test]
    fn a_code_is_read_as_people_copy_it() {
        for typed in ["k7f3-q2x9", "K7F3Q2X9", "k7f3 q2x9"] {
            assert_eq!(code(typed).as_deref(), Ok("k7f3-q2x9"), "{typed}");
        }
        assert_eq!(code("Oi23-4567").as_deref(), Ok("0123-4567"));
        for typed in ["", "k7f3-q2x", "k7f3-q2x99", "u7f3-q2x9", "k7f3-q2x!"] {
            assert!(code(typed).is_err(), "{typed}");
        }
    }
}
