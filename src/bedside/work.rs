//! What the records of work on a machine ask in common: begun, finished, instruments, and the checks that prove it.

use super::clock_time::FORMS;
use super::field::{Asked, Field, HowMany, Offer, Takes, instrument};
use super::given::Given;
use super::setting::Setting;
use crate::procedure::{Outcome, When};
use crate::record::kinds::Instrument;
use crate::record::{Moment, Use};
use crate::timeline::{Case, CheckDone, Life, lacking};

/// Returns the fields for when the work was begun and finished; it cannot be finished before `bound`.
pub fn begun_and_finished(
    setting: Setting<'_>,
    given: &Given,
    now: Moment,
    bound: Option<(Moment, String)>,
) -> [Field; 2] {
    let started = given.moment("started").map(|started| (started, "the work was begun".to_owned()));
    let bound = started.into_iter().chain(bound).max_by_key(|(moment, _)| *moment);
    let begun = Field::new("started", "begun", "When was the work begun?", setting.moment(now, None)).help(FORMS);
    let finished = Field::new("finished", "finished", "When was it finished?", setting.moment(now, bound)).help(FORMS);
    [begun, finished.suggest([setting.written(now)])]
}

/// Returns the field for the test instruments.
pub fn instruments() -> Field {
    Field::new("instrument", "instruments", "Which test instruments were used?", Takes::Instrument)
        .help("Each with the day until which its calibration is good: `gas analyser 3, 2027-03-31`.")
        .how_many(HowMany::Any)
        .asked(Asked::Usual)
}

/// Returns the instruments that were answered.
pub fn used(given: &Given) -> Vec<Instrument> {
    given.all("instrument").iter().filter_map(|answer| instrument(answer)).collect()
}

/// Returns a line for each instrument whose calibration had run out on the day the work was finished.
pub fn out_of_calibration(setting: Setting<'_>, given: &Given) -> Vec<String> {
    let Some(day) = given.moment("finished").map(|finished| setting.contents.day(finished)) else { return Vec::new() };
    let over = used(given).into_iter().filter(|instrument| instrument.calibration_due < day);
    let line =
        |Instrument { id, calibration_due }| format!("The calibration of {id} was good until {calibration_due} only.");
    over.map(line).collect()
}

/// Returns an open fault as it is offered.
pub fn offered(case: &Case) -> Offer {
    let how = match &case.usage {
        Use::Withheld => "withheld".to_owned(),
        Use::Restricted { until, .. } => format!("restricted until {until}"),
    };
    Offer::new(&case.path, format!("found {}, {how}: {}", case.found.short(), case.what))
}

/// Returns when the last thing happened to a fault that its proof must come after: its last work, or that it was found.
pub fn last_touched(case: &Case) -> Moment {
    case.works.iter().map(|work| work.repair.finished).max().map_or(case.found, |end| end.max(case.found))
}

/// Returns the complete checks that passed, by the people whom their procedures ask for, begun at or after a moment and
/// finished by another, the latest first.
pub fn proofs<'a>(
    setting: Setting<'a>,
    life: &'a Life,
    from: Moment,
    until: Moment,
) -> impl Iterator<Item = &'a CheckDone> {
    life.checks_until(until).iter().rev().filter(move |done| {
        done.judgement.outcome == Outcome::Passed
            && done.when != When::EachPatient
            && done.check.started >= from
            && lacking(setting.contents, done).is_none()
    })
}

/// Returns a check as it is offered.
pub fn proof(done: &CheckDone) -> Offer {
    let words = format!("{} check of {}, passed, {}", done.check.procedure, done.check.finished.short(), done.path());
    Offer::new(done.path(), words)
}

/// Returns the command that does the check which proves a machine.
pub fn check_command(setting: Setting<'_>, now: Moment) -> String {
    let procedure = setting.proving_procedure(now).map_or(String::new(), |id| format!(" --procedure {id}"));
    format!("pinindex check {}{procedure}", setting.machine)
}
