//! What a machine may be used for at a moment, and why.

use super::follow::unanswered;
use super::life::{CheckDone, Life};
use super::people::{Lacking, lacking};
use crate::contents::Contents;
use crate::procedure::{Outcome, When};
use crate::record::{Date, Moment, Use};
use std::collections::BTreeSet;

/// A machine at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Status {
    /// The paths of the faults that withhold it.
    pub withheld_by: Vec<String>,
    /// Restrictions in force: the fault, what is restricted, until when, who answers for it.
    pub restricted_by: Vec<Restriction>,
    /// Whether it belongs to the machines in use on that day.
    pub in_use: bool,
    /// Today's check before the first case that counts: the latest complete one by the people whom its procedure asks
    /// for, else the latest complete one, else the latest.
    pub todays_check: Option<CheckDone>,
    /// The people whom that check lacks.
    pub lacking: Option<Lacking>,
    /// Checks of any occasion and day that failed in an item for which no fault record answers, and after which no complete
    /// check proved the machine; the earliest first.
    pub unanswered: Vec<CheckDone>,
    /// Checks of today, of any occasion, that hold a number which is hard to believe, and after which no whole check of the
    /// same procedure held only numbers that are believed.
    pub doubted: Vec<CheckDone>,
    /// Checks of any occasion that failed after that one, today, and that no later check of the same procedure passed.
    pub failed_since: Vec<CheckDone>,
    /// The day on which the next service is due.
    pub service_due: Option<Date>,
    pub service_overdue: bool,
}

/// A restriction in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Restriction {
    pub fault: String,
    pub restriction: String,
    pub until: Date,
    pub owner: String,
    pub expired: bool,
}

impl Status {
    /// Returns whether the records say that the machine may be used: in use, not withheld, no restriction past
    /// its day, no failure that nobody answers for, and today's check passed, by the people whom its procedure asks for
    /// and with readings that can be true. Whether it is used is for the clinician to decide.
    pub fn ready(&self) -> bool {
        self.in_use
            && self.withheld_by.is_empty()
            && self.restricted_by.iter().all(|r| !r.expired)
            && self.unanswered.is_empty()
            && self.lacking.is_none()
            && self.doubted.is_empty()
            && self.todays_check.as_ref().is_some_and(|c| self.accepts(c))
            && self.failed_since.iter().all(|c| self.only_restricts(c))
    }

    /// Returns today's check before the first case when it passed and its people were enough.
    pub fn passed_today(&self) -> Option<&CheckDone> {
        let passed = self.todays_check.as_ref().filter(|check| check.judgement.outcome == Outcome::Passed);
        passed.filter(|_| self.lacking.is_none())
    }

    /// A failed item that only restricts does not keep a machine away when a restriction is on record.
    fn accepts(&self, check: &CheckDone) -> bool {
        match check.judgement.outcome {
            Outcome::Passed => true,
            Outcome::Incomplete => false,
            Outcome::Failed => check.judgement.complete && self.only_restricts(check),
        }
    }

    fn only_restricts(&self, check: &CheckDone) -> bool {
        !self.restricted_by.is_empty()
            && check.judgement.failures().all(|f| f.if_failed == crate::procedure::IfFailed::Restrict)
    }
}

/// Returns what the records say of a machine at a moment. Without a site there is no day to ask for: nothing.
pub fn status(contents: &Contents, life: &Life, now: Moment) -> Option<Status> {
    let zone = contents.site.as_ref()?.time_zone;
    let today = Date(now.date_in(zone));
    let machine = contents.machines.get(&life.machine)?;
    let withheld_by = life.cases.iter().filter(|c| c.withholds_at(now)).map(|c| c.path.clone()).collect();
    let restricted_by = life
        .cases
        .iter()
        .filter(|case| case.open_at(now))
        .filter_map(|case| match &case.usage {
            Use::Withheld => None,
            Use::Restricted { restriction, until, owner } => Some(Restriction {
                fault: case.path.clone(),
                restriction: restriction.clone(),
                until: *until,
                owner: owner.clone(),
                expired: *until < today,
            }),
        })
        .collect();
    let all_today: Vec<&CheckDone> = life.checks_until(now).iter().filter(|c| c.day == today).collect();
    let todays: Vec<&CheckDone> = all_today.iter().filter(|c| c.when != When::EachPatient).copied().collect();
    let complete = || todays.iter().rev().filter(|c| c.judgement.complete);
    let entitled = complete().find(|c| lacking(contents, c).is_none());
    let todays_check = entitled.or(complete().next()).or(todays.last()).map(|c| (*c).clone());
    let since = todays_check.as_ref().map(|c| c.check.finished);
    let passed_later = |failed: &CheckDone| {
        all_today.iter().any(|c| {
            c.check.procedure == failed.check.procedure
                && c.check.finished > failed.check.finished
                && c.judgement.outcome == Outcome::Passed
                && lacking(contents, c).is_none()
        })
    };
    let unanswered = unanswered_until(contents, life, now);
    let believed = |check: &CheckDone| check.judgement.doubts().next().is_none();
    let read_again = |doubted: &CheckDone| {
        let mut later = all_today.iter().filter(|c| c.check.finished > doubted.check.finished);
        later.any(|c| c.check.procedure == doubted.check.procedure && c.judgement.complete && believed(c))
    };
    let doubted = all_today.iter().filter(|c| !believed(c) && !read_again(c)).map(|c| (*c).clone()).collect();
    let failed_since = all_today
        .iter()
        .filter(|c| since.is_none_or(|since| c.check.finished > since))
        .filter(|c| c.judgement.failures().next().is_some() && !passed_later(c))
        .map(|c| (*c).clone())
        .collect();
    let service_due = life.service_due(now);
    Some(Status {
        withheld_by,
        restricted_by,
        in_use: machine.in_use_on(today),
        lacking: todays_check.as_ref().and_then(|check| lacking(contents, check)),
        todays_check,
        unanswered,
        doubted,
        failed_since,
        service_due,
        service_overdue: service_due.is_some_and(|due| due < today),
    })
}

/// Returns the checks with failures that nobody answers for, since the machine was last proved by a complete check.
fn unanswered_until(contents: &Contents, life: &Life, now: Moment) -> Vec<CheckDone> {
    let proofs: BTreeSet<&str> = life
        .cases
        .iter()
        .filter_map(|case| case.released.as_ref().filter(|released| released.released <= now))
        .filter_map(|released| contents.speaking_for(&released.proved_by))
        .collect();
    let proves = |check: &CheckDone| {
        check.judgement.outcome == Outcome::Passed
            && (check.when == When::AfterService || proofs.contains(check.path()))
            && lacking(contents, check).is_none()
            && check.judgement.doubts().next().is_none()
    };
    let since_proved = life.checks_until(now).iter().rev().take_while(|check| !proves(check));
    let mut open: Vec<CheckDone> = since_proved.filter(|check| !unanswered(life, check).is_empty()).cloned().collect();
    open.reverse();
    open
}
