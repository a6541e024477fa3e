//! Numbers that no gauge shows and nobody waits for: 40000 psi in a cylinder that shows 1900 psi when it is full.

use super::{Asked, Span};
use crate::procedure::{Doubt, Verdict};
use crate::timeline::Lives;

/// A number that is hard to believe.
#[derive(Clone, Debug, PartialEq)]
pub struct Unbelieved {
    pub machine: String,
    pub place: String,
    pub doubt: Doubt,
    pub path: String,
}

/// Returns the numbers of a span that are hard to believe; looked at are the answers that were judged.
pub fn asked(lives: &Lives, span: &Span) -> Asked<Unbelieved> {
    let mut asked = Asked { looked_at: 0, questions: Vec::new() };
    for life in lives.values() {
        for done in span.checks(life) {
            let judged = done.judgement.verdicts().filter(|verdict| matches!(verdict, Verdict::Pass | Verdict::Fail));
            asked.looked_at += judged.count();
            asked.questions.extend(done.judgement.doubts().map(|(item, doubt)| Unbelieved {
                machine: life.machine.clone(),
                place: item.place(),
                doubt,
                path: done.path().to_owned(),
            }));
        }
    }
    asked
}
