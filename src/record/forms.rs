//! The right form to write instead of what does not fit, for the mistakes that people make most.
//!
//! Takes what was written and where, and gives the words and the lines to paste. Whether something fits is decided by the
//! schemas in [`super::shape`]; this file only knows how a person meant it.

use super::quantity::Quantity;
use super::tree::{Node, Value, cut_number, step};
use crate::diagnostic::{Diagnostic, Place};
use chrono_tz::{TZ_VARIANTS, Tz};
use std::ops::Range;

/// The block to write when a machine may be used with a restriction.
const RESTRICTED: &str =
    "use:\n  restricted: what may not be done with it\n  until: \"2026-12-15\"\n  owner: id-of-a-person";

/// Adds the right form of an answer to a fault about a word under `results`.
pub fn answer(fault: Diagnostic, field: &str, written: Option<&str>) -> Diagnostic {
    let help = "write `pass` or `fail`, what was read, such as `{reading: 1250 psi}`, or `{not-done: why}`";
    let fault = fault.help(help);
    let Some(written) = written.map(str::trim) else { return fault };
    if let Ok(quantity) = written.parse::<Quantity>() {
        return fault.paste(format!("{field}: {{reading: {quantity}}}"));
    }
    match written.to_lowercase().replace([' ', '_'], "-").as_str() {
        "not-done" | "notdone" | "undone" | "skipped" => {
            fault.paste(format!("{field}: {{not-done: why it was not done}}"))
        }
        _ => fault,
    }
}

/// Adds the two forms of `use` to a fault about it.
pub fn usage(fault: Diagnostic) -> Diagnostic {
    fault.help("write `use: withheld`, or what is restricted, until when, and who sees to it").paste(RESTRICTED)
}

/// Adds the form of `found-during` to a fault about it.
pub fn found_during(fault: Diagnostic) -> Diagnostic {
    fault
        .help("write how it was found: in-use, planned-maintenance, self-test or reported; or the check and its items")
        .paste("found-during: {way: in-use}")
}

/// Returns the fault of a time zone that has the form of one and is none.
pub fn time_zone(path: &str, root: &Node) -> Option<Diagnostic> {
    let written = root.get("time-zone")?.node.text()?;
    if written.parse::<Tz>().is_ok() {
        return None;
    }
    let fault = Diagnostic::fault(
        "wrong-shape",
        Place::value(path, "/time-zone"),
        format!("`time-zone` is the text `{written}`, which is no time zone"),
    )
    .label("no time zone of this name");
    // Names of cities are short and much alike, so that only a slip of the finger is near enough.
    let slip = if written.chars().count() < 16 { 1 } else { 2 };
    let distance = |zone: &Tz| strsim::osa_distance(&zone.name().to_lowercase(), &written.to_lowercase());
    let near = TZ_VARIANTS.iter().map(|zone| (distance(zone), zone.name())).filter(|(d, _)| *d <= slip).min();
    Some(match near {
        Some((_, near)) => fault.help(format!("did you mean `{near}`?")).paste(format!("time-zone: {near}")),
        None => fault.help("use a name of the IANA database such as Europe/Vienna").paste("time-zone: Europe/Vienna"),
    })
}

/// A number that a decimal comma cut in two inside `{ }` or `[ ]`.
#[derive(Debug)]
pub struct CutNumber {
    /// The field with the front of the number, as a JSON pointer.
    pub pointer: String,
    /// The whole number with its unit, with a point.
    pub whole: String,
    /// The number as it was written.
    pub bytes: Range<usize>,
}

/// Puts together every number that a decimal comma cut in two, and returns them.
///
/// In `{reading: 3,6 bar}` the comma ends the value: what is left is a `reading` of 3 and a key `6 bar`.
pub fn mend_cut_numbers(node: &mut Node, pointer: &str, found: &mut Vec<CutNumber>) {
    match &mut node.value {
        Value::Map(members) => {
            let mut i = 0;
            while i < members.len() {
                let pointer = step(pointer, &members[i].key);
                let cut =
                    members.get(i + 1).and_then(|next| cut_number(&members[i], &next.key, &next.key_span, &next.node));
                if let Some(whole) = cut {
                    let bytes = members[i].node.span.start..members[i + 1].key_span.end;
                    members.remove(i + 1);
                    members[i].node.value = Value::Text(whole.clone());
                    found.push(CutNumber { pointer, whole, bytes });
                } else {
                    mend_cut_numbers(&mut members[i].node, &pointer, found);
                }
                i += 1;
            }
        }
        Value::List(items) => {
            for (i, item) in items.iter_mut().enumerate() {
                mend_cut_numbers(item, &format!("{pointer}/{i}"), found);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::Text(_) => {}
    }
}
