//! Who does the check, and who is still to be fetched.

use crate::bedside::Step;
use crate::bedside::console::{Console, Entered};
use crate::contents::Contents;
use crate::record::Date;
use crate::record::shape::nearest;
use crate::register::{Person, Role};
use std::cmp::Reverse;

/// Returns the people who may be named for a check on a day: whoever may take part in one of its steps, those who may in
/// most of them first, then by role and name.
pub fn who_may_be<'a>(contents: &'a Contents, day: Date, steps: &[Step<'_>]) -> Vec<(&'a str, &'a Person)> {
    let people = contents.people.iter().map(|(id, person)| (id.as_str(), person));
    let here = people.filter(|(_, person)| person.is_here_on(day) && may_do(person.role, steps) > 0);
    let mut people: Vec<(&str, &Person)> = here.collect();
    people
        .sort_by_key(|(_, person)| (Reverse(may_do(person.role, steps)), person.role != Role::Provider, &person.name));
    people
}

/// Returns in how many of the steps somebody in a role may take part.
pub fn may_do(role: Role, steps: &[Step<'_>]) -> usize {
    steps.iter().filter(|step| step.item().by.names(role)).count()
}

/// Asks who does it: numbers of a list, or ids. Nothing when the person stopped.
///
/// # Errors
/// The console fails.
pub fn ask(
    console: &mut dyn Console,
    contents: &Contents,
    (day, steps): (Date, &[Step<'_>]),
    question: &str,
) -> anyhow::Result<Option<Vec<String>>> {
    let people = who_may_be(contents, day, steps);
    console.say(question)?;
    for ((_, person), n) in people.iter().zip(1..) {
        console.say(&format!("  {n}  {} ({})", person.name, person.role.word()))?;
    }
    loop {
        let check = |text: &str| if text == "q" { Ok(()) } else { named(text, &people, contents).map(|_| ()) };
        match console.line("numbers, such as 1 or 1 4 (q: stop):", "", &check)? {
            Entered::Text(text) if text == "q" => return Ok(None),
            Entered::Text(text) => match named(&text, &people, contents) {
                Ok(ids) => return Ok(Some(ids)),
                Err(why) => console.say(&format!("  {why}"))?,
            },
            Entered::Escape | Entered::Stop => return Ok(None),
        }
    }
}

/// Returns the ids that numbers of a list, or ids, stand for.
fn named(text: &str, people: &[(&str, &Person)], contents: &Contents) -> Result<Vec<String>, String> {
    let mut ids: Vec<String> = Vec::new();
    for word in text.split([' ', ',']).filter(|word| !word.is_empty()) {
        let id = match word.parse::<usize>() {
            Ok(n) => match n.checked_sub(1).and_then(|n| people.get(n)) {
                Some((id, _)) => (*id).to_owned(),
                None => return Err(format!("there is no number {n} in the list")),
            },
            Err(_) => known(contents, word)?,
        };
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    if ids.is_empty() { Err("at least one person is needed".to_owned()) } else { Ok(ids) }
}

/// Returns an id of people.yaml.
///
/// # Errors
/// In a sentence: nobody has it, and the nearest one.
pub fn known(contents: &Contents, id: &str) -> Result<String, String> {
    if contents.people.contains_key(id) {
        return Ok(id.to_owned());
    }
    let known: Vec<String> = contents.people.keys().cloned().collect();
    Err(match nearest(id, &known) {
        Some(near) => format!("`{id}` is not in people.yaml: did you mean `{near}`?"),
        None => format!("`{id}` is not in people.yaml"),
    })
}

/// Returns which steps the people named may not do, one line for each kind of person that is needed.
pub fn missing(contents: &Contents, by: &[String], steps: &[Step<'_>]) -> Vec<String> {
    let roles: Vec<Role> = by.iter().filter_map(|id| Some(contents.people.get(id)?.role)).collect();
    let mut needed: Vec<(String, Vec<&str>)> = Vec::new();
    for step in steps.iter().filter(|step| !step.item().by.satisfied_by(&roles)) {
        let title = step.item().title.as_str();
        let words = step.item().by.words();
        match needed.iter_mut().find(|(known, _)| *known == words) {
            Some((_, titles)) if titles.contains(&title) => {}
            Some((_, titles)) => titles.push(title),
            None => needed.push((words, vec![title])),
        }
    }
    needed
        .into_iter()
        .map(|(who, titles)| format!("Fetch who is missing now: {who}, for {}.", titles.join("; ")))
        .collect()
}
