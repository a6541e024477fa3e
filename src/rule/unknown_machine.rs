//! A record or a calendar names a machine that the logbook has no file of.

use super::words::{machine_file, name};
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::shape::nearest;
use crate::record::tree::step;

pub const RULE: Rule = Rule {
    name: "unknown-machine",
    severity: Severity::Problem,
    page: include_str!("unknown_machine.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let known: Vec<String> = facts.contents.machines.keys().cloned().collect();
    // A machine's file that cannot be read has problems of its own; they are told once, there.
    let there =
        |id: &String| facts.contents.machines.contains_key(id) || facts.contents.unreadable.contains(&machine_file(id));
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let machine = &filed.record.common.machine;
        if !there(machine) {
            let headline = format!("{} names no machine of this logbook", name(filed));
            let problem = problem(Place::value(&filed.path, "/machine"), headline, machine, &known);
            problems.push(match nearest(machine, &known) {
                Some(near) => problem.paste(format!("machine: {near}")),
                None => problem,
            });
        }
    }
    for (year, calendar) in &facts.contents.calendars {
        let path = format!("calendar/{year}.yaml");
        let weekly = calendar.weekly.keys().map(|id| (id, Place::key(&path, step("/weekly", id))));
        let except = calendar.except.iter().enumerate().flat_map(|(i, e)| listed("except", i, &e.machines, &path));
        let also = calendar.also.iter().enumerate().flat_map(|(i, a)| listed("also", i, &a.machines, &path));
        for (id, place) in weekly.chain(except).chain(also) {
            if !there(id) {
                let headline = format!("calendar of {year} names `{id}`, which is no machine of this logbook");
                problems.push(problem(place, headline, id, &known));
            }
        }
    }
    problems
}

fn listed<'a>(
    field: &'static str,
    i: usize,
    machines: &'a [String],
    path: &'a str,
) -> impl Iterator<Item = (&'a String, Place)> {
    let place = move |n: usize| Place::value(path, format!("/{field}/{i}/machines/{n}"));
    machines.iter().enumerate().map(move |(n, id)| (id, place(n)))
}

fn problem(place: Place, headline: String, id: &str, known: &[String]) -> Diagnostic {
    let file = machine_file(id);
    let problem =
        Diagnostic::problem("unknown-machine", place, headline).label(format!("no `{file}` that could be read"));
    match nearest(id, known) {
        Some(near) => problem.help(format!("did you mean `{near}`?")),
        None => problem.help(format!("write the machine's id, or write `{file}` if the machine is new")),
    }
}
