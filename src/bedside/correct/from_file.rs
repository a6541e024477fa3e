//! A correction that is handed in as a whole: the record as it should have been.

use super::{BOTH_STAY, correcting, own_fields};
use crate::bedside::field::Field;
use crate::bedside::given::Given;
use crate::bedside::inquiry::Inquiry;
use crate::bedside::setting::Setting;
use crate::contents::difference::differences;
use crate::contents::{Contents, Filed};
use crate::record::{Moment, Record};

/// What is asked for a correction whose record comes from a file: why, and who corrects.
pub struct FromFile<'a> {
    pub contents: &'a Contents,
    /// The path of the record that is corrected.
    pub of: &'a str,
    /// The record that is corrected; nothing when it cannot be read.
    pub old: Option<&'a Filed>,
    pub new: Record,
    /// What is to be known of the old record before it is corrected.
    pub standing: Vec<String>,
}

impl FromFile<'_> {
    fn setting(&self) -> Setting<'_> {
        Setting { contents: self.contents, machine: &self.new.common.machine }
    }

    fn differing(&self) -> Vec<String> {
        match self.old {
            None => vec!["the whole record, which could not be read".to_owned()],
            Some(old) => differences(self.contents, &old.record, &self.new).iter().map(ToString::to_string).collect(),
        }
    }
}

impl Inquiry for FromFile<'_> {
    fn title(&self) -> String {
        format!("Correction of {}", self.of)
    }

    fn preface(&self) -> Vec<String> {
        self.differing().into_iter().chain(self.standing.iter().cloned()).collect()
    }

    fn fields(&self, _: &Given, now: Moment) -> Vec<Field> {
        own_fields(self.setting(), now).into()
    }

    fn notes(&self, _: &Given) -> Vec<String> {
        self.preface().into_iter().chain([BOTH_STAY.to_owned()]).collect()
    }

    fn next(&self, _: &Given) -> Vec<String> {
        self.differing().into_iter().map(|one| format!("Corrected: {one}")).collect()
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        let mut record = self.new.clone();
        record.common.recorded = recorded.in_zone(self.setting().zone());
        correcting(record, self.of, given)
    }

    fn answered(&self) -> Given {
        let because = self.new.common.corrects.as_ref().map(|correction| correction.because.clone());
        because.map_or(Given::default(), |because| Given::default().with("because", [because]))
    }

    fn refusal(&self, _: &Given, _: Moment) -> Option<String> {
        self.differing().is_empty().then(|| super::asking::NOTHING_DIFFERS.to_owned())
    }
}
