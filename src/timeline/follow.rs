//! What followed a check: whether somebody answered for its failures, and whether an emergency start was completed.

use super::life::{CheckDone, Life};
use crate::procedure::{ItemJudgement, When};
use crate::record::Moment;

/// Returns the failed items of a check that no fault record answers for.
///
/// A fault record answers when it names the check, for the items it names or for all of them when it names none; so does
/// one that was open when the check was finished and names the item. A later check that passed answers for nothing: it does
/// not say what became of the failure.
pub fn unanswered<'a>(life: &Life, done: &'a CheckDone) -> Vec<ItemJudgement<'a>> {
    let answered = |item: &ItemJudgement<'_>| {
        life.cases.iter().any(|case| {
            let items = &case.found_during.items;
            let names = items.iter().any(|named| *named == item.item || *named == item.place());
            match case.shown_by.as_deref() == Some(done.path()) {
                true => names || items.is_empty(),
                false => names && case.open_at(done.check.finished),
            }
        })
    };
    done.judgement.failures().filter(|item| !answered(item)).collect()
}

/// What followed an emergency start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Emergency<'a> {
    /// The first complete check after it.
    pub completed: Option<&'a CheckDone>,
    /// How many more uses the records tell before that: checks before a patient, and further emergency starts.
    pub used: usize,
}

/// Returns what followed an emergency start up to a moment; nothing for any other check, and for one that left nothing out.
pub fn emergency<'a>(life: &'a Life, done: &CheckDone, now: Moment) -> Option<Emergency<'a>> {
    if !done.check.emergency_start || done.judgement.complete {
        return None;
    }
    let mut used = 0;
    for later in life.checks_until(now).iter().filter(|later| later.check.finished > done.check.finished) {
        if later.when != When::EachPatient && later.judgement.complete {
            return Some(Emergency { completed: Some(later), used });
        }
        used += usize::from(later.when == When::EachPatient || later.check.emergency_start);
    }
    Some(Emergency { completed: None, used })
}
