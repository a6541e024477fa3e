//! Correcting a record: the old one as answers, what was wrong put right, and why. Both stay readable.
//!
//! What is asked is what was asked when the old record was made: its own inquiry, in the logbook as it would be without it
//! and at the moment it was written down, with its answers as they stand. What nobody touches stays as it is, also where
//! nobody could answer it so today.

mod asking;
mod check;
mod from_file;

pub use from_file::FromFile;

use super::clock_time;
use super::console::Console;
use super::fault::{self, FaultInquiry};
use super::field::{Field, HowMany, Offer, Takes};
use super::given::Given;
use super::inquiry::{Inquiry, Keep, whole};
use super::release::{self, ReleaseInquiry};
use super::repair::{self, RepairInquiry};
use super::service::{self, ServiceInquiry};
use super::setting::Setting;
use super::void::{self, VoidInquiry};
use crate::contents::difference::{Difference, differences};
use crate::contents::{Contents, Filed};
use crate::procedure::{Outcome, judge};
use crate::record::shape::nearest;
use crate::record::{Body, Correction, Date, Moment, Record};
use crate::timeline::{Life, Lives};
use check::CheckInquiry;

/// The flags of an inquiry that mean something else in a correction, which has a person and a reason of its own.
const RENAMED: [(&str, &str); 2] = [("by", "done-by"), ("because", "reason")];

/// What is asked for a correction of a record that can be read.
pub struct CorrectionInquiry<'a> {
    old: &'a Filed,
    /// The logbook without the record, and without those that it corrects itself.
    contents: &'a Contents,
    lives: &'a Lives,
    /// What is to be known of the old record before it is corrected.
    standing: Vec<String>,
    nothing_yet: Life,
    told: Given,
}

impl<'a> CorrectionInquiry<'a> {
    /// Returns what is asked for a correction. `contents` and `lives` are those without the record.
    pub fn new(
        old: &'a Filed,
        contents: &'a Contents,
        lives: &'a Lives,
        standing: Vec<String>,
    ) -> CorrectionInquiry<'a> {
        let nothing_yet = Life::default();
        let mut inquiry = CorrectionInquiry { old, contents, lives, standing, nothing_yet, told: Given::default() };
        let machine = Given::default().with("machine", [old.record.common.machine.clone()]);
        let told = match &old.record.body {
            Body::Check(_) => inquiry.check(&machine).map_or(Given::default(), |check| check.told()),
            Body::Fault(fault) => fault::told(fault),
            Body::Repair(repair) => repair::told(repair),
            Body::Release(release) => release::told(release),
            Body::Service(service) => service::told(service),
            Body::Void(void) => void::told(void),
        };
        inquiry.told = renamed(told.joined(Setting::told(&old.record.common)), |(of_old, here)| (of_old, here));
        inquiry.told = inquiry.told.joined(machine);
        inquiry
    }

    /// Returns a line for each flag that was told and that this record has no field for, with the nearest it has.
    pub fn strays(&self, told: &Given, now: Moment) -> Vec<String> {
        let (fields, _) = whole(self, told, now, |_| false);
        let known: Vec<String> = fields.iter().map(|field| field.flag.to_string()).collect();
        let strays = told.flags().filter(|flag| !known.iter().any(|known| known == flag));
        let lines = strays.map(|flag| match nearest(flag, &known) {
            Some(near) => format!("this {} has no `--{flag}`: did you mean `--{near}`?", self.old.record.kind()),
            None => format!("this {} has no `--{flag}`", self.old.record.kind()),
        });
        lines.collect()
    }

    /// Returns both values of everything that the answers change.
    pub fn differences(&self, given: &Given, now: Moment) -> Vec<Difference> {
        differences(self.contents, &self.old.record, &self.record(given, now))
    }

    /// Returns what an answer comes to, at once; nothing where it only says what it says.
    fn comes_to(&self, flag: &str, given: &Given) -> Vec<String> {
        let of_old = of_old(given);
        self.check(&of_old).map_or(Vec::new(), |check| check.comes_to(flag, &of_old))
    }

    fn setting<'b>(&'b self, given: &'b Given) -> Setting<'b> {
        let machine = given.one("machine").unwrap_or(&self.old.record.common.machine);
        Setting { contents: self.contents, machine }
    }

    fn check<'b>(&'b self, given: &'b Given) -> Option<CheckInquiry<'b>> {
        let Body::Check(old) = &self.old.record.body else { return None };
        Some(CheckInquiry { setting: self.setting(given), old, old_machine: &self.old.record.common.machine })
    }

    /// Returns the inquiry that the old record was made by, about the machine that is answered.
    fn of_its_kind<'b>(&'b self, given: &'b Given) -> Box<dyn Inquiry + 'b> {
        let setting = self.setting(given);
        let (life, then) = (self.lives.get(setting.machine).unwrap_or(&self.nothing_yet), self.then());
        match &self.old.record.body {
            Body::Check(old) => Box::new(CheckInquiry { setting, old, old_machine: &self.old.record.common.machine }),
            Body::Fault(_) => Box::new(FaultInquiry::new(setting, life, then)),
            Body::Repair(_) => Box::new(RepairInquiry::at(setting, life, then)),
            Body::Release(_) => Box::new(ReleaseInquiry::at(setting, life, then)),
            Body::Service(_) => Box::new(ServiceInquiry { setting, life }),
            Body::Void(_) => Box::new(VoidInquiry::any(setting)),
        }
    }

    /// Returns the moment at which the old record was written down.
    fn then(&self) -> Moment {
        self.old.record.common.recorded
    }

    /// Returns whether machine and procedure are those of the old record.
    fn same_ground(&self, given: &Given) -> bool {
        ["machine", "procedure"].into_iter().all(|flag| given.all(flag) == self.told.all(flag))
    }

    /// Puts a field into the day of the old record: its answer can be taken again, and a time is one of that day.
    fn as_it_was(&self, mut field: Field, given: &Given, now: Moment) -> Field {
        let day = self.contents.day(self.old.record.when());
        match &mut field.takes {
            Takes::Moment(times) => {
                (times.now, times.day) = (now, day);
                field.help = clock_time::forms(day);
            }
            // Which items failed is said by the check: an item that did not cannot be named again.
            Takes::Offered(offers) if field.flag != "items" && self.same_ground(given) => {
                for answer in self.told.all(&field.flag) {
                    if offers.iter().all(|offer| offer.value != *answer) {
                        offers.push(Offer::new(answer, self.contents.person_name(answer)));
                    }
                }
            }
            _ => {}
        }
        field
    }

    /// Returns what the check comes to, where the correction turns it.
    fn turned(&self, given: &Given, now: Moment) -> Option<String> {
        let outcome = |record: &Record| {
            let Body::Check(check) = &record.body else { return None };
            let machine = self.contents.machine_of(&record.common.machine, check)?;
            Some(judge(check, self.contents.procedure_of(check)?, machine).outcome)
        };
        let (old, new) = (outcome(&self.old.record)?, outcome(&self.record(given, now))?);
        (old != new).then(|| format!("As it was written, {}; as corrected, {}.", check_words(old), check_words(new)))
    }
}

fn check_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Passed => "the check passed",
        Outcome::Failed => "the check failed",
        Outcome::Incomplete => "the check was not complete",
    }
}

/// Returns answers with the flags of one side renamed to those of the other.
fn renamed(given: Given, from_to: impl Fn((&'static str, &'static str)) -> (&'static str, &'static str)) -> Given {
    RENAMED.into_iter().map(from_to).fold(given, |mut given, (from, to)| {
        let answers = given.has(from).then(|| given.all(from).to_vec());
        given.forget(from);
        given.forget(to);
        answers.into_iter().fold(given, |given, answers| given.with(to, answers))
    })
}

/// Returns the answers as the inquiry of the old record knows them.
fn of_old(given: &Given) -> Given {
    renamed(given.clone(), |(of_old, here)| (here, of_old))
}

/// Returns the fields that every correction has of its own: why, and who.
fn own_fields(setting: Setting<'_>, now: Moment) -> [Field; 2] {
    let today = Date(now.date_in(setting.zone()));
    [
        Field::new("because", "because", "Why is it corrected?", Takes::Text)
            .help("What was wrong, and how it is known. Never a patient's name or number."),
        Field::new("by", "corrected by", "Who corrects it?", Takes::Offered(setting.people(today, &[])))
            .how_many(HowMany::One),
    ]
}

/// Returns a record as the correction of another one.
fn correcting(mut record: Record, of: &str, given: &Given) -> Record {
    let (who, because) = (given.text("by"), given.text("because"));
    let common = &mut record.common;
    common.recorded_by = Some(who).filter(|who| !who.is_empty() && common.by.first() != Some(who));
    common.corrects = Some(Correction { record: of.to_owned(), because });
    record
}

/// What is to be known before a correction is recorded.
const BOTH_STAY: &str = "Both records stay readable; the old one is counted no more.";

impl Inquiry for CorrectionInquiry<'_> {
    fn title(&self) -> String {
        let record = &self.old.record;
        let when = record.when().in_zone(self.setting(&self.told).zone()).short();
        format!("Correction of the {} of {}, {when}", record.kind(), record.common.machine)
    }

    fn preface(&self) -> Vec<String> {
        let common = &self.old.record.common;
        let written = common.recorded.in_zone(self.setting(&self.told).zone()).short();
        let who = self.contents.person_name(common.recorder());
        let mut lines = vec![format!("{}, written down {written} by {who}", self.old.path)];
        lines.extend(self.standing.iter().cloned());
        lines
    }

    fn fields(&self, given: &Given, now: Moment) -> Vec<Field> {
        let machines = self.contents.machines.iter().map(|(id, machine)| {
            Offer::new(id, if machine.name.is_empty() { id.clone() } else { format!("{} ({id})", machine.name) })
        });
        let machine =
            Field::new("machine", "machine", "Which machine is it about?", Takes::Offered(machines.collect()));
        let answers = of_old(given);
        let fields = self.of_its_kind(&answers).fields(&answers, self.then());
        let fields = fields.into_iter().filter(|field| field.flag != "recorded-by").map(|mut field| {
            if let Some((_, here)) = RENAMED.into_iter().find(|(of_old, _)| field.flag == *of_old) {
                field.flag = here.into();
            }
            field
        });
        let fields = std::iter::once(machine).chain(fields).map(|field| self.as_it_was(field, given, now));
        fields.chain(own_fields(self.setting(given), now)).collect()
    }

    fn notes(&self, given: &Given) -> Vec<String> {
        let turned = self.turned(given, self.then());
        turned.into_iter().chain(self.standing.iter().cloned()).chain([BOTH_STAY.to_owned()]).collect()
    }

    fn next(&self, given: &Given) -> Vec<String> {
        let differing = self.differences(given, self.then());
        differing.iter().map(|one| format!("Corrected: {one}")).chain(self.turned(given, self.then())).collect()
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        let answers = of_old(given);
        correcting(self.of_its_kind(&answers).record(&answers, recorded), &self.old.path, given)
    }

    fn answered(&self) -> Given {
        self.told.clone()
    }

    fn stands(&self, field: &Field, given: &Given) -> bool {
        let answers = given.all(&field.flag);
        let untouched = self.told.has(&field.flag) && answers == self.told.all(&field.flag);
        let free = !matches!(field.takes, Takes::Offered(_)) && self.same_ground(given);
        given.has(&field.flag) && (untouched && free || field.settle(answers).is_ok())
    }

    fn refusal(&self, given: &Given, now: Moment) -> Option<String> {
        self.differences(given, now).is_empty().then(|| asking::NOTHING_DIFFERS.to_owned())
    }

    fn ask(&self, console: &mut dyn Console, told: Given, keep: Keep<'_>) -> anyhow::Result<Option<Given>> {
        asking::fill(console, self, told, keep)
    }
}
