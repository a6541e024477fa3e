//! Readings that drift toward a limit: which do, and before which day none of them would reach it.
//!
//! Takes the basis, looks at every item with a numeric limit, gives dates for page one, a section and figures. A date is
//! given only for a trend that is hardly chance among all that were looked at, and never far beyond what was observed.
//! Leaves out items that failed already, and what wears out otherwise than in a straight line.

mod picture;
mod question;
mod section;
mod series;

pub use question::{Bound, Cut, Dates, FEWEST_DAYS, FEWEST_READINGS, Finding, Question};
pub use section::section;
pub use series::{Reading, Series, Why};

use super::basis::Basis;
use super::signals::Test;
use crate::procedure::judgement::limits_in_force;
use crate::record::Date;
use std::collections::BTreeSet;

/// How many false dates are to be expected in a report at most, where nothing drifts and days are independent.
pub const FALSE_DATES: f64 = 0.05;

/// Every series with a limit, and what came of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drifts<'a> {
    /// By machine and item; each with a question for every bound, at least one.
    pub series: Vec<(Series<'a>, Vec<Question>)>,
}

/// A date for page one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DatedDrift {
    pub machine: String,
    /// The item as records name it: `oxygen-monitor-air`, `pipeline-pressure/air`.
    pub place: String,
    pub earliest: Date,
    pub estimate: Date,
    /// Whether the line has reached the limit already, while the newest reading has not.
    pub reached: bool,
}

/// Looks at every item with a numeric limit, on every machine in use on the last day.
pub fn counted_drifts<'a>(basis: &Basis<'a>) -> Drifts<'a> {
    let last = basis.last_moment();
    let today = basis.day(last);
    let mut drifts = Drifts::default();
    for (id, machine, life) in basis.machines().filter(|(_, machine, _)| machine.in_use_on(today)) {
        for series in series::of_machine(basis, id, life) {
            let newest = &series.newest.check;
            let Some(item) = basis.contents.procedure_of(newest).and_then(|procedure| procedure.item(series.item))
            else {
                continue;
            };
            let machine = basis.contents.machine_of(id, newest).unwrap_or(machine);
            let limits = limits_in_force(item, machine).into_iter().filter(|limit| limit.of == series.of);
            let mut questions = Vec::new();
            for bound in limits.flat_map(|limit| question::bounds(&series, limit)) {
                questions.push(Question::new(&series, bound, last, &questions));
            }
            if !questions.is_empty() {
                drifts.series.push((series, questions));
            }
        }
    }
    let p = drifts.p_wanted();
    for (series, questions) in &mut drifts.series {
        questions.iter_mut().for_each(|question| question.conclude(series, p));
    }
    drifts
}

impl<'a> Drifts<'a> {
    /// Returns every question with its series.
    pub fn questions(&self) -> impl Iterator<Item = (&Series<'a>, &Question)> {
        self.series.iter().flat_map(|(series, questions)| questions.iter().map(move |question| (series, question)))
    }

    /// Returns how many questions had enough readings to be tested.
    pub fn tested(&self) -> usize {
        self.questions().filter(|(_, question)| question.slope.is_some()).count()
    }

    /// Returns how often a series began anew, each time once whatever bound it was seen for.
    pub fn begun_anew(&self) -> usize {
        let moments = |questions: &[Question]| {
            let cuts = questions.iter().flat_map(|question| &question.cuts);
            cuts.map(|cut| cut.at).collect::<BTreeSet<_>>().len()
        };
        self.series.iter().map(|(_, questions)| moments(questions)).sum()
    }

    /// Returns how unlikely by chance a trend must be to be dated: the false dates allowed, shared among all questions
    /// (C. E. Bonferroni 1936).
    pub fn p_wanted(&self) -> f64 {
        FALSE_DATES / self.tested().max(1) as f64
    }

    /// Returns how many false dates are to be expected at most.
    pub fn expected_false(&self) -> f64 {
        if self.tested() == 0 { 0.0 } else { FALSE_DATES }
    }

    /// Returns the whole as one test among those of the report; nothing when no series had enough readings.
    pub fn test(&self) -> Option<Test> {
        let what = format!("drifts toward {} limits of readings", self.tested());
        (self.tested() > 0).then_some(Test { what, runs: self.tested(), false_alarm: self.expected_false() })
    }

    /// Returns the dates, the earliest first.
    pub fn dated(&self) -> Vec<DatedDrift> {
        let mut dated: Vec<DatedDrift> = self
            .questions()
            .filter_map(|(series, question)| {
                let dates = question.dates()?;
                Some(DatedDrift {
                    machine: series.machine.to_owned(),
                    place: series.place(),
                    earliest: dates.earliest,
                    estimate: dates.estimate,
                    reached: dates.reached,
                })
            })
            .collect();
        dated.sort_by(|a, b| (a.earliest, &a.machine, &a.place).cmp(&(b.earliest, &b.machine, &b.place)));
        dated
    }
}
