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

/// Adds the right form of an answer to a problem about a word under `results`.
pub fn answer(problem: Diagnostic, field: &str, written: Option<&str>) -> Diagnostic {
    let help = "write `pass` or `fail`, what was read, such as `{reading: 1250 psi}`, or `{not-done: why}`";
    let problem = problem.help(help);
    let Some(written) = written.map(str::trim) else { return problem };
    if let Ok(quantity) = written.parse::<Quantity>() {
        return problem.paste(format!("{field}: {{reading: {quantity}}}"));
    }
    match written.to_lowercase().replace([' ', '_'], "-").as_str() {
        "not-done" | "notdone" | "undone" | "skipped" => {
            problem.paste(format!("{field}: {{not-done: why it was not done}}"))
        }
        _ => problem,
    }
}

/// Adds the two forms of `use` to a problem about it.
pub fn usage(problem: Diagnostic) -> Diagnostic {
    problem.help("write `use: withheld`, or what is restricted, until when, and who sees to it").paste(RESTRICTED)
}

/// Adds the form of `found-during` to a problem about it.
pub fn found_during(problem: Diagnostic) -> Diagnostic {
    problem
        .help("write how it was found: in-use, planned-maintenance, self-test or reported; or the check and its items")
        .paste("found-during: {way: in-use}")
}

/// Returns the problem of a time zone that has the form of one and is none.
pub fn time_zone(path: &str, root: &Node) -> Option<Diagnostic> {
    let written = root.get("time-zone")?.node.text()?;
    if written.parse::<Tz>().is_ok() {
        return None;
    }
    let problem = Diagnostic::problem(
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
        Some((_, near)) => problem.help(format!("did you mean `{near}`?")).paste(format!("time-zone: {near}")),
        None => problem.help("use a name of the IANA database such as Europe/Vienna").paste("time-zone: Europe/Vienna"),
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

#[cfg(test)]
mod tests {
    use crate::diagnostic::Diagnostic;
    use crate::record::shape::{Kind, judge};
    use crate::record::tree;

    fn said(kind: Kind, text: &str) -> Vec<Diagnostic> {
        let (root, mut problems) = tree::read("x.yaml", text.as_bytes());
        let root = root.unwrap();
        problems.extend(judge("x.yaml", kind, &root, &root.to_json()));
        problems
    }

    fn check(results: &str) -> Vec<Diagnostic> {
        said(
            Kind::Check,
            &format!(
                "record: check\nmachine: theatre-1\nprocedure: daily\nrevision: 1\n\
                 started: \"2026-11-25T06:40:00+01:00\"\nfinished: \"2026-11-25T06:52:00+01:00\"\n\
                 recorded: \"2026-11-25T06:52:30+01:00\"\nby: [m-okafor]\nresults:\n  {results}\n"
            ),
        )
    }

    fn only(problems: Vec<Diagnostic>) -> (&'static str, String, String) {
        assert_eq!(problems.len(), 1, "{problems:#?}");
        let problem = problems.into_iter().next().unwrap();
        (problem.rule, format!("{}; {}", problem.label, problem.help), problem.paste.unwrap_or_default())
    }

    #[test]
    fn a_decimal_comma_in_a_flow_map_is_one_problem() {
        let (rule, words, paste) = only(check("spare-oxygen-cylinder: {reading: 3,6 bar}"));
        assert_eq!((rule, paste.as_str()), ("not-a-quantity", "3.6 bar"));
        assert_eq!(words, "a decimal comma; write a decimal point");
        let twice = check("circuit-leak: {from: 30,0 cmH2O, to: 29,0 cmH2O, in: 10 s}");
        let pastes: Vec<&str> = twice.iter().filter_map(|problem| problem.paste.as_deref()).collect();
        assert_eq!(pastes, ["30.0 cmH2O", "29.0 cmH2O"], "{twice:#?}");
        assert_eq!(only(check("spare-oxygen-cylinder: {reading: 3, 6 bar}")).2, "3.6 bar");
        assert!(check("circuit-leak: {from: 30 cmH2O, to: 29 cmH2O, in: 10 s}").is_empty());
    }

    #[test]
    fn a_word_that_is_no_answer_is_shown_the_right_form() {
        let (rule, words, paste) = only(check("suction: 1250psi"));
        assert_eq!((rule, paste.as_str()), ("wrong-shape", "suction: {reading: 1250 psi}"));
        assert!(words.contains("`{not-done: why}`"), "{words}");
        assert_eq!(only(check("suction: not done")).2, "suction: {not-done: why it was not done}");
        assert_eq!(only(check("suction: \"yes, it is\"")).2, "");
        assert!(only(check("suction: passd")).1.contains("did you mean `pass`?"));
        assert!(only(check("self-test: passed")).1.ends_with("`{choice: passed}`"));
    }

    #[test]
    fn a_fault_is_shown_how_to_restrict_and_how_it_was_found() {
        let fault = |found: &str, usage: &str| {
            said(
                Kind::Fault,
                &format!(
                    "record: fault\nmachine: theatre-1\nfound: \"2026-11-25T06:40:00+01:00\"\n\
                     recorded: \"2026-11-25T06:52:30+01:00\"\nby: [m-okafor]\nwhat: Suction is lost.\n\
                     found-during: {found}\nuse: {usage}\n"
                ),
            )
        };
        assert!(only(fault("{way: in-use}", "adults only")).2.starts_with("use:\n  restricted: "));
        assert!(only(fault("{way: in-use}", "true")).2.starts_with("use:\n  restricted: "));
        assert_eq!(only(fault("daily check", "withheld")).2, "found-during: {way: in-use}");
    }

    #[test]
    fn a_time_zone_that_is_none_is_told_at_its_line() {
        let site = |zone: &str| said(Kind::Site, &format!("name: Hospital\ntime-zone: {zone}\nlate-after: 12 h\n"));
        assert!(site("Europe/Vienna").is_empty());
        assert!(only(site("Europe/Wien")).1.ends_with("use a name of the IANA database such as Europe/Vienna"));
        assert_eq!(only(site("Europe/Vienn")).2, "time-zone: Europe/Vienna");
        assert_eq!(only(site("europe/vienna")).2, "time-zone: Europe/Vienna");
    }

    #[test]
    fn a_quantity_of_another_kind_is_called_that() {
        let (rule, words, _) = only(check("low-pressure-leak: {held: -12 s}"));
        assert_eq!(rule, "not-a-quantity");
        assert!(words.starts_with("must not be negative"), "{words}");
        let (_, words, _) = only(check("low-pressure-leak: {held: 12 psi}"));
        assert!(words.starts_with("`12 psi` is a gauge pressure; a time belongs here"), "{words}");
        let machine = "name: T\nasset: A\nserial: S\nlocation: L\nin-use: {from: 2026-01-01}\ngases: [oxygen]\n\
                       vaporizers: []\nscavenging: none\n\
                       cylinders:\n  oxygen: {capacity: 660 psi, full: 1900 L, source: label}\n";
        let words: Vec<String> = said(Kind::Machine, machine).into_iter().map(|problem| problem.label).collect();
        assert_eq!(words.len(), 2, "{words:?}");
        assert!(words.contains(&"`1900 L` is a volume; a gauge pressure belongs here".to_owned()), "{words:?}");
    }

    #[test]
    fn a_text_cut_by_a_hash_is_shown_in_quotes() {
        let problems = |text: &str| tree::read("x.yaml", text.as_bytes()).1;
        let paste = |text: &str| only(problems(text)).2;
        assert_eq!(paste("remarks: bag #2 leaked\n"), "remarks: \"bag #2 leaked\"");
        assert_eq!(paste("remarks: #2 bag leaked\n"), "remarks: \"#2 bag leaked\"");
        assert_eq!(paste("remarks: the \"big\" bag #2\n"), "remarks: \"the \\\"big\\\" bag #2\"");
        let cut = "results:\n  suction: {not-done: pump #2 broken}\n  battery: pass\n";
        assert_eq!(paste(cut), "not-done: \"pump #2 broken\"");
        for good in ["remarks: bag#2\n", "remarks: \"bag\" # two\n", "remarks: bag\n# two\n", "revision: 1 # new\n"] {
            assert_eq!(problems(good), [], "{good}");
        }
    }

    #[test]
    fn a_text_with_a_colon_is_shown_in_quotes() {
        let (_, problems) = tree::read("x.yaml", b"record: check\nremarks: suction: a bit weak\n");
        assert_eq!(
            problems.last().unwrap().paste.as_deref(),
            Some("remarks: \"suction: a bit weak\""),
            "{problems:#?}"
        );
        // A tab moves the cursor, so that it is written as YAML writes it.
        let (_, problems) = tree::read("x.yaml", b"remarks: suction: a\tbit weak\n");
        assert_eq!(problems.last().unwrap().paste.as_deref(), Some("remarks: \"suction: a\\tbit weak\""));
    }

    #[test]
    fn what_is_missing_is_shown_as_it_could_be_written() {
        let missing = said(Kind::Fault, "record: fault\nmachine: theatre-1\n");
        let pastes: Vec<&str> = missing.iter().filter_map(|problem| problem.paste.as_deref()).collect();
        for line in ["use: withheld", "found-during: {way: in-use}", "by: [id-of-a-person]"] {
            assert!(pastes.contains(&line), "{pastes:?}");
        }
        let missing = said(Kind::Check, "record: check\nmachine: theatre-1\n");
        let pastes: Vec<&str> = missing.iter().filter_map(|problem| problem.paste.as_deref()).collect();
        assert!(pastes.contains(&"results: {suction: pass}") && pastes.contains(&"procedure: daily"), "{pastes:?}");
    }
}
