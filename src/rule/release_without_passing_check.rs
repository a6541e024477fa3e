//! A machine is released on a check that does not prove it: not complete, not passed, too short, not after the work, or
//! not by the people whom its procedure asks for.

use super::words::{and_list, name};
use super::{Facts, Rule};
use crate::contents::Filed;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::procedure::{CheckJudgement, Verdict, When, judge};
use crate::record::{Body, Check, Release};
use crate::timeline::lacking;

pub const RULE: Rule = Rule {
    name: "release-without-passing-check",
    severity: Severity::Problem,
    page: include_str!("release_without_passing_check.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let Body::Release(release) = &filed.record.body else { continue };
        for (why, label, also) in reasons(facts, filed, release) {
            let headline = format!("{} is proved by a check that {why}", name(filed));
            let mut problem =
                Diagnostic::problem("release-without-passing-check", Place::value(&filed.path, "/proved-by"), headline)
                    .label(label)
                    .help("do the complete check after the work, and name it here when it has passed");
            if let Some((place, words)) = also {
                problem = problem.also(place, words);
            }
            problems.push(problem);
        }
    }
    problems
}

/// Why a check proves nothing: the end of the headline, the words under the caret, the place that shows it.
type Reason = (String, String, Option<(Place, String)>);

fn reasons(facts: &Facts, filed: &Filed, release: &Release) -> Vec<Reason> {
    let contents = facts.contents;
    let Some(path) = contents.speaking_for(&release.proved_by) else {
        return vec![("was voided".to_owned(), "does not count".to_owned(), None)];
    };
    // A check that is not there, or is no check, or follows no known procedure, is told by the rule of that name.
    let Some(proof) = contents.record(path) else { return Vec::new() };
    let Body::Check(check) = &proof.record.body else { return Vec::new() };
    let (Some(procedure), Some(machine)) =
        (contents.procedure_of(check), contents.machine_of(&proof.record.common.machine, check))
    else {
        return Vec::new();
    };
    let mut reasons: Vec<Reason> = Vec::new();
    if procedure.when == When::EachPatient {
        let place = Place::value(path, "/procedure");
        let words = format!("`{}` is done before each patient", check.procedure);
        reasons.push((
            "is only the short one before a patient".to_owned(),
            "too short".to_owned(),
            Some((place, words)),
        ));
    }
    reasons.extend(not_passed(path, &judge(check, procedure, machine)));
    reasons.extend(not_entitled(facts, &proof.record.common.machine, path));
    reasons.extend(not_after_work(facts, filed, release, check));
    if release.released < check.finished {
        let place = Place::value(path, "/finished");
        let why = "was finished after the release".to_owned();
        reasons.push((why, "not finished by then".to_owned(), Some((place, "finished here".to_owned()))));
    }
    reasons
}

fn not_passed(path: &str, judgement: &CheckJudgement) -> Option<Reason> {
    let failed: Vec<_> = judgement.failures().collect();
    let open: Vec<_> = judgement.items().filter(|i| !matches!(i.verdict, Verdict::Pass | Verdict::Fail)).collect();
    let (items, why, label) = match (failed.is_empty(), open.is_empty()) {
        (false, _) => (failed, "failed", "failed"),
        (true, false) => (open, "is not complete", "not complete"),
        (true, true) => return None,
    };
    let names: Vec<String> = items.iter().map(|item| item.place()).collect();
    let place = Place::value(path, items[0].pointer());
    let words = match label {
        "failed" => format!("{} failed", and_list(&names)),
        _ => format!("{} not done", and_list(&names)),
    };
    Some((why.to_owned(), label.to_owned(), Some((place, words))))
}

/// A proof by people who may not do its items proves nothing.
fn not_entitled(facts: &Facts, machine: &str, path: &str) -> Option<Reason> {
    let lacking = lacking(facts.contents, facts.lives.get(machine)?.check(path)?)?;
    let why = "was not done by the people whom its procedure asks for".to_owned();
    Some((why, "people are missing".to_owned(), Some((Place::value(path, "/by"), lacking.words()))))
}

/// The proof must begin after the fault was found and after the last work on it ended.
fn not_after_work(facts: &Facts, filed: &Filed, release: &Release, check: &Check) -> Option<Reason> {
    let life = facts.lives.get(&filed.record.common.machine)?;
    let cases = release.faults.iter().filter_map(|fault| life.case(facts.contents.speaking_for(fault)?));
    let ends = cases.flat_map(|case| {
        let works = case.works.iter().map(|w| (w.repair.finished, w.path.as_str(), "/finished", "the work ended here"));
        works.chain([(case.found, case.path.as_str(), "/found", "the fault was found here")])
    });
    let (end, at, field, words) = ends.max_by_key(|(moment, _, _, _)| *moment)?;
    if check.started >= end {
        return None;
    }
    let why = match field {
        "/found" => "began before the fault was found",
        _ => "began before the work had ended",
    };
    let label = format!("began {}", check.started.short());
    Some((why.to_owned(), label, Some((Place::value(at, field), words.to_owned()))))
}
