//! One person in two places: work by the same person on two machines at the same time.
//!
//! Looks at checks, and at repairs and services, which take hands too. Asks only when that person did both alone: with a
//! second name on one of them somebody else may have done it, and such overlaps are only counted. Certain for two checks;
//! a repair or a service may be left for a while. A repair that names a wait is left out: nobody stands there meanwhile.

use super::{Asked, Span};
use crate::contents::{Contents, Filed};
use crate::record::{Body, Moment};
use std::collections::BTreeMap;

/// Two records by the same person on different machines that overlap in time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TwoPlaces {
    pub person: String,
    /// The record that began first, and the other.
    pub paths: [String; 2],
    pub machines: [String; 2],
    /// How long both went on, in seconds.
    pub overlap: i64,
    /// Both are checks, which nobody leaves in the middle.
    pub certain: bool,
}

/// What came of looking for one person in two places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Places {
    pub asked: Asked<TwoPlaces>,
    /// Overlaps of records of which at least one names somebody else too.
    pub with_others: usize,
}

/// The longest overlap that means nothing: times are written down to the minute.
const NOTHING: i64 = 60;

/// Returns the overlaps that end in a span; looked at are the records with a start and an end.
pub fn asked(contents: &Contents, span: &Span) -> Places {
    let mut by_person: BTreeMap<&str, Vec<(Moment, &Filed)>> = BTreeMap::new();
    let mut looked_at = 0;
    for filed in contents.counting().filter(|filed| takes_hands(filed)) {
        let Some(started) = filed.record.started() else { continue };
        looked_at += usize::from(span.holds(filed.record.when()));
        for person in &filed.record.common.by {
            by_person.entry(person).or_default().push((started, filed));
        }
    }
    let mut questions = Vec::new();
    let mut with_others = 0;
    for (person, mut works) in by_person {
        works.sort_by_key(|(started, filed)| (*started, filed.path.as_str()));
        // Whatever is still going on when the next one begins.
        let mut going_on: Vec<&Filed> = Vec::new();
        for (started, filed) in works {
            going_on.retain(|other| other.record.when() > started);
            for other in &going_on {
                let overlap = other.record.when().min(filed.record.when()).seconds_since(started);
                let elsewhere = other.record.common.machine != filed.record.common.machine;
                let ends = other.record.when().max(filed.record.when());
                if !elsewhere || overlap < NOTHING || !span.holds(ends) {
                    continue;
                }
                if [*other, filed].iter().any(|f| f.record.common.by.len() > 1) {
                    with_others += 1;
                } else {
                    questions.push(TwoPlaces {
                        person: person.to_owned(),
                        paths: [other, filed].map(|f| f.path.clone()),
                        machines: [other, filed].map(|f| f.record.common.machine.clone()),
                        overlap,
                        certain: [*other, filed].iter().all(|f| matches!(f.record.body, Body::Check(_))),
                    });
                }
            }
            going_on.push(filed);
        }
    }
    questions.sort_by(|a, b| b.certain.cmp(&a.certain).then_with(|| a.paths.cmp(&b.paths)));
    Places { asked: Asked { looked_at, questions }, with_others }
}

fn takes_hands(filed: &Filed) -> bool {
    match &filed.record.body {
        Body::Check(_) | Body::Service(_) => true,
        Body::Repair(repair) => repair.waited.is_empty(),
        Body::Fault(_) | Body::Release(_) | Body::Void(_) => false,
    }
}
