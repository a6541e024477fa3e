//! From `PLACE=ANSWER`, as a script or a person without a terminal gives it, to a step and its answer.
//!
//! `suction=pass`, `pipeline-pressure/oxygen=51 psi`, `low-pressure-leak=12 s`, `circuit-leak=30 to 29 in 10 s`,
//! `absorbent=fresh`, `battery=not done: charger being replaced`.

use super::step::Step;
use super::typed::{self, Typed};
use crate::procedure::AnswerKind;
use crate::record::Answer;
use crate::record::shape::nearest;

/// Returns which of the steps is named, and its answer.
///
/// # Errors
/// In a sentence: no step has that name, or the answer does not fit, and what to write instead.
pub fn named(steps: &[Step<'_>], text: &str) -> Result<(usize, Answer), String> {
    let Some((place, said)) = text.split_once('=') else {
        return Err(format!("`{text}` has no `=`: write place and answer, such as `suction=pass`"));
    };
    let at = find(steps, place.trim())?;
    let Some(step) = steps.get(at) else { return Err(format!("there is no step `{place}`")) };
    let answer = spoken(step, said).and_then(|typed| typed::answer(step, &typed));
    let answer = answer.map_err(|why| format!("`{}`: {why}", place.trim()))?;
    Ok((at, answer))
}

/// Returns which of the steps has a place.
///
/// # Errors
/// In a sentence: none has, and the nearest name.
pub fn find(steps: &[Step<'_>], place: &str) -> Result<usize, String> {
    if let Some(at) = steps.iter().position(|step| step.place() == place) {
        return Ok(at);
    }
    let of_item: Vec<String> = steps.iter().filter(|step| step.item().id == place).map(Step::place).collect();
    if !of_item.is_empty() {
        return Err(format!("`{place}` is asked more than once: name one of {}", of_item.join(", ")));
    }
    let known: Vec<String> = steps.iter().map(Step::place).collect();
    Err(match nearest(place, &known) {
        Some(near) => format!("this check does not ask for `{place}`: did you mean `{near}`?"),
        None => format!("this check does not ask for `{place}`"),
    })
}

/// Returns an answer as it was said, in the words of its kind of step; whether it fits is judged later.
///
/// # Errors
/// In a sentence: a pressure held is not said as one.
pub fn spoken(step: &Step<'_>, said: &str) -> Result<Typed, String> {
    let said = said.trim();
    let not_done = ["not done", "not-done"].iter().find_map(|word| said.strip_prefix(word));
    if let Some(because) = not_done {
        return Ok(Typed::NotDone(because.trim_start_matches(':').trim().to_owned()));
    }
    Ok(match (said, step.item().answer) {
        ("pass", _) => Typed::Pass,
        ("fail", _) => Typed::Fail,
        (said, AnswerKind::Reading) => Typed::Reading(said.to_owned()),
        (said, AnswerKind::Hold) => Typed::Held(said.to_owned()),
        (said, AnswerKind::PressureHeld) => {
            pressure_held(said).ok_or_else(|| "write it as `30 to 29 in 10 s`".to_owned())?
        }
        (said, AnswerKind::Choice | AnswerKind::Confirm) => Typed::Choice(said.to_lowercase().replace(' ', "-")),
    })
}

/// Returns in full what was typed in short: `p`, `f`, `n` and why, or the number of a choice.
pub fn in_full(step: &Step<'_>, short: &str) -> String {
    let (word, rest) = short.split_once([' ', ':']).unwrap_or((short, ""));
    let chosen = || {
        let number = short.parse::<usize>().ok().and_then(|n| n.checked_sub(1))?;
        step.choices().get(number).map(|(word, _)| (*word).to_owned())
    };
    match (word.to_lowercase().as_str(), rest) {
        ("p", "") => "pass".to_owned(),
        ("f", "") => "fail".to_owned(),
        ("n", because) => format!("not done: {}", because.trim_start_matches(':').trim()),
        _ if step.item().answer == AnswerKind::Choice => chosen().unwrap_or_else(|| short.to_owned()),
        _ => short.to_owned(),
    }
}

/// Returns the parts of `30 to 29 in 10 s`; nothing when it is not of that form.
pub fn pressure_held(said: &str) -> Option<Typed> {
    let (from, rest) = said.split_once(" to ")?;
    let (to, time) = rest.split_once(" in ")?;
    Some(Typed::PressureHeld { from: from.to_owned(), to: to.to_owned(), time: time.to_owned() })
}

/// Returns what may be written for a step: `suction=pass` with its other answers.
pub fn example(step: &Step<'_>) -> String {
    let unit = step.unit().unwrap_or("psi");
    let answer = match step.item().answer {
        AnswerKind::Confirm => "pass|fail".to_owned(),
        AnswerKind::Choice => step.choices().iter().map(|(word, _)| *word).collect::<Vec<_>>().join("|"),
        AnswerKind::Reading => format!("NUMBER {unit}"),
        AnswerKind::Hold => format!("NUMBER {unit}"),
        AnswerKind::PressureHeld => format!("NUMBER to NUMBER {unit} in NUMBER s"),
    };
    format!("{}={answer}", step.place())
}
