//! The one screen on which a check is read over before it is recorded: what failed first, what passed last.

use super::Guide;
use crate::bedside::console::Entered;
use crate::bedside::{Draft, Step, say};
use crate::procedure::Verdict;
use crate::procedure::answer::seen;
use crate::record::Answer;

/// What the person wants after reading over.
pub(super) enum Wish {
    Record,
    Change(usize),
    Stop,
}

/// How many lines of 78 signs the screen may have, beside its last three: the keys and where the answer is typed.
const ROWS: usize = 20;

impl Guide<'_> {
    /// Shows the whole check and asks whether it is recorded.
    pub(super) fn read_over(&mut self) -> anyhow::Result<Wish> {
        loop {
            self.mind_the_clock()?;
            self.console.new_part()?;
            for line in self.screen() {
                self.console.say(&line)?;
            }
            let steps = self.asked.steps.len();
            self.console.say("Enter or y records it. A number changes that step, r: remark on the check, q: stop.")?;
            let check = |text: &str| match text {
                "" | "y" | "Y" | "r" | "R" | "q" | "Q" => Ok(()),
                text => match text.parse::<usize>() {
                    Ok(n) if (1..=steps).contains(&n) => Ok(()),
                    _ => Err(format!("type y, a number from 1 to {steps}, r or q")),
                },
            };
            match self.console.line("Enter, or what to change:", "", &check)? {
                Entered::Stop => return Ok(Wish::Stop),
                Entered::Escape => {}
                Entered::Text(text) => match text.to_lowercase().as_str() {
                    "" | "y" => return Ok(Wish::Record),
                    "q" => return Ok(Wish::Stop),
                    "r" => self.remark_on_all()?,
                    number => {
                        return Ok(number.parse::<usize>().map_or(Wish::Stop, |n| Wish::Change(n.saturating_sub(1))));
                    }
                },
            }
        }
    }

    fn remark_on_all(&mut self) -> anyhow::Result<()> {
        let before = self.draft.remarks.clone().unwrap_or_default();
        // An empty line takes the remark off.
        if let Entered::Text(text) = self.console.line("remark (nothing about a patient):", &before, &|_| Ok(()))? {
            self.draft.remarks = Some(text).filter(|text| !text.is_empty());
            (self.keep)(&self.draft)?;
        }
        Ok(())
    }

    fn screen(&self) -> Vec<String> {
        let mut lines = vec![self.heading()];
        let by: Vec<&str> = self.draft.by.iter().map(|id| self.asked.contents.person_name(id)).collect();
        let time =
            |moment: crate::record::Moment| moment.in_zone(self.asked.site.time_zone).0.format("%H:%M").to_string();
        let (started, finished) = (self.draft.started.map(time), self.finished().map(time));
        let (started, finished) = (started.unwrap_or_default(), finished.unwrap_or_default());
        lines.push(format!("{started} to {finished}, by {}", by.join(", ")));
        lines.push(String::new());
        lines.extend(body(self.asked.steps, &self.draft, |step, answer| {
            say(step, answer, self.asked.machine, self.asked.site).verdict
        }));
        lines
    }

    fn heading(&self) -> String {
        let emergency = if self.draft.emergency_start { ", EMERGENCY START" } else { "" };
        format!("Read it over: {}, {}{emergency}", self.asked.machine.name, self.asked.procedure.words())
    }
}

/// Returns the lines about the steps, so few that they fit one screen.
fn body(steps: &[Step<'_>], draft: &Draft, verdict: impl Fn(&Step<'_>, &Answer) -> Verdict) -> Vec<String> {
    let (mut failed, mut remarks, mut readings) = (Vec::new(), Vec::new(), Vec::new());
    let mut doubts = Vec::new();
    let mut left: Vec<(String, Vec<String>)> = Vec::new();
    let mut passed = 0;
    for (step, n) in steps.iter().zip(1..) {
        let Some(result) = draft.result(step) else { continue };
        let title = format!("{n} {}", step.title());
        match (verdict(step, &result.answer), &result.answer) {
            (Verdict::Fail, Answer::Fail) => failed.push(title.clone()),
            (Verdict::Fail, answer) => failed.push(format!("{title}: {}", seen(answer))),
            (_, Answer::NotDone(because)) => match left.iter_mut().find(|(known, _)| known == because) {
                Some((_, titles)) => titles.push(title.clone()),
                None => left.push((because.clone(), vec![title.clone()])),
            },
            (_, Answer::Pass) => passed += 1,
            (_, answer) => readings.push(format!("{title} {}", seen(answer))),
        }
        if !result.earlier.is_empty() {
            let tries: Vec<String> = result.earlier.iter().map(seen).collect();
            remarks.push(format!("{title}: tried before: {}", tries.join(", ")));
        }
        if let Some(doubt) = step.line.belief.doubt(&result.answer) {
            doubts.push(format!("{title}: {}", doubt.words()));
        }
        if let Some(remark) = &result.remark {
            remarks.push(format!("{title}: {remark}"));
        }
    }
    let mut lines = Vec::new();
    match failed.len() {
        0..5 => lines.extend(failed.iter().map(|one| format!("FAILS {one}"))),
        _ => lines.push(format!("FAILS {}", failed.join("; "))),
    }
    lines.extend(doubts);
    lines.extend(left.iter().map(|(because, titles)| format!("not done ({because}): {}", titles.join("; "))));
    lines.extend(remarks.iter().map(|one| format!("remark {one}")));
    lines.extend(draft.remarks.iter().map(|remark| format!("remark on the check: {remark}")));
    let others = if failed.is_empty() && left.is_empty() && readings.is_empty() { "" } else { "others " };
    let end = format!("{passed} {others}passed");
    let mut room = ROWS - 6;
    let mut shown = Vec::new();
    for line in lines.into_iter().chain((!readings.is_empty()).then(|| readings.join("; "))) {
        let line = shortened(line, room);
        room = room.saturating_sub(rows(&line));
        if line.is_empty() {
            break;
        }
        shown.push(line);
    }
    shown.push(end);
    shown
}

/// Returns how many lines a text takes at most, broken between words.
fn rows(line: &str) -> usize {
    line.chars().count() / 62 + 1
}

/// Cuts a text that would need more lines than there is room for, and says so.
fn shortened(line: String, room: usize) -> String {
    if rows(&line) <= room {
        return line;
    }
    if room == 0 {
        return String::new();
    }
    let kept: String = line.chars().take((room * 62).saturating_sub(40)).collect();
    format!("{kept} ... (more; a number shows that step)")
}
