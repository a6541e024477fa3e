//! Declaring that a record does not count: which one, and why. Both stay readable.

use super::field::{Asked, Field, Offer, Takes};
use super::given::Given;
use super::inquiry::Inquiry;
use super::setting::Setting;
use crate::contents::{Contents, Filed, Standing};
use crate::record::{Body, Moment, Record, Void};

/// This many records of a machine are offered, the latest first.
const OFFERED: usize = 10;

/// What is asked for a void.
pub struct VoidInquiry<'a> {
    setting: Setting<'a>,
    offers: Vec<Offer>,
    /// The text of the record, when it was named beforehand.
    text: Vec<String>,
}

impl<'a> VoidInquiry<'a> {
    /// Returns what is asked when a record was named: its path, and its text to show.
    pub fn of(setting: Setting<'a>, path: &str, text: &str) -> VoidInquiry<'a> {
        let offers = vec![Offer::new(path, path)];
        VoidInquiry { setting, offers, text: text.lines().map(str::to_owned).collect() }
    }

    /// Returns what is asked when only a machine was named; nothing when no record of it counts.
    pub fn latest(setting: Setting<'a>) -> Option<VoidInquiry<'a>> {
        let of_machine = |filed: &&Filed| filed.record.common.machine == setting.machine;
        let counts = |filed: &&Filed| setting.contents.standing(&filed.path) == Standing::Counts;
        let records = setting.contents.records.iter().rev().map(|filed| &**filed);
        let offers: Vec<Offer> = records
            .filter(of_machine)
            .filter(counts)
            .take(OFFERED)
            .map(|filed| Offer::new(&filed.path, in_words(setting.contents, filed)))
            .collect();
        (!offers.is_empty()).then(|| VoidInquiry { setting, offers, text: Vec::new() })
    }
}

impl Inquiry for VoidInquiry<'_> {
    fn title(&self) -> String {
        format!("A record of {} that does not count", self.setting.machine)
    }

    fn preface(&self) -> Vec<String> {
        self.text.clone()
    }

    fn fields(&self, _: &Given, now: Moment) -> Vec<Field> {
        let only = if let [only] = self.offers.as_slice() { Some(only.value.clone()) } else { None };
        let asked = if only.is_some() { Asked::Known } else { Asked::Always };
        let mut fields = vec![
            Field::new("record", "record", "Which record does not count?", Takes::Offered(self.offers.clone()))
                .suggest(only)
                .asked(asked),
            Field::new("because", "because", "Why does it not count?", Takes::Text)
                .help("If it only has a mistake in it, write a new record that corrects it instead."),
            self.setting.by("Who declares it?", self.setting.contents.day(now), &[]),
        ];
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, _: &Given) -> Vec<String> {
        vec!["Both records stay readable; the first one is counted no more.".to_owned()]
    }

    fn next(&self, _: &Given) -> Vec<String> {
        vec![format!("What the records say of {} now: pinindex ready", self.setting.machine)]
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Void(Void { of: given.text("record"), because: given.text("because") }),
        }
    }
}

fn in_words(contents: &Contents, filed: &Filed) -> String {
    let common = &filed.record.common;
    let recorder = contents.people.get(common.recorder()).map_or(common.recorder(), |person| person.name.as_str());
    format!("{} of {}, by {recorder} ({})", filed.record.kind(), filed.record.when().short(), filed.path)
}
