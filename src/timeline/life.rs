//! One machine's records in the order of time.

use super::case::{Case, Released, Work};
use crate::contents::{Contents, Filed};
use crate::procedure::{CheckJudgement, When, judge};
use crate::record::{Body, Check, Moment, Service};
use std::collections::BTreeMap;

/// A check that was done, with its judgement.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDone {
    pub path: String,
    pub by: Vec<String>,
    pub check: Check,
    pub recorded: Moment,
    pub when: When,
    pub judgement: CheckJudgement,
    /// Written down later after the work than the site allows for.
    pub late: bool,
}

/// Everything that happened to one machine.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Life {
    pub machine: String,
    /// In the order in which they were finished. Checks of an unknown procedure or revision are not here.
    pub checks: Vec<CheckDone>,
    /// In the order in which they were found.
    pub cases: Vec<Case>,
    /// In the order in which they were finished: path, people, service.
    pub services: Vec<(String, Vec<String>, Service)>,
}

/// The lives of all machines, by machine id.
pub type Lives = BTreeMap<String, Life>;

/// Replays a logbook's records.
pub fn lives(contents: &Contents) -> Lives {
    let mut lives: Lives =
        contents.machines.keys().map(|id| (id.clone(), Life { machine: id.clone(), ..Life::default() })).collect();
    let late_after = contents.site.as_ref().and_then(|site| site.late_after.seconds());
    for filed in contents.counting() {
        let Some(life) = lives.get_mut(&filed.record.common.machine) else { continue };
        take(life, contents, filed, late_after);
    }
    for life in lives.values_mut() {
        life.checks.sort_by_key(|c| (c.check.finished, c.path.clone()));
        life.cases.sort_by_key(|c| (c.found, c.path.clone()));
        life.services.sort_by_key(|(path, _, s)| (s.finished, path.clone()));
    }
    for filed in contents.counting() {
        let Some(life) = lives.get_mut(&filed.record.common.machine) else { continue };
        follow_up(life, contents, filed);
    }
    for life in lives.values_mut() {
        let Life { checks, cases, .. } = life;
        for case in cases {
            case.works.sort_by_key(|w| (w.repair.started, w.path.clone()));
            let Some(released) = &case.released else { continue };
            case.first_check_after = checks
                .iter()
                .filter(|c| c.when != When::AfterService && c.path != released.proved_by)
                .find(|c| c.check.finished > released.released)
                .map(|c| (c.path.clone(), c.check.finished));
        }
    }
    lives
}

fn take(life: &mut Life, contents: &Contents, filed: &Filed, late_after: Option<i64>) {
    let common = &filed.record.common;
    match &filed.record.body {
        Body::Check(check) => {
            let (Some(procedure), Some(machine)) =
                (contents.procedure_of(check), contents.machine_of(&common.machine, check))
            else {
                return;
            };
            let late = late_after.is_some_and(|limit| common.recorded.seconds_since(check.finished) > limit);
            life.checks.push(CheckDone {
                path: filed.path.clone(),
                by: common.by.clone(),
                check: check.clone(),
                recorded: common.recorded,
                when: procedure.when,
                judgement: judge(check, procedure, machine),
                late,
            });
        }
        Body::Fault(fault) => life.cases.push(Case {
            path: filed.path.clone(),
            machine: common.machine.clone(),
            found: fault.found,
            by: common.by.clone(),
            found_during: fault.found_during.clone(),
            what: fault.what.clone(),
            usage: fault.usage.clone(),
            works: Vec::new(),
            released: None,
            first_check_after: None,
        }),
        Body::Service(service) => {
            life.services.push((filed.path.clone(), common.by.clone(), service.clone()));
        }
        Body::Repair(_) | Body::Release(_) | Body::Void(_) => {}
    }
}

/// Puts repairs and releases to the cases they name. A name of a corrected record means its correction.
fn follow_up(life: &mut Life, contents: &Contents, filed: &Filed) {
    let by = &filed.record.common.by;
    match &filed.record.body {
        Body::Repair(repair) => {
            if let Some(case) = case_of(life, contents, &repair.fault) {
                case.works.push(Work { path: filed.path.clone(), by: by.clone(), repair: repair.clone() });
            }
        }
        Body::Release(release) => {
            for fault in &release.faults {
                let Some(case) = case_of(life, contents, fault) else { continue };
                // The first release ends a case; a second one is a fault of its own and is told elsewhere.
                if case.released.as_ref().is_none_or(|earlier| release.released < earlier.released) {
                    case.released = Some(Released {
                        path: filed.path.clone(),
                        by: by.clone(),
                        released: release.released,
                        proved_by: release.proved_by.clone(),
                    });
                }
            }
        }
        Body::Check(_) | Body::Fault(_) | Body::Service(_) | Body::Void(_) => {}
    }
}

fn case_of<'a>(life: &'a mut Life, contents: &Contents, path: &str) -> Option<&'a mut Case> {
    let speaking = contents.speaking_for(path)?;
    life.cases.iter_mut().find(|case| case.path == speaking)
}

impl Life {
    /// Returns the case of a fault by the fault's path.
    pub fn case(&self, path: &str) -> Option<&Case> {
        self.cases.iter().find(|case| case.path == path)
    }

    /// Returns a check by its path.
    pub fn check(&self, path: &str) -> Option<&CheckDone> {
        self.checks.iter().find(|check| check.path == path)
    }

    /// Returns the next service's due day, as the latest service record up to a moment states it.
    pub fn service_due(&self, moment: Moment) -> Option<crate::record::Date> {
        self.services.iter().rev().find(|(_, _, s)| s.finished <= moment).map(|(_, _, s)| s.next_due)
    }
}
