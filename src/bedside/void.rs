//! Declaring that a record does not count: which one, and why. Both stay readable.

use super::field::{Asked, Field, Offer, Takes};
use super::given::Given;
use super::inquiry::Inquiry;
use super::latest::latest;
use super::setting::Setting;
use crate::contents::Standing;
use crate::record::{Body, Moment, Record, Void};

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

    /// Returns what is asked when any record of the machine may be meant.
    pub fn any(setting: Setting<'a>) -> VoidInquiry<'a> {
        VoidInquiry { setting, offers: latest(setting), text: Vec::new() }
    }

    /// Returns what is asked when only a machine was named; nothing when no record of it counts.
    pub fn latest(setting: Setting<'a>) -> Option<VoidInquiry<'a>> {
        let inquiry = VoidInquiry::any(setting);
        (!inquiry.offers.is_empty()).then_some(inquiry)
    }
}

impl VoidInquiry<'_> {
    /// Returns what counts again without the record that is declared void.
    fn counts_again(&self, given: &Given) -> Vec<String> {
        let contents = self.setting.contents;
        let Some(filed) = given.one("record").and_then(|path| contents.record(path)) else { return Vec::new() };
        let mut lines = Vec::new();
        if let Body::Void(void) = &filed.record.body
            && contents.standing(&void.of) == Standing::VoidedBy(filed.path.clone())
        {
            lines.push(format!("What that void took out counts again: {}", void.of));
        }
        if let Some(old) = filed.record.common.corrects.as_ref().map(|correction| &correction.record)
            && contents.standing(old) == Standing::CorrectedBy(filed.path.clone())
        {
            lines.push(format!("What it corrected counts again, as it was written: {old}"));
            lines.push(format!("If that should not count either: pinindex void {old}"));
        }
        lines
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
                .help("If it only has a mistake in it, `pinindex correct` puts that right and the rest stays."),
            self.setting.by("Who declares it?", self.setting.contents.day(now), &[]),
        ];
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, given: &Given) -> Vec<String> {
        let stay = "Both records stay readable; the first one is counted no more.".to_owned();
        [stay].into_iter().chain(self.counts_again(given)).collect()
    }

    fn next(&self, given: &Given) -> Vec<String> {
        let ready = format!("What the records say of {} now: pinindex ready", self.setting.machine);
        self.counts_again(given).into_iter().chain([ready]).collect()
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Void(Void { of: given.text("record"), because: given.text("because") }),
        }
    }
}

/// Returns the answers that made a void.
pub fn told(void: &Void) -> Given {
    Given::default().with("record", [void.of.clone()]).with("because", [void.because.clone()])
}
