//! The table of attacks in DEVELOPERS.md.

use super::attack::Attack;
use super::said::{Answer, Said};
use std::fmt::Write;
use std::fs;
use std::path::PathBuf;

const BEGIN: &str = "<!-- Written by `GOLDEN=overwrite cargo test --test tampering`. -->\n";
const END: &str = "<!-- The end of what that test writes. -->\n";

/// Returns the table of all attacks.
pub fn of(done: &[(Attack, Said)]) -> String {
    let mut table = String::from(
        "\n| what somebody does | audit here | audit in a fresh copy | with a seal printed before | with signatures | \
         `validate` | git's own `fsck` and `status` |\n| --- | --- | --- | --- | --- | --- | --- |\n",
    );
    for (attack, said) in done {
        let git = if said.git == "fsck is content, status clean" { "no" } else { "yes" };
        writeln!(
            table,
            "| {} | {} | {} | {} | {} | {} | {git} |",
            attack.title,
            word(&said.audit),
            word(&said.clone),
            word(&said.seal),
            word(&said.signatures),
            word(&said.validate)
        )
        .unwrap();
    }
    let why: Vec<_> = done.iter().filter_map(|(attack, _)| Some((&attack.title, attack.reason.as_ref()?))).collect();
    table.push_str("\nNot found here, and why:\n\n");
    for (title, reason) in why {
        writeln!(table, "- *{title}.* {reason}").unwrap();
    }
    table.push_str("\nWhere the printed seal holds, and why:\n\n");
    table.push_str(&by_reason(done, |attack| attack.seal_holds.as_deref()));
    table.push_str("\nWhere the signatures hold, and why:\n\n");
    table.push_str(&by_reason(done, |attack| attack.signatures_hold.as_deref()));
    table.push('\n');
    table
}

/// Lists reasons, each with the attacks that have it.
fn by_reason<'a>(done: &'a [(Attack, Said)], reason: impl Fn(&'a Attack) -> Option<&'a str>) -> String {
    let mut reasons: Vec<(&str, Vec<String>)> = Vec::new();
    for (attack, _) in done {
        let Some(text) = reason(attack) else { continue };
        let title = format!("*{}*", attack.title);
        match reasons.iter_mut().find(|(other, _)| *other == text) {
            Some((_, titles)) => titles.push(title),
            None => reasons.push((text, vec![title])),
        }
    }
    reasons.iter().map(|(text, titles)| format!("- {text} {}.\n", titles.join("; "))).collect()
}

fn word(answer: &Answer) -> &'static str {
    if answer.refusal.is_some() {
        "refused"
    } else if answer.is_fault() {
        "**found**"
    } else if !answer.names.is_empty() {
        "asked about"
    } else if !answer.listed.is_empty() {
        "listed"
    } else {
        "no"
    }
}

/// Returns the table that stands in the document.
pub fn read() -> String {
    let text = fs::read_to_string(place()).unwrap();
    let (_, rest) = text.split_once(BEGIN).unwrap();
    rest.split_once(END).unwrap().0.to_owned()
}

pub fn write(table: &str) {
    let text = fs::read_to_string(place()).unwrap();
    let (before, rest) = text.split_once(BEGIN).unwrap();
    let (_, after) = rest.split_once(END).unwrap();
    fs::write(place(), format!("{before}{BEGIN}{table}{END}{after}")).unwrap();
}

fn place() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")
}
