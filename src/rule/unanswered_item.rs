//! A check has no answer for an item that applies to its machine. All of a check's gaps are told at once.

use super::facts::Judged;
use super::need::needs;
use super::words::{and_list, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::procedure::{ItemJudgement, Verdict};
use crate::record::result::Entry;
use crate::record::shape::nearest;
use std::fmt::Write;

pub const RULE: Rule = Rule {
    name: "unanswered-item",
    severity: Severity::Problem,
    page: include_str!("unanswered_item.md"),
    check: Some(check),
};

/// More names than this make a headline that nobody reads; the lines to paste name them all.
const NAMED_IN_HEADLINE: usize = 4;

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for judged in facts.judged() {
        // Several answers where one belongs are no gap: that entry is told as an answer that does not fit.
        let several = |item: &ItemJudgement<'_>| item.each.is_none() && judged.check.results.get(item.item).is_some();
        let gaps: Vec<ItemJudgement<'_>> = judged
            .judgement
            .items()
            .filter(|item| item.verdict == Verdict::Unanswered && !several(item))
            .filter(|item| !meant(&judged, item))
            .collect();
        if gaps.is_empty() {
            continue;
        }
        let names: Vec<String> = gaps.iter().map(|gap| gap.place()).collect();
        let what = match names.len() <= NAMED_IN_HEADLINE {
            true => and_list(&names),
            false => format!("{} of {}", names.len(), counted(judged.judgement.verdicts().len(), "item")),
        };
        let headline = format!("{} has no answer for {what}", name(judged.filed));
        problems.push(
            Diagnostic::problem("unanswered-item", Place::key(&judged.filed.path, "/results"), headline)
                .label(format!("{} missing here", counted(gaps.len(), "answer")))
                .help(help(facts, &judged, &gaps))
                .paste(lines(&gaps)),
        );
    }
    problems
}

/// Returns whether an answer stands there under a mistyped word: that word has a problem of its own.
fn meant(judged: &Judged, gap: &ItemJudgement<'_>) -> bool {
    let results = &judged.check.results;
    match (gap.each, results.get(gap.item)) {
        (Some(part), Some(Entry::Each(each))) => {
            let known: Vec<String> = judged
                .judgement
                .items()
                .filter(|i| i.item == gap.item)
                .filter_map(|i| i.each.map(str::to_owned))
                .collect();
            each.iter().any(|(word, _)| !known.contains(word) && nearest(word, &known).is_some_and(|near| near == part))
        }
        (_, Some(_)) => false,
        (_, None) => {
            let known: Vec<String> = judged.procedure.items.iter().map(|item| item.id.clone()).collect();
            let unknown = results.0.iter().map(|(word, _)| word).filter(|word| !known.contains(word));
            unknown.into_iter().any(|word| nearest(word, &known).is_some_and(|near| near == gap.item))
        }
    }
}

fn help(facts: &Facts, judged: &Judged, gaps: &[ItemJudgement<'_>]) -> String {
    let help = "write what was seen, or say why it was not done";
    let fitted =
        |gap: &ItemJudgement<'_>| judged.procedure.item(gap.item).is_some_and(|i| !needs(i, judged.machine).is_empty());
    let before = facts.fitted_otherwise(&judged.filed.record.common.machine, judged.check, "did not have it");
    match before.filter(|_| gaps.iter().any(fitted)) {
        Some(before) => format!("{help}; {before}"),
        None => help.to_owned(),
    }
}

/// Returns the lines to paste; the vaporizers or gases of one item stand together under it.
fn lines(gaps: &[ItemJudgement<'_>]) -> String {
    let mut text = String::new();
    let mut last = "";
    for gap in gaps {
        let again = last == gap.item;
        last = gap.item;
        let _ = match gap.each {
            Some(each) if again => writeln!(text, "  {each}: {{not-done: ...}}"),
            Some(each) => writeln!(text, "{}:\n  {each}: {{not-done: ...}}", gap.item),
            None => writeln!(text, "{}: {{not-done: ...}}", gap.item),
        };
    }
    text
}
