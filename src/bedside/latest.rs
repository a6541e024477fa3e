//! The latest records of a machine that count, to choose one from.

use super::field::Offer;
use super::setting::Setting;
use crate::contents::{Contents, Filed, Standing};

/// This many records of a machine are offered, the latest first.
const OFFERED: usize = 10;

/// Returns the latest records of a machine that count, the latest first.
pub fn latest(setting: Setting<'_>) -> Vec<Offer> {
    let of_machine = |filed: &&Filed| filed.record.common.machine == setting.machine;
    let counts = |filed: &&Filed| setting.contents.standing(&filed.path) == Standing::Counts;
    let records = setting.contents.records.iter().rev().map(|filed| &**filed);
    let latest = records.filter(of_machine).filter(counts).take(OFFERED);
    latest.map(|filed| Offer::new(&filed.path, in_words(setting.contents, filed))).collect()
}

/// Returns a record as a person knows it: its kind and moment, who wrote it down, its path.
fn in_words(contents: &Contents, filed: &Filed) -> String {
    let recorder = contents.person_name(filed.record.common.recorder());
    format!("{} of {}, by {recorder} ({})", filed.record.kind(), filed.record.when().short(), filed.path)
}
