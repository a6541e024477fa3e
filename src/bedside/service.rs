//! Writing down planned maintenance: when, what was done, and when the next one is due.

use super::field::{Asked, Field, HowMany, Takes};
use super::given::Given;
use super::inquiry::Inquiry;
use super::setting::Setting;
use super::work::{begun_and_finished, check_command, instruments, out_of_calibration, proof, proofs, used};
use crate::record::{Body, Moment, Record, Service};
use crate::register::Role;
use crate::timeline::Life;

/// What is asked for a service.
pub struct ServiceInquiry<'a> {
    pub setting: Setting<'a>,
    pub life: &'a Life,
}

impl Inquiry for ServiceInquiry<'_> {
    fn title(&self) -> String {
        format!("Service of {}", self.setting.machine)
    }

    fn preface(&self) -> Vec<String> {
        let last = self.life.services.last();
        last.map(|(_, _, service)| format!("The last one was due again by {}.", service.next_due)).into_iter().collect()
    }

    fn fields(&self, given: &Given, now: Moment) -> Vec<Field> {
        let [started, finished] = begun_and_finished(self.setting, given, now, None);
        let contents = self.setting.contents;
        let ended = given.moment("finished");
        let that_day = |moment: Moment| ended.is_some_and(|ended| contents.day(ended) == contents.day(moment));
        let checks: Vec<_> = ended.map_or(Vec::new(), |ended| {
            proofs(self.setting, self.life, ended, now)
                .filter(|done| that_day(done.check.finished))
                .map(proof)
                .collect()
        });
        let latest = checks.first().map(|offer| offer.value.clone());
        let bound = ended.map(|ended| (contents.day(ended), "the service was finished".to_owned()));
        let asked = if checks.is_empty() { Asked::Known } else { Asked::Usual };
        let mut fields = vec![
            self.setting.by("Who did the work?", contents.day(now), &[Role::Biomed]),
            started,
            finished,
            Field::new("work", "work", "What was done?", Takes::Text),
            Field::new("next-due", "next due", "By which day is the next one due?", Takes::Date(bound))
                .help("As the maker's instructions and local policy have it; written as `2027-11-25`."),
            instruments(),
            Field::new("proved-by", "proved by", "Which check of that day proves it?", Takes::Offered(checks))
                .how_many(HowMany::AtMostOne)
                .suggest(latest)
                .asked(asked),
        ];
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, given: &Given) -> Vec<String> {
        let mut notes = out_of_calibration(self.setting, given);
        if given.one("proved-by").is_none() {
            notes.push("No complete check of that day, passed after the work, is on record.".to_owned());
        }
        notes
    }

    fn next(&self, given: &Given) -> Vec<String> {
        match (given.one("proved-by"), given.moment("finished")) {
            (None, Some(finished)) => vec![format!("A complete check: {}", check_command(self.setting, finished))],
            _ => Vec::new(),
        }
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        let today = self.setting.contents.day(recorded);
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Service(Service {
                started: given.moment("started").unwrap_or(recorded),
                finished: given.moment("finished").unwrap_or(recorded),
                work: given.text("work"),
                next_due: given.date("next-due").unwrap_or(today),
                instruments: used(given),
                proved_by: given.one("proved-by").map(str::to_owned),
            }),
        }
    }
}

/// Returns the answers that made a service.
pub fn told(service: &Service) -> Given {
    Given::default()
        .with("started", [service.started.to_string()])
        .with("finished", [service.finished.to_string()])
        .with("work", [service.work.clone()])
        .with("next-due", [service.next_due.to_string()])
        .with("instrument", service.instruments.iter().map(ToString::to_string))
        .with("proved-by", service.proved_by.clone())
}
