//! An emergency start: only what cannot wait is asked, and the rest is not done, for a reason.

use super::{Guide, Words};
use crate::bedside::{Draft, Step};
use crate::record::Answer;

/// What is said when an emergency start begins and when it is recorded.
pub fn when_to_complete(machine: &str) -> String {
    format!("Do the whole check as soon as the machine is free, before it is used again: `pinindex check {machine}`.")
}

impl Guide<'_> {
    /// Begins an emergency start, or ends it and opens what was left out; returns whether anything changed.
    pub(super) fn toggle_emergency(&mut self) -> anyhow::Result<bool> {
        if self.from_paper {
            return Ok(false);
        }
        if self.draft.emergency_start {
            self.end_emergency()?;
            return Ok(true);
        }
        let Words::Said(because) = self.words("reason of the emergency start", "emergency start")? else {
            return Ok(false);
        };
        start(&mut self.draft, self.asked.steps, &because);
        self.keep()?;
        let machine = self.draft.machine.clone().unwrap_or_default();
        let left = self.asked.steps.iter().filter(|step| self.draft.lacks(step)).count();
        self.console.say(&format!("  Emergency start: {left} more to ask, what cannot wait. The rest is not done."))?;
        self.console.say(&format!("  {}", when_to_complete(&machine)))?;
        Ok(true)
    }

    fn end_emergency(&mut self) -> anyhow::Result<()> {
        self.draft.emergency_start = false;
        let reason = self.draft.emergency_reason.take();
        for step in self.asked.steps.iter().filter(|step| !step.item().cannot_wait) {
            let answer = self.draft.result(step).map(|result| &result.answer);
            let left_out = matches!(answer, Some(Answer::NotDone(because)) if Some(because) == reason.as_ref());
            if left_out {
                self.draft.withdraw(step);
            }
        }
        self.keep()?;
        self.console.say("  No emergency start: what was left out for it is asked. What was not done before stays so.")
    }
}

/// Marks a draft as an emergency start: every open step that can wait is not done.
///
/// The reason that was given first holds for all of them.
pub fn start(draft: &mut Draft, steps: &[Step<'_>], because: &str) {
    draft.emergency_start = true;
    let because = draft.emergency_reason.get_or_insert_with(|| because.to_owned()).clone();
    let can_wait: Vec<_> = steps.iter().filter(|step| !step.item().cannot_wait).copied().collect();
    draft.leave_rest(&can_wait, &because);
}
