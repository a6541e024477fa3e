//! A check has no answer for an item that applies to its machine. All of a check's gaps are told at once.

use super::words::{and_list, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity, counted};
use crate::procedure::{ItemJudgement, Verdict};
use std::fmt::Write;

pub const RULE: Rule = Rule {
    name: "unanswered-item",
    severity: Severity::Fault,
    page: include_str!("unanswered_item.md"),
    check: Some(check),
};

/// More names than this make a headline that nobody reads; the lines to paste name them all.
const NAMED_IN_HEADLINE: usize = 4;

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    for judged in facts.judged() {
        // Several answers where one belongs are no gap: that entry is told as an answer that does not fit.
        let several = |item: &ItemJudgement| item.each.is_none() && judged.check.results.get(&item.item).is_some();
        let gaps: Vec<&ItemJudgement> = judged
            .judgement
            .items
            .iter()
            .filter(|item| item.verdict == Verdict::Unanswered && !several(item))
            .collect();
        if gaps.is_empty() {
            continue;
        }
        let names: Vec<String> = gaps.iter().map(|gap| gap.place()).collect();
        let what = match names.len() <= NAMED_IN_HEADLINE {
            true => and_list(&names),
            false => format!("{} of {}", names.len(), counted(judged.judgement.items.len(), "item")),
        };
        let headline = format!("{} has no answer for {what}", name(judged.filed));
        faults.push(
            Diagnostic::fault("unanswered-item", Place::key(&judged.filed.path, "/results"), headline)
                .label(format!("{} missing here", counted(gaps.len(), "answer")))
                .help("write what was seen, or say why it was not done")
                .paste(lines(&gaps)),
        );
    }
    faults
}

/// Returns the lines to paste; the vaporizers or gases of one item stand together under it.
fn lines(gaps: &[&ItemJudgement]) -> String {
    let mut text = String::new();
    let mut last = "";
    for gap in gaps {
        let again = last == gap.item;
        last = &gap.item;
        let _ = match &gap.each {
            Some(each) if again => writeln!(text, "  {each}: {{not-done: ...}}"),
            Some(each) => writeln!(text, "{}:\n  {each}: {{not-done: ...}}", gap.item),
            None => writeln!(text, "{}: {{not-done: ...}}", gap.item),
        };
    }
    text
}
