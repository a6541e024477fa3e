//! One step from its title to the decision where to go: shown, asked, judged, and looked at once more when it failed.

use super::ask::Put;
use super::{Guide, Move, Words};
use crate::bedside::console::Key;
use crate::bedside::{Step, follow_up, say};
use crate::procedure::Verdict;
use crate::procedure::answer::seen;
use crate::record::Answer;

/// How an answer joins what was answered before.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Taken {
    First,
    /// The work was done again: what was there stays as an attempt.
    Again,
    /// What was there was typed wrongly, and goes.
    InItsPlace,
}

impl Guide<'_> {
    /// Shows a step and asks for its answer; one that has an answer is shown with it.
    pub(super) fn visit(&mut self, at: usize) -> anyhow::Result<Move> {
        let steps = self.asked.steps;
        let Some(step) = steps.get(at) else { return Ok(Move::Next) };
        let mut asking = self.draft.lacks(step).then_some(Taken::First);
        self.show(at, step, asking.is_none())?;
        let mut remark = None;
        loop {
            let Some(taken) = asking else {
                match self.console.key(
                    "  Enter go on  a test again  c mistyped  s not done  r remark  b back  q stop",
                    &['a', 'c', 's', 'r', 'b', 'q'],
                )? {
                    Key::Enter => return Ok(Move::Next),
                    Key::Char('a') => asking = Some(Taken::Again),
                    Key::Char('c') => asking = Some(Taken::InItsPlace),
                    Key::Char('s') => match self.pressed('s')? {
                        Some(Put::Letter(_)) if self.skip(step, Taken::Again)? => return Ok(Move::Next),
                        Some(Put::Stop) => return Ok(Move::Stop),
                        _ => {}
                    },
                    Key::Char('r') => match self.ask_remark(step)? {
                        Words::Said(text) => {
                            self.draft.remark(step, Some(text));
                            self.keep()?;
                        }
                        Words::Nothing => {}
                        Words::Stop => return Ok(Move::Stop),
                    },
                    Key::Char('b') | Key::Escape => return Ok(Move::Back),
                    Key::Char('q') | Key::Stop => return Ok(Move::Stop),
                    Key::Char(_) => {}
                }
                continue;
            };
            match self.put_in(step)? {
                Put::Answer(answer) => {
                    let verdict = self.take(step, answer, taken, remark.take())?;
                    if verdict != Verdict::Fail {
                        return Ok(Move::Next);
                    }
                    asking = None;
                }
                Put::Letter('s') if self.skip(step, taken)? => return Ok(Move::Next),
                Put::Letter('r') => match self.ask_remark(step)? {
                    Words::Said(text) => remark = Some(text),
                    Words::Nothing => {}
                    Words::Stop => return Ok(Move::Stop),
                },
                Put::Letter('e') if self.toggle_emergency()? => return Ok(Move::Here),
                Put::Letter('b') | Put::Escape if taken == Taken::First => return Ok(Move::Back),
                Put::Letter('b') | Put::Escape => asking = None,
                Put::Letter('q') | Put::Stop => return Ok(Move::Stop),
                Put::Letter(_) => {}
            }
        }
    }

    fn show(&mut self, at: usize, step: &Step<'_>, answered: bool) -> anyhow::Result<()> {
        if !self.from_paper {
            self.console.new_part()?;
        }
        if !self.from_paper || answered {
            self.console.say(&format!("{} of {}  {}", at + 1, self.asked.steps.len(), step.title()))?;
        }
        if !self.from_paper {
            self.console.say(&format!("  {}", step.item().instruction))?;
            for limit in step.limit_words() {
                self.console.say(&format!("  limit: {limit}"))?;
            }
            if !step.item().by.leaves_nobody_out(&self.roles()) {
                self.console.say(&format!("  done by {}", step.item().by.words()))?;
            }
        }
        if let Some(result) = self.draft.result(step).filter(|_| answered) {
            let remark = result.remark.as_ref().map_or(String::new(), |remark| format!("; remark: {remark}"));
            let tries: Vec<String> = result.earlier.iter().map(seen).collect();
            let tries = if tries.is_empty() { String::new() } else { format!("; tried before: {}", tries.join(", ")) };
            let line = format!("  answered: {}{tries}{remark}", seen(&result.answer));
            self.console.say(&line)?;
        }
        Ok(())
    }

    /// Takes an answer, keeps it, and says at once what it comes to.
    fn take(
        &mut self,
        step: &Step<'_>,
        answer: Answer,
        taken: Taken,
        remark: Option<String>,
    ) -> anyhow::Result<Verdict> {
        let said = say(step, &answer, self.asked.machine, self.asked.site);
        match taken {
            Taken::First | Taken::InItsPlace => self.draft.answer(step, answer),
            Taken::Again => self.draft.answer_again(step, answer),
        }
        if remark.is_some() {
            self.draft.remark(step, remark);
        }
        self.keep()?;
        self.console.say(&format!("  {}", said.headline))?;
        let worth_saying = !self.from_paper || said.verdict == Verdict::Fail;
        for line in said.values.iter().chain(&said.reckoned).filter(|_| worth_saying) {
            self.console.say(&format!("  {line}"))?;
        }
        if let Some(follows) = said.follows {
            let from_now = if self.from_paper { "" } else { "; you are asked about it at the end" };
            self.console.say(&format!("  What follows: {follows}{from_now}."))?;
            if !self.from_paper {
                for call in follow_up::whom_to_call(self.asked.contents, self.now()) {
                    self.console.say(&format!("  Call: {call}"))?;
                }
            }
        }
        Ok(said.verdict)
    }

    /// Asks why a step is not done, and returns whether a reason was given. Only what was typed wrongly goes.
    fn skip(&mut self, step: &Step<'_>, taken: Taken) -> anyhow::Result<bool> {
        if self.draft.emergency_start && step.item().cannot_wait {
            self.console.say("  This step is one of the few that cannot wait, even in an emergency.")?;
        }
        let Words::Said(because) = self.words("why is it not done?", "")? else { return Ok(false) };
        let failed_before = match taken {
            Taken::First | Taken::Again => self.draft.leave(step, &because),
            Taken::InItsPlace => {
                self.draft.answer(step, Answer::NotDone(because.clone()));
                false
            }
        };
        self.keep()?;
        self.console.say(&format!("  not done: {because}"))?;
        if failed_before {
            let machine = self.draft.machine.clone().unwrap_or_default();
            let fault = format!("If something is wrong, write it down: `pinindex fault {machine}`.");
            self.console.say(&format!("  The failed try stays in the record. {fault}"))?;
        }
        Ok(true)
    }

    fn ask_remark(&mut self, step: &Step<'_>) -> anyhow::Result<Words> {
        let before = self.draft.result(step).and_then(|result| result.remark.clone()).unwrap_or_default();
        self.words("remark, nothing about a patient", &before)
    }
}
