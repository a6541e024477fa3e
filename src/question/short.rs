//! Checks that are shorter than the times held in them.
//!
//! Each hold takes its time, failed attempts too. Several people can hold several things at once, so that the time
//! between start and finish counts once for each of them. Times written to the whole minute may be a minute off.

use super::{Asked, Span};
use crate::record::{Answer, Check, Moment};
use crate::timeline::Lives;

/// A check that is shorter than what was held in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Short {
    pub machine: String,
    pub path: String,
    /// From start to finish, in seconds.
    pub lasted: i64,
    /// All times held, in seconds.
    pub held: i64,
    pub people: usize,
}

/// Returns the checks of a span that are shorter than the times held in them; looked at are all that hold something.
pub fn asked(lives: &Lives, span: &Span) -> Asked<Short> {
    let mut asked = Asked { looked_at: 0, questions: Vec::new() };
    for life in lives.values() {
        for done in span.checks(life) {
            let held = held(&done.check);
            if held == 0 {
                continue;
            }
            asked.looked_at += 1;
            let Check { started, finished, .. } = *done.check;
            let lasted = finished.seconds_since(started);
            let people = done.by().len().max(1);
            let at_most = lasted.saturating_add(slack(started, finished)).saturating_mul(people as i64);
            if held > at_most {
                let (machine, path) = (life.machine.clone(), done.path().to_owned());
                asked.questions.push(Short { machine, path, lasted, held, people });
            }
        }
    }
    asked
}

/// Returns all times held in a check, in seconds.
fn held(check: &Check) -> i64 {
    let seconds = |answer: &Answer| match answer {
        Answer::Held(time) | Answer::PressureHeld { time, .. } => time.seconds().unwrap_or(0).max(0),
        // A reading of a time is what a display said, not how long somebody stood there.
        Answer::Reading(_)
        | Answer::Pass
        | Answer::Fail
        | Answer::NotFitted
        | Answer::Choice(_)
        | Answer::NotDone(_) => 0,
    };
    check
        .results
        .single()
        .flat_map(|(_, _, result, _)| result.earlier.iter().chain([&result.answer]))
        .map(seconds)
        .fold(0, i64::saturating_add)
}

/// Returns by how much a check may have lasted longer than it says, when its times were written to the minute.
fn slack(started: Moment, finished: Moment) -> i64 {
    let whole = |moment: Moment| moment.0.timestamp() % 60 == 0;
    if whole(started) || whole(finished) { 60 } else { 0 }
}
