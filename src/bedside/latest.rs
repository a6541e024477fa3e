//! The latest records of a machine that count, to choose one from.

use super::console::{Console, Entered};
use super::field::{Field, Offer, Takes};
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

/// Asks which of the latest records of a machine is meant, and returns its path; nothing when the person stops.
///
/// # Errors
/// The console fails.
pub fn choose(console: &mut dyn Console, setting: Setting<'_>, question: &str) -> anyhow::Result<Option<String>> {
    let field = Field::new("record", "record", question, Takes::Offered(latest(setting)));
    console.say(question)?;
    for (offer, n) in field.offers().iter().zip(1..) {
        console.say(&format!("  {n:>2}  {}", offer.words))?;
    }
    console.say("  (a number, q: stop)")?;
    let check = |line: &str| if line == "q" { Ok(()) } else { field.read(line).map(|_| ()) };
    Ok(match console.line("record:", "", &check)? {
        Entered::Text(line) => field.read(&line).ok().and_then(|chosen| chosen.into_iter().next()),
        Entered::Escape | Entered::Stop => None,
    })
}

/// Returns a record as a person knows it: its kind and moment, who wrote it down, its path.
fn in_words(contents: &Contents, filed: &Filed) -> String {
    let recorder = contents.person_name(filed.record.common.recorder());
    format!("{} of {}, by {recorder} ({})", filed.record.kind(), filed.record.when().short(), filed.path)
}
