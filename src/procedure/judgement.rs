//! From what was seen to a verdict, by the limits in force for that machine.
//!
//! Takes one check and the sheet of its procedure and machine. Verdicts are computed and never stored: a record says what
//! was seen, and a limit changed today changes no verdict of last year, because each check names the revision it
//! followed. A judgement keeps one verdict a place beside the check and the sheet themselves; what there is to say of an
//! answer is worded when somebody asks.

use super::answer::{self, Measured, Verdict, judge_answer};
use super::belief::Doubt;
use super::item::{AnswerKind, IfFailed, Item, Procedure};
use super::sheet::{Line, Sheet};
use crate::record::result::Entry;
use crate::record::tree::step;
use crate::record::{Answer, Check, ItemResult, Measure, Quantity, place};
use crate::register::{Limit, LimitOf, Machine};
use std::sync::Arc;

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
    check: Arc<Check>,
    sheet: Arc<Sheet>,
    /// One a place of the sheet, in its order.
    marks: Box<[Mark]>,
    pub outcome: Outcome,
    /// Whether every item that applies was done, pass or fail.
    pub complete: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Mark {
    verdict: Verdict,
    earlier_failures: u16,
}

/// The judgement of one answer.
#[derive(Clone, Copy, Debug)]
pub struct ItemJudgement<'a> {
    pub item: &'a str,
    pub title: &'a str,
    /// The vaporizer or gas the answer is for.
    pub each: Option<&'a str>,
    pub verdict: Verdict,
    pub if_failed: IfFailed,
    /// How many earlier attempts failed before the answer that counts.
    pub earlier_failures: u16,
    line: &'a Line,
    compliance: Option<&'a Quantity>,
    entry: Option<&'a Entry>,
    result: Option<&'a ItemResult>,
}

/// A number read from a gauge or display that fits its item.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading<'a> {
    pub item: &'a str,
    /// The vaporizer or gas it is for.
    pub each: Option<&'a str>,
    pub quantity: &'a Quantity,
}

/// Judges a check by the revision it followed and the machine's own limits.
pub fn judge(check: &Arc<Check>, procedure: &Procedure, machine: &Machine) -> CheckJudgement {
    judge_by(check, &Arc::new(Sheet::of(procedure, machine)))
}

/// Judges a check by a sheet.
pub fn judge_by(check: &Arc<Check>, sheet: &Arc<Sheet>) -> CheckJudgement {
    let mut marks = Vec::with_capacity(sheet.lines.iter().map(|line| line.each.len().max(1)).sum());
    let (mut failed, mut complete) = (false, true);
    for (line, each, entry) in answered(check, sheet) {
        let mark = mark(line, each, entry);
        failed |= mark.verdict == Verdict::Fail;
        complete &= matches!(mark.verdict, Verdict::Pass | Verdict::Fail);
        marks.push(mark);
    }
    let outcome = match (failed, complete) {
        (true, _) => Outcome::Failed,
        (false, true) => Outcome::Passed,
        (false, false) => Outcome::Incomplete,
    };
    CheckJudgement { check: check.clone(), sheet: sheet.clone(), marks: marks.into(), outcome, complete }
}

/// Returns the limits that hold for an item on a machine: the maker's take the place of the procedure's.
pub fn limits_in_force<'a>(item: &'a Item, machine: &'a Machine) -> Vec<&'a Limit> {
    let own: &[Limit] = machine.limits.get(&item.id).map_or(&[], Vec::as_slice);
    let general = item.limits.iter().filter(|limit| !own.iter().any(|o| o.of == limit.of));
    general.chain(own).collect()
}

/// Returns every place of a sheet with what a check has for its item.
fn answered<'a>(
    check: &'a Check,
    sheet: &'a Sheet,
) -> impl Iterator<Item = (&'a Line, Option<&'a str>, Option<&'a Entry>)> {
    let results = check.results.0.as_slice();
    // People answer in working order, so that the next answer mostly stands after the last one.
    let mut next = 0;
    sheet.lines.iter().flat_map(move |line| {
        let (before, after) = results.split_at(next.min(results.len()));
        let found = after.iter().chain(before).position(|(id, _)| *id == line.item.id);
        let at = found.map(|n| (next + n) % results.len());
        next = at.map_or(next, |at| at + 1);
        let entry = at.and_then(|at| results.get(at)).map(|(_, entry)| entry);
        line.places().map(move |each| (line, each, entry))
    })
}

fn mark(line: &Line, each: Option<&str>, entry: Option<&Entry>) -> Mark {
    let Some(result) = result_of(entry, each) else {
        return Mark { verdict: Verdict::Unanswered, earlier_failures: 0 };
    };
    let of = |answer: &Answer| judge_answer(&line.item, &line.limits, answer);
    let verdict = if one_for_several(entry, each) { Verdict::Unfit } else { of(&result.answer) };
    let earlier = result.earlier.iter().filter(|answer| of(answer) == Verdict::Fail).count();
    Mark { verdict, earlier_failures: u16::try_from(earlier).unwrap_or(u16::MAX) }
}

fn result_of<'a>(entry: Option<&'a Entry>, each: Option<&str>) -> Option<&'a ItemResult> {
    match entry? {
        Entry::One(result) => Some(result),
        Entry::Each(results) => results.iter().find(|(id, _)| Some(id.as_str()) == each).map(|(_, result)| result),
    }
}

/// One answer may stand for several vaporizers or gases only when none of them was looked at.
fn one_for_several(entry: Option<&Entry>, each: Option<&str>) -> bool {
    let looked = |result: &ItemResult| !matches!(result.answer, Answer::NotDone(_) | Answer::NotFitted);
    each.is_some() && matches!(entry, Some(Entry::One(result)) if looked(result))
}

impl CheckJudgement {
    /// Returns the sheet the check was judged by.
    pub fn sheet(&self) -> &Arc<Sheet> {
        &self.sheet
    }

    /// Returns the verdict on each answer, in the order of the sheet's places.
    pub fn verdicts(&self) -> impl ExactSizeIterator<Item = Verdict> {
        self.marks.iter().map(|mark| mark.verdict)
    }

    /// Returns whether another judgement comes to the same verdicts for the same reasons.
    pub fn agrees_with(&self, other: &CheckJudgement) -> bool {
        let said = |item: ItemJudgement<'_>| (item.place(), item.verdict, item.reason());
        self.items().map(said).eq(other.items().map(said))
    }

    /// Returns the judgement of each answer, in the order of the sheet's places.
    pub fn items(&self) -> impl Iterator<Item = ItemJudgement<'_>> {
        answered(&self.check, &self.sheet).zip(&self.marks).map(|((line, each, entry), mark)| ItemJudgement {
            item: &line.item.id,
            title: &line.item.title,
            each,
            verdict: mark.verdict,
            if_failed: line.item.fails,
            earlier_failures: mark.earlier_failures,
            line,
            compliance: self.sheet.compliance.as_ref(),
            entry,
            result: result_of(entry, each),
        })
    }

    /// Returns the answers that fit their items and hold a number that is hard to believe, each with that number.
    pub fn doubts(&self) -> impl Iterator<Item = (ItemJudgement<'_>, Doubt)> {
        self.items().filter_map(|item| Some((item, item.doubt()?)))
    }

    /// Returns the answers that failed.
    pub fn failures(&self) -> impl Iterator<Item = ItemJudgement<'_>> {
        // Most checks have none, and are not looked through for them.
        let failed = (self.outcome == Outcome::Failed).then(|| self.items());
        failed.into_iter().flatten().filter(|item| item.verdict == Verdict::Fail)
    }

    /// Returns the readings that fit their items, whether they passed or failed, in the order of the sheet's places.
    pub fn readings(&self) -> impl Iterator<Item = Reading<'_>> {
        answered(&self.check, &self.sheet).zip(&self.marks).filter_map(|((line, each, entry), mark)| {
            if line.item.answer != AnswerKind::Reading || !matches!(mark.verdict, Verdict::Pass | Verdict::Fail) {
                return None;
            }
            match &result_of(entry, each)?.answer {
                Answer::Reading(quantity) => Some(Reading { item: &line.item.id, each, quantity }),
                _ => None,
            }
        })
    }
}

impl<'a> ItemJudgement<'a> {
    /// Returns item and vaporizer or gas as fault records name them: `vaporizer-fill/sevoflurane`.
    pub fn place(&self) -> String {
        place(self.item, self.each)
    }

    /// Returns what was seen, in words; nothing was when there is no answer.
    pub fn seen(&self) -> String {
        self.result.map_or(String::new(), |result| answer::seen(&result.answer))
    }

    /// Returns the remark on the answer.
    pub fn remark(&self) -> Option<&'a str> {
        self.result?.remark.as_deref()
    }

    /// Returns the number of the answer that is hard to believe.
    pub fn doubt(&self) -> Option<Doubt> {
        let fits = matches!(self.verdict, Verdict::Pass | Verdict::Fail);
        self.result.filter(|_| fits).and_then(|result| self.line.belief.doubt(&result.answer))
    }

    /// Returns why the item was not done, or why its answer does not fit; nothing for other verdicts.
    pub fn reason(&self) -> Option<String> {
        let answer = &self.result?.answer;
        match (self.verdict, answer) {
            (Verdict::NotDone, Answer::NotDone(because)) => Some(because.clone()),
            (Verdict::Unfit, _) if one_for_several(self.entry, self.each) => Some("one answer for several".to_owned()),
            (Verdict::Unfit, _) => answer::why_unfit(&self.line.item, &self.line.limits, answer),
            _ => None,
        }
    }

    /// Returns every value that was set against a limit.
    pub fn measured(&self) -> Vec<Measured<'a>> {
        let Some(result) = self.result else { return Vec::new() };
        let mut measured = answer::measured(&self.line.item, &self.line.limits, &result.answer);
        if let Some(leak) = self.compliance.and_then(|compliance| leak_words(compliance, &result.answer)) {
            for fall in measured.iter_mut().filter(|m| m.of == LimitOf::Fall) {
                fall.value.push_str(&leak);
            }
        }
        measured
    }

    /// Returns where the answer stands in the record, as a JSON pointer.
    pub fn pointer(&self) -> String {
        let pointer = step("/results", self.item);
        match (self.entry, self.each) {
            (Some(Entry::Each(_)), Some(each)) => step(&pointer, each),
            _ => pointer,
        }
    }
}

impl Reading<'_> {
    /// Returns the value in the unit of the SI.
    pub fn si(&self) -> f64 {
        self.quantity.measure().si()
    }
}

/// Says how big the leak is, on a machine whose compliance is known; without it a fall in pressure gives no flow.
pub fn leak_words(compliance: &Quantity, answer: &Answer) -> Option<String> {
    let Answer::PressureHeld { from, to, time } = answer else { return None };
    let Measure::Compliance(compliance) = compliance.measure() else { return None };
    let (Measure::GaugePressure(from), Measure::GaugePressure(to), Measure::Duration(time)) =
        (from.measure(), to.measure(), time.measure())
    else {
        return None;
    };
    let flow = crate::gas::leak::flow(compliance, from.0 - to.0, time)?;
    // By the line of the unit, as the page reckons too: both come to the same value to the last bit.
    let litre_a_minute = uom::si::f64::VolumeRate::new::<uom::si::volume_rate::liter_per_minute>(1.0);
    let millilitres = flow.value / litre_a_minute.value * 1000.0;
    // Rounded up, past the noise of the conversion: a leak is never shown smaller than it is.
    (millilitres > 1e-6).then(|| format!(", a leak of about {:.0} mL/min", (millilitres - 1e-6).ceil()))
}
