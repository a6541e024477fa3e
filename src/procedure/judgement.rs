//! From what was seen to a verdict, by the limits in force for that machine.
//!
//! Takes one check, its procedure and its machine. Verdicts are computed and never stored: a record says what was
//! seen, and a limit changed today changes no verdict of last year, because each check names the revision it followed.

use super::applies::asked;
use super::item::{AnswerKind, IfFailed, Item, Meaning, Procedure};
use crate::record::result::Entry;
use crate::record::tree::step;
use crate::record::{Answer, Check, ItemResult, Measure, Quantity};
use crate::register::limit::Met;
use crate::register::{Limit, LimitOf, Machine};

/// The verdict on one answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    Pass,
    Fail,
    /// Not done, with the reason given.
    NotDone(String),
    /// Said to be not fitted.
    NotFitted,
    /// The item applies and nothing was written for it.
    Unanswered,
    /// The answer is not of the kind the item asks for; why.
    Unfit(String),
}

/// A value set against a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    pub of: LimitOf,
    /// The value in words; a fall is computed from two readings.
    pub value: String,
    pub limit: Limit,
    pub met: bool,
}

/// The judgement of one answer.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemJudgement {
    pub item: String,
    pub title: String,
    /// The vaporizer or gas the answer is for.
    pub each: Option<String>,
    pub verdict: Verdict,
    /// What was seen, in words.
    pub seen: String,
    pub measured: Vec<Measured>,
    pub if_failed: IfFailed,
    /// How many earlier attempts failed before the answer that counts.
    pub earlier_failures: usize,
    pub remark: Option<String>,
    /// Where the answer stands in the record, as a JSON pointer.
    pub pointer: String,
}

/// What a whole check comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Outcome {
    /// Every item that applies was done and passed.
    Passed,
    /// At least one item failed.
    Failed,
    /// Nothing failed, and at least one item was not done.
    Incomplete,
}

/// The judgement of a whole check.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckJudgement {
    pub items: Vec<ItemJudgement>,
    pub outcome: Outcome,
    /// Whether every item that applies was done, pass or fail.
    pub complete: bool,
}

impl CheckJudgement {
    /// Returns the verdict on each answer, in the order of the items.
    pub fn verdicts(&self) -> Vec<(String, &Verdict)> {
        self.items.iter().map(|item| (item.place(), &item.verdict)).collect()
    }

    /// Returns the answers that failed.
    pub fn failures(&self) -> impl Iterator<Item = &ItemJudgement> {
        self.items.iter().filter(|item| item.verdict == Verdict::Fail)
    }
}

impl ItemJudgement {
    /// Returns item and vaporizer or gas as fault records name them: `vaporizer-fill/sevoflurane`.
    pub fn place(&self) -> String {
        match &self.each {
            Some(each) => format!("{}/{each}", self.item),
            None => self.item.clone(),
        }
    }
}

/// Judges a check by the revision it followed and the machine's own limits.
pub fn judge(check: &Check, procedure: &Procedure, machine: &Machine) -> CheckJudgement {
    let mut items = Vec::new();
    for asked in asked(procedure, machine) {
        let pointer = step("/results", &asked.item.id);
        let entry = check.results.get(&asked.item.id);
        let one = |each: Option<&str>, result: Option<&ItemResult>, pointer: String| {
            judge_item(asked.item, machine, each, result, pointer)
        };
        let each: Vec<Option<&str>> =
            if asked.each.is_empty() { vec![None] } else { asked.each.iter().copied().map(Some).collect() };
        match entry {
            Some(Entry::Each(results)) => {
                for each in each {
                    let found = results.iter().find(|(id, _)| Some(id.as_str()) == each);
                    let pointer = each.map_or_else(|| pointer.clone(), |each| step(&pointer, each));
                    items.push(one(each, found.map(|(_, result)| result), pointer));
                }
            }
            // One answer may stand for several vaporizers or gases only when none of them was looked at.
            Some(Entry::One(result)) => {
                let fits = asked.each.is_empty() || matches!(result.answer, Answer::NotDone(_) | Answer::NotFitted);
                for each in each {
                    let mut judged = one(each, Some(result), pointer.clone());
                    if !fits {
                        judged.verdict = Verdict::Unfit("one answer for several".to_owned());
                    }
                    items.push(judged);
                }
            }
            None => items.extend(each.into_iter().map(|each| one(each, None, pointer.clone()))),
        }
    }
    let failed = items.iter().any(|item| item.verdict == Verdict::Fail);
    let complete = items.iter().all(|item| matches!(item.verdict, Verdict::Pass | Verdict::Fail));
    let outcome = match (failed, complete) {
        (true, _) => Outcome::Failed,
        (false, true) => Outcome::Passed,
        (false, false) => Outcome::Incomplete,
    };
    CheckJudgement { items, outcome, complete }
}

/// Returns the limits that hold for an item on a machine: the maker's take the place of the procedure's.
pub fn limits_in_force<'a>(item: &'a Item, machine: &'a Machine) -> Vec<&'a Limit> {
    let own: &[Limit] = machine.limits.get(&item.id).map_or(&[], Vec::as_slice);
    let general = item.limits.iter().filter(|limit| !own.iter().any(|o| o.of == limit.of));
    general.chain(own).collect()
}

fn judge_item(
    item: &Item,
    machine: &Machine,
    each: Option<&str>,
    result: Option<&ItemResult>,
    pointer: String,
) -> ItemJudgement {
    let mut judged = ItemJudgement {
        item: item.id.clone(),
        title: item.title.clone(),
        each: each.map(str::to_owned),
        verdict: Verdict::Unanswered,
        seen: String::new(),
        measured: Vec::new(),
        if_failed: item.fails,
        earlier_failures: 0,
        remark: None,
        pointer,
    };
    let Some(result) = result else { return judged };
    let limits = limits_in_force(item, machine);
    let (verdict, measured) = judge_answer(item, &limits, &result.answer);
    judged.verdict = verdict;
    judged.measured = measured;
    if let Some(leak) = leak_words(machine, &result.answer) {
        for fall in judged.measured.iter_mut().filter(|m| m.of == LimitOf::Fall) {
            fall.value.push_str(&leak);
        }
    }
    judged.seen = seen(&result.answer);
    judged.remark.clone_from(&result.remark);
    judged.earlier_failures =
        result.earlier.iter().filter(|answer| judge_answer(item, &limits, answer).0 == Verdict::Fail).count();
    judged
}

/// Judges one answer by the limits in force.
pub fn judge_answer(item: &Item, limits: &[&Limit], answer: &Answer) -> (Verdict, Vec<Measured>) {
    let plain = |verdict| (verdict, Vec::new());
    match (item.answer, answer) {
        (_, Answer::NotDone(because)) => plain(Verdict::NotDone(because.clone())),
        (_, Answer::NotFitted) => plain(Verdict::NotFitted),
        // A person may always say that an item failed, whatever it asks for: nobody has to find a number first.
        (_, Answer::Fail) => plain(Verdict::Fail),
        (AnswerKind::Confirm, Answer::Pass) => plain(Verdict::Pass),
        (AnswerKind::Choice, Answer::Choice(word)) => match item.choices.get(word) {
            Some(Meaning::Pass) => plain(Verdict::Pass),
            Some(Meaning::Fail) => plain(Verdict::Fail),
            None => {
                let words: Vec<String> = item.choices.keys().map(|w| format!("`{w}`")).collect();
                plain(Verdict::Unfit(format!("`{word}` is not one of {}", words.join(", "))))
            }
        },
        (AnswerKind::Reading, Answer::Reading(value)) => {
            if let Some(kind) = item.measures.filter(|kind| *kind != value.measure().kind()) {
                return plain(Verdict::Unfit(format!(
                    "{value} is {}, not {}",
                    value.measure().kind().words(),
                    kind.words()
                )));
            }
            if let Measure::Share(share) = value.measure()
                && !(0.0..=1.0).contains(&share.value)
            {
                return plain(Verdict::Unfit(format!("{value} is not between 0 % and 100 %")));
            }
            compare(limits, &[(LimitOf::Reading, value)], None)
        }
        (AnswerKind::Hold, Answer::Held(time)) => compare(limits, &[(LimitOf::Held, time)], None),
        (AnswerKind::PressureHeld, Answer::PressureHeld { from, to, time }) => {
            if from.measure().compare(to.measure()).is_none() {
                return plain(Verdict::Unfit(
                    "start and end of a pressure held must be pressures of one kind".to_owned(),
                ));
            }
            compare(limits, &[(LimitOf::From, from), (LimitOf::To, to), (LimitOf::In, time)], Some((from, to)))
        }
        (kind, _) => plain(Verdict::Unfit(wanted(kind).to_owned())),
    }
}

fn compare(
    limits: &[&Limit],
    values: &[(LimitOf, &Quantity)],
    fall: Option<(&Quantity, &Quantity)>,
) -> (Verdict, Vec<Measured>) {
    let mut measured = Vec::new();
    for limit in limits {
        let (value, met) = match (limit.of, fall) {
            (LimitOf::Fall, Some((from, to))) => match fall_met(from, to, limit) {
                Some((words, met)) => (words, met),
                None => return (Verdict::Unfit(incomparable(limit)), Vec::new()),
            },
            (of, _) => match values.iter().find(|(what, _)| *what == of) {
                Some((_, value)) => match limit.met_by(value) {
                    Met::Yes => (value.to_string(), true),
                    Met::No => (value.to_string(), false),
                    Met::NotComparable => return (Verdict::Unfit(incomparable(limit)), Vec::new()),
                },
                None => continue,
            },
        };
        measured.push(Measured { of: limit.of, value, limit: (*limit).clone(), met });
    }
    let verdict = if measured.iter().all(|m| m.met) { Verdict::Pass } else { Verdict::Fail };
    (verdict, measured)
}

/// Compares the fall from one pressure to another with a limit on it, in the limit's own unit.
fn fall_met(from: &Quantity, to: &Quantity, limit: &Limit) -> Option<(String, bool)> {
    let bound = limit.at_most.as_ref().or(limit.below.as_ref()).or(limit.at_least.as_ref()).or(limit.above.as_ref())?;
    let unit: Quantity = format!("1 {}", bound.symbol()).parse().ok()?;
    if unit.measure().kind() != from.measure().kind() {
        return None;
    }
    let fall = (from.measure().si() - to.measure().si()) / unit.measure().si();
    // Nine decimals are far finer than any gauge and hide the rounding of the subtraction.
    let text = format!("{fall:.9}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let quantity: Quantity = format!("{text} {}", bound.symbol()).parse().ok()?;
    let shown = if fall < 0.0 {
        format!("a rise of {} {}", text.trim_start_matches('-'), bound.symbol())
    } else {
        quantity.to_string()
    };
    match limit.met_by(&quantity) {
        Met::Yes => Some((shown, true)),
        Met::No => Some((shown, false)),
        Met::NotComparable => None,
    }
}

/// Says how big the leak is, on a machine whose compliance is known; without it a fall in pressure gives no flow.
fn leak_words(machine: &Machine, answer: &Answer) -> Option<String> {
    let Answer::PressureHeld { from, to, time } = answer else { return None };
    let Measure::Compliance(compliance) = machine.compliance.as_ref()?.measure() else { return None };
    let (Measure::GaugePressure(from), Measure::GaugePressure(to), Measure::Duration(time)) =
        (from.measure(), to.measure(), time.measure())
    else {
        return None;
    };
    let flow = crate::gas::leak::flow(compliance, from.0 - to.0, time)?;
    let millilitres = flow.get::<uom::si::volume_rate::liter_per_minute>() * 1000.0;
    // Rounded up, past the noise of the conversion: a leak is never shown smaller than it is.
    (millilitres > 0.0).then(|| format!(", a leak of about {:.0} mL/min", (millilitres - 1e-6).ceil()))
}

fn incomparable(limit: &Limit) -> String {
    format!("the {} cannot be compared with the limit {}", limit.of.words(), limit.words())
}

/// Returns what an item asks for, with a line to write.
fn wanted(kind: AnswerKind) -> &'static str {
    match kind {
        AnswerKind::Confirm => "this item is answered `pass` or `fail`",
        AnswerKind::Reading => "this item wants a reading, such as `{reading: 1250 psi}`",
        AnswerKind::Hold => "this item wants a time held, such as `{held: 10 s}`",
        AnswerKind::PressureHeld => {
            "this item wants a pressure held, such as `{from: 30 cmH2O, to: 30 cmH2O, in: 10 s}`"
        }
        AnswerKind::Choice => "this item wants one of its words, such as `{choice: full}`",
    }
}

/// Returns what was seen, in words.
pub fn seen(answer: &Answer) -> String {
    match answer {
        Answer::Pass => "pass".to_owned(),
        Answer::Fail => "fail".to_owned(),
        Answer::NotFitted => "not fitted".to_owned(),
        Answer::Reading(q) => q.to_string(),
        Answer::Held(q) => format!("held {q}"),
        Answer::PressureHeld { from, to, time } => format!("{from} to {to} in {time}"),
        Answer::Choice(word) => word.clone(),
        Answer::NotDone(because) => format!("not done: {because}"),
    }
}
