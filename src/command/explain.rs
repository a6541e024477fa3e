//! `pinindex explain`: the page of a rule.

use super::Context;
use crate::audit::all_rules;
use crate::cli::Outcome;
use crate::logbook::Trouble;
use crate::record::shape::nearest;
use std::io::Write;

/// Explain a rule: what it finds, why it matters, and how to put it right
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex explain reading-without-unit\n\nWithout a name, all rules are listed.")]
pub struct Arguments {
    /// The rule's name, as it stands in brackets behind `problem` or `finding`
    rule: Option<String>,
}

/// Runs the command.
pub fn run(_context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut out = anstream::stdout().lock();
    let Some(name) = arguments.rule else {
        for rule in all_rules() {
            writeln!(out, "{:<8} {}", rule.severity.word(), rule.name)?;
        }
        return Ok(Outcome::Clean);
    };
    match all_rules().into_iter().find(|rule| rule.name == name) {
        Some(rule) => out.write_all(rule.page.as_bytes())?,
        None => {
            let names: Vec<String> = all_rules().iter().map(|rule| rule.name.to_owned()).collect();
            let help = match nearest(&name, &names) {
                Some(near) => format!("did you mean `pinindex explain {near}`?"),
                None => "run `pinindex explain` for the list of rules".to_owned(),
            };
            return Err(Trouble::new(format!("there is no rule `{name}`"), help).into());
        }
    }
    Ok(Outcome::Clean)
}
