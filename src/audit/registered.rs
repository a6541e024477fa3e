//! What commits did to what a hospital writes down once and records rest on: names of people and machines, and what the
//! site counts by. Such a change may be honest, and it changes how the whole past is told.

use super::account::RecordAccount;
use super::known::List;
use super::people::People;
use super::versions::{Versions, changed_from, read_alone};
use super::words::{made, place, same_words};
use super::{Evidence, Found};
use crate::diagnostic::Diagnostic;
use crate::logbook::{PEOPLE_FILE, SITE_FILE, Step};
use crate::register::{Machine, Site};
use std::collections::{BTreeMap, HashSet};

/// Returns a finding for each name, number or rule of counting that was changed after records rested on it.
pub(super) fn findings(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let mut all = people(evidence);
    all.extend(machines(evidence));
    all.extend(site(evidence, records));
    all
}

fn people(evidence: &Evidence<'_>) -> Vec<Found> {
    let people = People::of(evidence);
    let nobody = List::new();
    let common = || evidence.contents.records.iter().map(|filed| &filed.record.common);
    let named: HashSet<&str> =
        common().flat_map(|common| common.by.iter().map(String::as_str).chain([common.recorder()])).collect();
    let mut told = Vec::new();
    for (at, before, now) in people.changes() {
        let (Some(step), Some(now)) = (evidence.trail.steps.get(at), now) else { continue };
        let known = people.known_before(step);
        for (id, person) in now.iter().filter(|(id, _)| named.contains(id.as_str())) {
            // Whoever was out of the list for a while comes back as who they were.
            let was = before.unwrap_or(&nobody).get(id).or_else(|| known.person(id));
            let Some(was) = was.filter(|was| !same_words(&was.name, &person.name)) else { continue };
            let headline = format!("`{id}` was {} and is called {} now", was.name, person.name);
            told.push((
                Some(at),
                Diagnostic::finding("person-renamed", place(step), headline)
                    .label(format!("changed {}", made(step)))
                    .help(format!(
                        "ask {} why: a name may change, and every record of the past is told with it",
                        step.commit.committer_name
                    ))
                    .paste(format!("git show {} -- {PEOPLE_FILE}", step.commit.short())),
            ));
        }
    }
    told
}

fn machines(evidence: &Evidence<'_>) -> Vec<Found> {
    let mut told = Vec::new();
    let mut last: BTreeMap<&str, Machine> = BTreeMap::new();
    let checked: HashSet<&str> =
        evidence.contents.records.iter().map(|filed| filed.record.common.machine.as_str()).collect();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        for change in &step.changes {
            let id = change.path.strip_prefix("machines/").and_then(|name| name.strip_suffix(".yaml"));
            let Some(id) = id.filter(|id| checked.contains(id)) else { continue };
            let read = |content| {
                read_alone(evidence.trail, &change.path, content).and_then(|mut contents| contents.machines.remove(id))
            };
            let Some(now) = change.now.and_then(read) else { continue };
            let sides = changed_from(&evidence.trail.steps, at, change);
            let of_side = |parent: &usize| {
                let place = step.parents.iter().position(|other| other == parent)?;
                change.before.get(place).copied().flatten().and_then(read)
            };
            let mut before: Vec<Machine> = sides.iter().filter_map(of_side).collect();
            // What was gone or could not be read is compared with what was there last.
            if before.is_empty() && !sides.is_empty() {
                before.extend(last.get(id).cloned());
            }
            let mut differences: Vec<String> = before.iter().flat_map(|was| renamed(was, &now)).collect();
            differences.dedup();
            told.extend(differences.into_iter().map(|what| {
                let finding = Diagnostic::finding("machine-renamed", place(step), format!("{what} of `{id}`"))
                    .label(format!("changed {}", made(step)))
                    .help(format!(
                        "ask {} whether it is the machine it was; another one gets an id of its own",
                        step.commit.committer_name
                    ))
                    .paste(format!("git show {} -- {}", step.commit.short(), change.path));
                (Some(at), finding)
            }));
            last.insert(id, now);
        }
    }
    told
}

/// Returns what tells one machine from another and differs, in words that end before `of`.
fn renamed(was: &Machine, now: &Machine) -> Vec<String> {
    let marks = [
        ("name", &was.name, &now.name),
        ("asset number", &was.asset, &now.asset),
        ("serial number", &was.serial, &now.serial),
    ];
    let differing = marks.into_iter().filter(|(_, was, now)| !same_words(was, now));
    differing.map(|(what, was, now)| format!("`{now}` took the place of `{was}` as the {what}")).collect()
}

fn site(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    let versions: Versions<Site> = Versions::of(evidence.trail, SITE_FILE, |contents| contents.site);
    // Until the first record a logbook is being set up.
    let first_record = records.first().map_or(usize::MAX, |record| record.step);
    let mut told = Vec::new();
    for (at, before, now) in versions.changes().filter(|(at, ..)| first_record < *at) {
        let (Some(step), Some(before), Some(now)) = (evidence.trail.steps.get(at), before, now) else { continue };
        for (what, was, is) in counted_by(before, now) {
            let headline = format!("`{what}` was {was} and is {is}, also for the days before");
            told.push((Some(at), of_site(step, headline)));
        }
    }
    told
}

fn of_site(step: &Step, headline: String) -> Diagnostic {
    Diagnostic::finding("site-changed", place(step), headline)
        .label(format!("changed {}", made(step)))
        .help(format!(
            "ask {} why; what is late, done and in time is counted by it in every report, also anew",
            step.commit.committer_name
        ))
        .paste(format!("git show {} -- {SITE_FILE}", step.commit.short()))
}

/// Returns what the site counts by and differs: the key, what it was, what it is.
fn counted_by(was: &Site, now: &Site) -> Vec<(&'static str, String, String)> {
    let target = |site: &Site| site.return_to_service_target.as_ref().map_or("nothing".to_owned(), ToString::to_string);
    let all = [
        ("late-after", was.late_after.to_string(), now.late_after.to_string()),
        ("return-to-service-target", target(was), target(now)),
        ("time-zone", was.time_zone.name().to_owned(), now.time_zone.name().to_owned()),
    ];
    all.into_iter().filter(|(_, was, now)| was != now).collect()
}
