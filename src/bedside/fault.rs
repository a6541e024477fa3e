//! Writing down a fault: how it was found, what is wrong, and whether the machine is withheld or restricted.
//!
//! A check that failed hands over what it found ([`ask`]); without one, the latest failed checks that nobody wrote a fault
//! for are offered first.

use super::console::Console;
use super::field::{Asked, Field, HowMany, Offer, Takes};
use super::follow_up::{self, whom_to_call};
use super::given::Given;
use super::inquiry::{Inquiry, fill};
use super::setting::Setting;
use crate::contents::Contents;
use crate::procedure::IfFailed;
use crate::record::{Body, Date, Fault, FoundDuring, Moment, Record, Use};
use crate::register::Role;
use crate::timeline::Life;

/// The ways in which faults are found other than by a check, as the schema has them.
pub const WAYS: [(&str, &str); 4] = [
    ("in-use", "while the machine was in use"),
    ("planned-maintenance", "during planned maintenance"),
    ("self-test", "by the machine's own self-test"),
    ("reported", "somebody reported it"),
];

/// This many failed checks are offered, the latest first.
const OFFERED: usize = 4;

/// What a check found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    pub machine: String,
    pub by: Vec<String>,
    pub found: Moment,
    /// The path of the check that showed it.
    pub check: Option<String>,
    /// The items that failed, as fault records name them.
    pub items: Vec<String>,
    /// What is wrong, in words to begin with.
    pub what: String,
    /// What the failed items ask for.
    pub fails: IfFailed,
}

/// Asks for the fault that a check found, and returns its record; nothing when the person stops.
///
/// # Errors
/// The console fails.
pub fn ask(console: &mut dyn Console, contents: &Contents, found: &Found) -> anyhow::Result<Option<Record>> {
    let setting = Setting { contents, machine: &found.machine };
    let told =
        [("by", found.by.clone()), ("found", vec![setting.written(found.found)]), ("items", found.items.clone())];
    let told = told.into_iter().chain([("found-during", found.check.iter().cloned().collect())]);
    let given = told.filter(|(_, answers)| !answers.is_empty());
    let given = given.fold(Given::default(), |given, (flag, answers)| given.with(flag, answers));
    let inquiry = FaultInquiry { setting, failed: vec![found.clone()], open: Vec::new() };
    let given = fill(console, &inquiry, given, &mut |_| Ok(()))?;
    Ok(given.map(|given| inquiry.record(&given, console.now())))
}

/// What is asked for a fault.
pub struct FaultInquiry<'a> {
    setting: Setting<'a>,
    /// The failed checks that it may come from, the latest first.
    failed: Vec<Found>,
    /// The faults that are open already, in words.
    open: Vec<String>,
}

impl<'a> FaultInquiry<'a> {
    /// Returns what is asked for a fault of a machine.
    pub fn new(setting: Setting<'a>, life: &Life, now: Moment) -> FaultInquiry<'a> {
        let told = |path: &str, item: &String| {
            let cases = life.cases.iter().filter(|case| case.found_during.check.as_deref() == Some(path));
            cases.flat_map(|case| &case.found_during.items).any(|named| named == item)
        };
        let failed = life.checks_until(now).iter().rev().filter_map(|done| {
            let failed = follow_up::of(&done.judgement)?;
            let untold = failed.items.iter().any(|item| !told(done.path(), item));
            untold.then(|| Found {
                machine: life.machine.clone(),
                by: done.by().to_vec(),
                found: done.check.finished,
                check: Some(done.path().to_owned()),
                items: failed.items,
                what: failed.what,
                fails: failed.fails,
            })
        });
        let open = life.cases.iter().filter(|case| case.open_at(now)).map(|case| {
            let how = match &case.usage {
                Use::Withheld => "withheld from use already".to_owned(),
                Use::Restricted { until, .. } => format!("restricted until {until} already"),
            };
            format!("{how}, for a fault found {}: {} ({})", case.found.short(), case.what, case.path)
        });
        FaultInquiry { setting, failed: failed.take(OFFERED).collect(), open: open.collect() }
    }

    fn check(&self, given: &Given) -> Option<&Found> {
        let named = given.one("found-during")?;
        // A check that was corrected in the meantime is known by its correction.
        let named = self.setting.contents.speaking_for(named).unwrap_or(named);
        self.failed.iter().find(|found| found.check.as_deref().is_none_or(|check| check == named))
    }

    fn found_during(&self) -> Field {
        let checks = self.failed.iter().filter_map(|found| {
            let words = format!("by the check of {}, which failed: {}", found.found.short(), found.what);
            Some(Offer::new(found.check.as_deref()?, words))
        });
        let ways = WAYS.map(|(way, words)| Offer::new(way, words));
        let latest = self.failed.first().and_then(|found| found.check.clone());
        Field::new("found-during", "how found", "How was it found?", Takes::Offered(checks.chain(ways).collect()))
            .suggest(latest)
    }

    fn use_of_it(&self, check: Option<&Found>) -> Field {
        let offers = vec![
            Offer::new("withheld", "withheld: not used until it is released"),
            Offer::new("restricted", "restricted: used only in some way, until a day, and one person answers for it"),
        ];
        let likely = check.map(|found| if found.fails == IfFailed::Withhold { "withheld" } else { "restricted" });
        let help = match likely {
            Some(word) => format!("By the procedure, what failed asks for: {word}."),
            None => "When in doubt: withheld.".to_owned(),
        };
        Field::new("use", "use", "May the machine be used?", Takes::Offered(offers)).help(help).suggest(likely)
    }
}

impl Inquiry for FaultInquiry<'_> {
    fn title(&self) -> String {
        format!("Fault of {}", self.setting.machine)
    }

    fn preface(&self) -> Vec<String> {
        self.open.clone()
    }

    fn fields(&self, given: &Given, now: Moment) -> Vec<Field> {
        let check = self.check(given);
        let today = Date(now.date_in(self.setting.zone()));
        let mut fields = vec![self.found_during()];
        if let Some(found) = check.filter(|found| found.check.is_some()) {
            let offers = found.items.iter().map(|item| Offer::new(item, item)).collect();
            let asked = if found.items.len() == 1 { Asked::Known } else { Asked::Usual };
            let items = Field::new("items", "items", "Which of the failed items is it about?", Takes::Offered(offers));
            fields.push(items.how_many(HowMany::AtLeastOne).suggest(found.items.clone()).asked(asked));
        }
        let when = self.setting.written(check.map_or(now, |found| found.found));
        let asked = if check.is_some() { Asked::Known } else { Asked::Usual };
        fields.push(
            Field::new("found", "found", "When was it found?", self.setting.moment(now, None))
                .help(super::clock_time::FORMS)
                .suggest([when])
                .asked(asked),
        );
        let roles = [Role::Provider, Role::Technician, Role::Biomed];
        let by = self.setting.by("Who found it?", today, &roles);
        fields.push(by.suggest(check.map_or(Vec::new(), |found| found.by.clone())));
        fields.push(
            Field::new("what", "what", "What is wrong, as seen?", Takes::Text)
                .help("Never a patient's name or number.")
                .suggest(check.map(|found| found.what.clone())),
        );
        fields.push(self.use_of_it(check));
        if given.one("use") == Some("restricted") {
            let bound = Some((today, "today".to_owned()));
            fields.push(Field::new("restriction", "only", "How may it still be used?", Takes::Text));
            fields.push(
                Field::new("until", "until", "Until and with which day?", Takes::Date(bound))
                    .help("As `2026-12-05`. After that day the machine is not ready until the fault is seen to."),
            );
            let people = self.setting.people(today, &[Role::Biomed]);
            fields.push(Field::new("owner", "answers for it", "Who sees to it?", Takes::Offered(people)));
        }
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, given: &Given) -> Vec<String> {
        let call = given.moment("found").map_or(Vec::new(), |found| whom_to_call(self.setting.contents, found));
        call.into_iter().map(|whom| format!("Call: {whom}")).collect()
    }

    fn next(&self, given: &Given) -> Vec<String> {
        let machine = self.setting.machine;
        let put_away = match given.one("use") {
            Some("withheld") => format!("Put a sign on {machine}, and fetch another machine."),
            _ => format!("Put a sign on {machine} that says how it may be used."),
        };
        let mut next = self.notes(given);
        next.extend([put_away, format!("After the work: pinindex repair {machine}")]);
        next
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        let named = given.text("found-during");
        let found_during = if WAYS.iter().any(|(way, _)| *way == named) {
            FoundDuring { check: None, items: Vec::new(), way: Some(named) }
        } else {
            FoundDuring { check: Some(named), items: given.all("items").to_vec(), way: None }
        };
        let usage = match (given.one("use"), given.date("until")) {
            (Some("restricted"), Some(until)) => {
                Use::Restricted { restriction: given.text("restriction"), until, owner: given.text("owner") }
            }
            _ => Use::Withheld,
        };
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Fault(Fault {
                found: given.moment("found").unwrap_or(recorded),
                found_during,
                what: given.text("what"),
                usage,
            }),
        }
    }
}

/// Returns the answers that made a fault.
pub fn told(fault: &Fault) -> Given {
    let how = &fault.found_during;
    let told = Given::default()
        .with("found-during", how.check.iter().chain(&how.way).cloned())
        .with("found", [fault.found.to_string()])
        .with("what", [fault.what.clone()]);
    let told = if how.check.is_some() { told.with("items", how.items.clone()) } else { told };
    match &fault.usage {
        Use::Withheld => told.with("use", ["withheld"]),
        Use::Restricted { restriction, until, owner } => told
            .with("use", ["restricted"])
            .with("restriction", [restriction.clone()])
            .with("until", [until.to_string()])
            .with("owner", [owner.clone()]),
    }
}
