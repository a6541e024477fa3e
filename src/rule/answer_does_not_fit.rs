//! An answer is not of the kind its item asks for: a `pass` where a reading belongs, a flow where a pressure belongs.

use super::facts::Judged;
use super::words::{and_list, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::answer::{seen, why_unfit};
use crate::procedure::judgement::limits_in_force;
use crate::procedure::{AnswerKind, Asked, Item, asked};
use crate::record::result::Entry;
use crate::record::tree::step;
use crate::record::{Answer, ItemResult};

pub const RULE: Rule = Rule {
    name: "answer-does-not-fit",
    severity: Severity::Problem,
    page: include_str!("answer_does_not_fit.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for judged in facts.judged() {
        for asked in asked(judged.procedure, judged.machine) {
            let Some(entry) = judged.check.results.get(&asked.item.id) else { continue };
            let pointer = step("/results", &asked.item.id);
            match (entry, asked.each.is_empty()) {
                (Entry::One(result), false) if !for_all(result) => problems.push(once(&judged, &asked, pointer)),
                (Entry::One(result), _) => judge_result(&judged, asked.item, result, &pointer, &mut problems),
                (Entry::Each(_), true) => problems.push(several(&judged, asked.item, pointer)),
                (Entry::Each(each), false) => {
                    for (part, result) in each {
                        judge_result(&judged, asked.item, result, &step(&pointer, part), &mut problems);
                    }
                }
            }
        }
    }
    problems
}

/// One answer may stand for all vaporizers or gases only when none of them was looked at.
fn for_all(result: &ItemResult) -> bool {
    matches!(result.answer, Answer::NotDone(_) | Answer::NotFitted)
}

/// Judges the answer that counts and the failed attempts before it.
fn judge_result(judged: &Judged, item: &Item, result: &ItemResult, pointer: &str, problems: &mut Vec<Diagnostic>) {
    let limits = limits_in_force(item, judged.machine);
    let earlier = result.earlier.iter().enumerate().map(|(i, answer)| (format!("{pointer}/earlier/{i}"), answer));
    for (place, answer) in std::iter::once((pointer.to_owned(), &result.answer)).chain(earlier) {
        let Some(why) = why_unfit(item, &limits, answer) else { continue };
        let headline =
            format!("{} has an answer for `{}` that does not fit: {}", name(judged.filed), item.id, seen(answer));
        problems.push(problem(judged, place, headline, why).help(wanted(item)).paste(sample(item)));
    }
}

fn once(judged: &Judged, asked: &Asked, pointer: String) -> Diagnostic {
    let headline = format!(
        "{} has one answer for `{}`, which is answered for each of {}",
        name(judged.filed),
        asked.item.id,
        and_list(&asked.each)
    );
    let lines: Vec<String> = asked.each.iter().map(|part| format!("  {part}: {}", answer(asked.item))).collect();
    problem(judged, pointer, headline, "one answer for several".to_owned())
        .help("write one answer for each")
        .paste(format!("{}:\n{}", asked.item.id, lines.join("\n")))
}

fn several(judged: &Judged, item: &Item, pointer: String) -> Diagnostic {
    let headline = format!("{} has several answers for `{}`, which is answered once", name(judged.filed), item.id);
    problem(judged, pointer, headline, "answered once".to_owned()).help(wanted(item)).paste(sample(item))
}

fn problem(judged: &Judged, pointer: String, headline: String, label: String) -> Diagnostic {
    Diagnostic::problem("answer-does-not-fit", Place::value(&judged.filed.path, pointer), headline).label(label)
}

fn wanted(item: &Item) -> String {
    match item.answer {
        AnswerKind::Confirm => "write `pass` or `fail`".to_owned(),
        AnswerKind::Reading => {
            let kind = item.measures.map_or("a number with its unit", |kind| kind.words());
            format!("write the reading, {kind}; or `fail` if there was none to read")
        }
        AnswerKind::Hold => "write how long it held, or `fail`".to_owned(),
        AnswerKind::PressureHeld => "write the pressure at start and end and the time between, or `fail`".to_owned(),
        AnswerKind::Choice => {
            let words: Vec<&String> = item.choices.keys().collect();
            format!("write one of {}", and_list(&words))
        }
    }
}

fn sample(item: &Item) -> String {
    format!("{}: {}", item.id, answer(item))
}

/// Returns the form of an answer, in the unit of the item's first limit or the most usual one.
fn answer(item: &Item) -> String {
    match item.answer {
        AnswerKind::Confirm => "pass".to_owned(),
        AnswerKind::Reading => {
            let limit = item
                .limits
                .first()
                .and_then(|l| [&l.at_least, &l.at_most, &l.above, &l.below].into_iter().flatten().next());
            let usual = || item.measures.and_then(|kind| kind.units().first().copied()).unwrap_or_default();
            format!("{{reading: ... {}}}", limit.map_or_else(usual, |bound| bound.symbol()))
        }
        AnswerKind::Hold => "{held: ... s}".to_owned(),
        AnswerKind::PressureHeld => "{from: ... cmH2O, to: ... cmH2O, in: ... s}".to_owned(),
        AnswerKind::Choice => "{choice: ...}".to_owned(),
    }
}
