//! Writing down a repair: which fault, when, what the cause was, what was done, and what it waited for.

use super::field::{Asked, Field, HowMany, Offer, Takes, waited};
use super::given::Given;
use super::inquiry::Inquiry;
use super::setting::Setting;
use super::work::{begun_and_finished, check_command, instruments, offered, out_of_calibration, used};
use crate::record::{Body, Moment, Record, Repair};
use crate::register::Role;
use crate::timeline::{Case, Life};

/// The causes, as the schema has them, in words.
pub const CAUSES: [(&str, &str); 13] = [
    ("no-fault-found", "no fault could be found"),
    ("use-error", "it was used otherwise than meant"),
    ("physical-damage", "knocked, dropped, torn or wet"),
    ("accessory-or-consumable", "a hose, bag, sensor or other accessory"),
    ("battery", "the battery"),
    ("wear-or-age", "wear or age"),
    ("calibration-drift", "it measured or delivered wrongly and was adjusted"),
    ("supply-or-utility", "gas, vacuum, mains or network of the room"),
    ("service-induced", "earlier work on it"),
    ("design-or-recall", "its design, or a recall by the maker"),
    ("software", "software"),
    ("contamination", "dirt, liquid or mould"),
    ("unknown", "not known"),
];

/// What a repair may wait for, as the schema has it, in words.
pub const WAITS: [(&str, &str); 5] = [
    ("parts", "parts"),
    ("maker", "the maker"),
    ("access", "access to the machine"),
    ("supply", "gas, vacuum or mains"),
    ("other", "something else"),
];

/// What is asked for a repair.
pub struct RepairInquiry<'a> {
    setting: Setting<'a>,
    open: Vec<&'a Case>,
}

impl<'a> RepairInquiry<'a> {
    /// Returns what is asked for a repair of a machine; nothing when it has no open fault.
    pub fn new(setting: Setting<'a>, life: &'a Life, now: Moment) -> Option<RepairInquiry<'a>> {
        let inquiry = RepairInquiry::at(setting, life, now);
        (!inquiry.open.is_empty()).then_some(inquiry)
    }

    /// Returns what was asked at a moment, whichever faults were open.
    pub fn at(setting: Setting<'a>, life: &'a Life, moment: Moment) -> RepairInquiry<'a> {
        RepairInquiry { setting, open: life.cases.iter().filter(|case| case.open_at(moment)).collect() }
    }

    fn chosen(&self, given: &Given) -> Option<&'a Case> {
        self.open.iter().copied().find(|case| Some(case.path.as_str()) == given.one("fault"))
    }
}

impl Inquiry for RepairInquiry<'_> {
    fn title(&self) -> String {
        format!("Repair of {}", self.setting.machine)
    }

    fn preface(&self) -> Vec<String> {
        match self.open.as_slice() {
            [only] => vec![format!("Of the fault {} ({})", offered(only).words, only.path)],
            _ => Vec::new(),
        }
    }

    fn fields(&self, given: &Given, now: Moment) -> Vec<Field> {
        let only = if let [only] = self.open.as_slice() { Some(only.path.clone()) } else { None };
        let asked = if only.is_some() { Asked::Known } else { Asked::Always };
        let open = self.open.iter().map(|case| offered(case)).collect();
        let fault = Field::new("fault", "fault", "Which fault was worked on?", Takes::Offered(open));
        let bound = self.chosen(given).map(|case| (case.found, "the fault was found".to_owned()));
        let [started, finished] = begun_and_finished(self.setting, given, now, bound);
        let day = self.setting.contents.day(now);
        let causes = CAUSES.map(|(cause, words)| Offer::new(cause, words)).to_vec();
        let waits = WAITS.map(|(wait, words)| Offer::new(wait, words)).to_vec();
        let mut fields = vec![
            fault.suggest(only).asked(asked),
            self.setting.by("Who did the work?", day, &[Role::Biomed]),
            started,
            finished,
            Field::new("cause", "cause", "What was the cause?", Takes::Offered(causes)),
            Field::new("work", "work", "What was done?", Takes::Text),
            Field::new("part", "parts", "Which parts were fitted?", Takes::Line)
                .how_many(HowMany::Any)
                .asked(Asked::Usual),
            Field::new("waited", "waited for", "What did the work wait for, and how long?", Takes::Waited(waits))
                .help("`parts`, `maker`, `access`, `supply` or `other`, and the time: `parts 48 h`, `maker 3 d`.")
                .how_many(HowMany::Any)
                .asked(Asked::Usual),
            instruments(),
        ];
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, given: &Given) -> Vec<String> {
        let zone = self.setting.zone();
        let early = self.chosen(given).map(|case| case.found).zip(given.moment("started"));
        let early = early.filter(|(found, started)| started < found).map(|(found, started)| {
            let [found, started] = [found, started].map(|moment| moment.in_zone(zone).short());
            format!("Begun {started}, before the fault was found ({found}): are both times right?")
        });
        early.into_iter().chain(out_of_calibration(self.setting, given)).collect()
    }

    fn next(&self, given: &Given) -> Vec<String> {
        let machine = self.setting.machine;
        let Some(finished) = given.moment("finished") else { return Vec::new() };
        let check = check_command(self.setting, finished);
        vec![
            format!(
                "{machine} is not released by this. It comes back after a complete check that passes, and a release:"
            ),
            format!("  {check}"),
            format!("  pinindex release {machine}"),
        ]
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Repair(Repair {
                fault: given.text("fault"),
                started: given.moment("started").unwrap_or(recorded),
                finished: given.moment("finished").unwrap_or(recorded),
                cause: given.text("cause"),
                work: given.text("work"),
                parts: given.all("part").to_vec(),
                waited: given.all("waited").iter().filter_map(|answer| waited(answer)).collect(),
                instruments: used(given),
            }),
        }
    }
}

/// Returns the answers that made a repair.
pub fn told(repair: &Repair) -> Given {
    Given::default()
        .with("fault", [repair.fault.clone()])
        .with("started", [repair.started.to_string()])
        .with("finished", [repair.finished.to_string()])
        .with("cause", [repair.cause.clone()])
        .with("work", [repair.work.clone()])
        .with("part", repair.parts.clone())
        .with("waited", repair.waited.iter().map(ToString::to_string))
        .with("instrument", repair.instruments.iter().map(ToString::to_string))
}
