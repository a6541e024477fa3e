//! Which machines the records call ready at a moment, and why the others are not: one value a machine.
//!
//! Takes the contents, the lives, the moment and the records that could not be counted. The terminal and the board only
//! lay it out. Whether a machine is used is for the clinician to decide.

use super::reserve;
use crate::contents::{self, Contents};
use crate::procedure::{Outcome, When};
use crate::record::result::Entry;
use crate::record::{Answer, Body, Date, Moment};
use crate::timeline::{CheckDone, Life, Lives, Status, status, unanswered};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// What stands under every statement of readiness.
pub const CAUTION: &str =
    "A machine is not made safe by a record. The maker's instructions and the clinician's judgement come first.";

/// What the records say of one machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Readiness {
    pub machine: String,
    /// Empty, as is `location`, when the machine's own file could not be read.
    pub name: String,
    pub location: String,
    pub state: State,
    /// Whether it belongs to the machines in use on that day.
    pub in_use: bool,
    /// Why it is not ready; empty when it is.
    pub reasons: Vec<Sentence>,
    pub notes: Vec<Sentence>,
    /// The check before the first case that counts today.
    pub checked: Option<Checked>,
    pub service_due: Option<Date>,
    pub service_overdue: bool,
}

/// What a machine is called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    Ready,
    Restricted,
    NotReady,
}

/// When a check ended, in the time of the site, and the ids of the people who did it.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    pub at: Moment,
    pub by: Vec<String>,
}

/// One sentence about a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Sentence {
    pub about: About,
    pub words: String,
    /// What says so: the path of a record, or the source of a number.
    pub source: Option<String>,
    /// The command that takes the next step.
    pub next: Option<String>,
}

/// What a sentence is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    Use,
    Fault,
    Restriction,
    /// A check that did not pass, or that is missing.
    Check,
    /// A check that passed.
    Passed,
    SpareOxygen,
    Records,
    Service,
}

/// The paths of records that could not be counted, by machine.
pub type Uncounted = BTreeMap<String, BTreeSet<String>>;

/// Returns the readiness of every machine at a moment, in the order of their ids.
///
/// A record that is not counted could be the one that withholds its machine: such a machine is not called ready. The same
/// goes for one whose own file could not be read. Without a site nothing can be said: then there are none.
pub fn of(contents: &Contents, lives: &Lives, now: Moment, uncounted: &Uncounted) -> Vec<Readiness> {
    let known = lives.iter().filter_map(|(id, life)| {
        let status = status(contents, life, now)?;
        Some(one(contents, (id, life), &status, now, uncounted.get(id)))
    });
    let unreadable = contents.unreadable_ground().filter(|_| contents.site.is_some()).filter_map(|path| {
        let id = path.strip_prefix("machines/")?.strip_suffix(".yaml").filter(|id| contents::is_id(id))?;
        Some(unread(id, path))
    });
    let mut all: Vec<Readiness> = known.chain(unreadable).collect();
    all.sort_by(|a, b| a.machine.cmp(&b.machine));
    all
}

impl State {
    /// Returns the state as it is shown.
    pub fn words(self) -> &'static str {
        match self {
            State::Ready => "ready",
            State::Restricted => "restricted",
            State::NotReady => "not ready",
        }
    }
}

impl fmt::Display for Sentence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)?;
        if let Some(source) = &self.source {
            write!(f, " ({source})")?;
        }
        if let Some(next) = &self.next {
            write!(f, ": `{next}`")?;
        }
        Ok(())
    }
}

impl Sentence {
    fn new(about: About, words: impl Into<String>) -> Sentence {
        Sentence { about, words: words.into(), source: None, next: None }
    }

    fn of_record(about: About, words: impl Into<String>, record: &str) -> Sentence {
        Sentence { source: Some(record.to_owned()), ..Sentence::new(about, words) }
    }
}

/// Returns what is said of a machine whose own file could not be read.
fn unread(id: &str, path: &str) -> Readiness {
    Readiness {
        machine: id.to_owned(),
        name: String::new(),
        location: String::new(),
        state: State::NotReady,
        in_use: true,
        reasons: vec![Sentence::new(About::Records, format!("{path} has problems and was not read"))],
        notes: Vec::new(),
        checked: None,
        service_due: None,
        service_overdue: false,
    }
}

fn one(
    contents: &Contents,
    (id, life): (&str, &Life),
    status: &Status,
    now: Moment,
    uncounted: Option<&BTreeSet<String>>,
) -> Readiness {
    let (mut reasons, mut notes) = (Vec::new(), Vec::new());
    if !status.in_use {
        reasons.push(Sentence::new(About::Use, "not among the machines in use today"));
    }
    for path in &status.withheld_by {
        let what = match contents.record(path).map(|filed| &filed.record.body) {
            Some(Body::Fault(fault)) => format!(": {}", fault.what.trim()),
            _ => String::new(),
        };
        reasons.push(Sentence::of_record(About::Fault, format!("withheld from use{what}"), path));
    }
    for restriction in &status.restricted_by {
        let (text, until) = (restriction.restriction.trim(), restriction.until);
        let said = |words| Sentence::of_record(About::Restriction, words, &restriction.fault);
        if restriction.expired {
            reasons.push(said(format!("the restriction ended on {until} and the fault is still open: {text}")));
        } else {
            notes.push(said(format!("restricted until {until}: {text}")));
        }
    }
    match &status.todays_check {
        None => reasons.push(Sentence::new(About::Check, "no check before the first case today")),
        Some(check) => {
            say_check(contents, check, status, &mut reasons, &mut notes);
            let lacking = status.lacking.as_ref().map(|lacking| Sentence::new(About::Check, lacking.words()));
            reasons.extend(lacking);
            notes.extend(spare_oxygen(contents, check));
        }
    }
    reasons.extend(status.doubted.iter().flat_map(doubted));
    for check in &status.failed_since {
        say_check(contents, check, status, &mut reasons, &mut notes);
    }
    let today = contents.day(now);
    reasons.extend(status.unanswered.iter().map(|check| no_fault_record(contents, life, check, today)));
    for path in uncounted.into_iter().flatten() {
        let words = format!("a record of this machine has a problem and was not counted: {path}");
        reasons.push(Sentence::new(About::Records, words));
    }
    if let Some(due) = status.service_due.filter(|_| status.service_overdue) {
        notes.push(Sentence::new(About::Service, format!("service was due on {due}")));
    }
    let ready = status.ready() && uncounted.is_none();
    let machine = contents.machines.get(id);
    Readiness {
        machine: id.to_owned(),
        name: machine.map_or(String::new(), |machine| machine.name.clone()),
        location: machine.map_or(String::new(), |machine| machine.location.clone()),
        state: match (ready, status.restricted_by.is_empty()) {
            (true, true) => State::Ready,
            (true, false) => State::Restricted,
            (false, _) => State::NotReady,
        },
        in_use: status.in_use,
        reasons,
        notes,
        checked: status
            .todays_check
            .as_ref()
            .map(|check| Checked { at: contents.at_site(check.check.finished), by: check.by().to_vec() }),
        service_due: status.service_due,
        service_overdue: status.service_overdue,
    }
}

/// Says that nobody wrote down what became of a failure. A later check that passed does not say it either.
fn no_fault_record(contents: &Contents, life: &Life, check: &CheckDone, today: Date) -> Sentence {
    let at = contents.at_site(check.check.finished);
    let at = if check.day == today { at.0.format("%H:%M").to_string() } else { at.short() };
    let items = titles(unanswered(life, check).iter().map(|item| item.title));
    let words = format!("{} at {at} failed: {items}; no fault record says what became of it", occasion(check));
    let next = format!("pinindex fault {} --found-during {}", life.machine, check.path());
    Sentence { next: Some(next), ..Sentence::new(About::Check, words) }
}

/// Says which readings of a check are hard to believe.
fn doubted(check: &CheckDone) -> impl Iterator<Item = Sentence> {
    check.judgement.doubts().map(|(item, doubt)| {
        let what = item.each.map_or(item.title.to_owned(), |each| format!("{}, {each}", item.title));
        let words = format!("{what}: {} is hard to believe; {}", doubt.number, doubt.why);
        let next = format!("pinindex correct {}", check.path());
        Sentence { next: Some(next), ..Sentence::new(About::Check, words) }
    })
}

fn occasion(check: &CheckDone) -> &'static str {
    match check.when {
        When::FirstCase => "check",
        When::EachPatient => "check before a patient",
        When::AfterService => "complete check",
    }
}

/// Returns the titles of items, each once: an item may have failed for several vaporizers or gases.
fn titles<'a>(titles: impl Iterator<Item = &'a str>) -> String {
    let mut once: Vec<&str> = titles.collect();
    once.dedup();
    once.join("; ")
}

fn say_check(
    contents: &Contents,
    check: &CheckDone,
    status: &Status,
    reasons: &mut Vec<Sentence>,
    notes: &mut Vec<Sentence>,
) {
    let at = contents.at_site(check.check.finished).0.format("%H:%M");
    let occasion = occasion(check);
    let said = |words: String| Sentence::new(About::Check, words);
    match check.judgement.outcome {
        Outcome::Passed => notes.push(Sentence::new(About::Passed, format!("{occasion} passed at {at}"))),
        Outcome::Incomplete => reasons.push(said(format!("{occasion} at {at} left items undone"))),
        // That nobody answers for it is said in the same words, with what to do.
        Outcome::Failed if status.unanswered.iter().any(|open| open.path() == check.path()) => {}
        Outcome::Failed => {
            let items = titles(check.judgement.failures().map(|item| item.title));
            let text = said(format!("{occasion} at {at} failed: {items}"));
            if status.restricted_by.is_empty() { reasons.push(text) } else { notes.push(text) }
        }
    }
}

/// Says how long the spare oxygen lasts at the site's planning flow, when the check read its gauge.
fn spare_oxygen(contents: &Contents, check: &CheckDone) -> Option<Sentence> {
    let machine = contents.machine_on(&check.filed.record.common.machine, check.day)?;
    let site = contents.site.as_ref()?;
    let items = contents.procedure_of(&check.check)?.items.iter();
    let mut of_oxygen =
        items.filter(|item| reserve::cylinder_of(item, machine).is_some_and(|(gas, _)| gas == "oxygen"));
    of_oxygen.find_map(|item| {
        let Some(Entry::One(result)) = check.check.results.get(&item.id) else { return None };
        let Answer::Reading(reading) = &result.answer else { return None };
        let left = reserve::of(item, machine, site, &result.answer)?;
        let words = format!("spare oxygen {reading}: {}", left.words);
        Some(Sentence { source: left.source, ..Sentence::new(About::SpareOxygen, words) })
    })
}
