//! The records of a machine that count, the latest first, to choose one from.

use super::console::{Console, Entered};
use super::field::{Field, Offer, Takes};
use super::setting::Setting;
use crate::contents::{Contents, Filed, Standing};

/// Returns the records of a machine that count, the latest first.
pub fn latest(setting: Setting<'_>) -> Vec<Offer> {
    let of_machine = |filed: &&Filed| filed.record.common.machine == setting.machine;
    let counts = |filed: &&Filed| setting.contents.standing(&filed.path) == Standing::Counts;
    let records = setting.contents.records.iter().rev().map(|filed| &**filed);
    let latest = records.filter(of_machine).filter(counts);
    latest.map(|filed| Offer::new(&filed.path, in_words(setting.contents, filed))).collect()
}

/// Asks which of the latest records of a machine is meant, and returns its path; nothing when the person stops.
///
/// # Errors
/// The console fails.
pub fn choose(console: &mut dyn Console, setting: Setting<'_>, question: &str) -> anyhow::Result<Option<String>> {
    let field = Field::new("record", "record", question, Takes::Offered(latest(setting)));
    let mut shown = 0;
    loop {
        console.say(question)?;
        for line in field.listed(shown) {
            console.say(&line)?;
        }
        let more = field.more_after(shown);
        console.say(&format!("  (a number{}, q: stop)", if more.is_some() { ", m: older ones" } else { "" }))?;
        let check = |line: &str| match line {
            "q" => Ok(()),
            "m" if more.is_some() => Ok(()),
            line => field.read(line).map(|_| ()),
        };
        match (console.line("record:", "", &check)?, more) {
            (Entered::Text(line), Some(next)) if line == "m" => shown = next,
            (Entered::Text(line), _) => return Ok(field.read(&line).ok().and_then(|all| all.into_iter().next())),
            (Entered::Escape | Entered::Stop, _) => return Ok(None),
        }
    }
}

/// Returns a record as a person knows it: its kind and moment, who wrote it down, its path.
fn in_words(contents: &Contents, filed: &Filed) -> String {
    let recorder = contents.person_name(filed.record.common.recorder());
    format!("{} of {}, by {recorder} ({})", filed.record.kind(), filed.record.when().short(), filed.path)
}
