//! One machine's records in the order of time.

use super::case::{Case, Released, Work};
use crate::contents::{Contents, Filed};
use crate::diagnostic::counted;
use crate::procedure::{CheckJudgement, Procedure, Sheet, Verdict, When, judge_by};
use crate::record::{Body, Check, Date, Moment, Service};
use crate::register::Machine;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A check that was done, with its judgement. The record itself is shared with the contents.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDone {
    pub filed: Arc<Filed>,
    pub check: Arc<Check>,
    /// The civil day on which it was finished, at the site.
    pub day: Date,
    pub when: When,
    pub judgement: CheckJudgement,
    /// When it was first written down; a correction comes later, and is not late for that.
    pub recorded: Moment,
    /// Written down later after the work than the site allows for.
    pub late: bool,
}

impl CheckDone {
    /// Returns the path it is filed under.
    pub fn path(&self) -> &str {
        &self.filed.path
    }

    /// Returns the people who did it.
    pub fn by(&self) -> &[String] {
        &self.filed.record.common.by
    }

    /// Returns why steps were left out and how many: `haemorrhage; 18 steps left`.
    pub fn left_out_words(&self) -> String {
        let left = self.judgement.items().filter(|item| item.verdict == Verdict::NotDone);
        let all: Vec<String> = left.map(|item| item.reason().unwrap_or_default()).collect();
        let mut reasons: Vec<&str> = Vec::new();
        for reason in &all {
            if !reasons.contains(&reason.as_str()) {
                reasons.push(reason);
            }
        }
        format!("{}; {} left", reasons.join(", "), counted(all.len(), "step"))
    }
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
    /// The places of the checks in `checks`, in the order of their paths.
    by_path: Vec<usize>,
}

/// The lives of all machines, by machine id.
pub type Lives = BTreeMap<String, Life>;

/// Replays a logbook's records.
pub fn lives(contents: &Contents) -> Lives {
    let mut records: BTreeMap<&str, Vec<&Arc<Filed>>> =
        contents.machines.keys().map(|id| (id.as_str(), Vec::new())).collect();
    for filed in contents.counting() {
        if let Some(of_machine) = records.get_mut(filed.record.common.machine.as_str()) {
            of_machine.push(filed);
        }
    }
    records.into_iter().map(|(id, records)| (id.to_owned(), life(contents, id, &records))).collect()
}

/// Replays the records of one machine.
fn life(contents: &Contents, id: &str, records: &[&Arc<Filed>]) -> Life {
    let mut life = Life { machine: id.to_owned(), ..Life::default() };
    let late_after = contents.site.as_ref().and_then(|site| site.late_after.seconds());
    let mut sheets = Sheets::default();
    for filed in records {
        take(&mut life, contents, filed, late_after, &mut sheets);
    }
    life.checks.sort_by(|a, b| (a.check.finished, a.path()).cmp(&(b.check.finished, b.path())));
    life.cases.sort_by(|a, b| (a.found, &a.path).cmp(&(b.found, &b.path)));
    life.services.sort_by(|(a, _, x), (b, _, y)| (x.finished, a).cmp(&(y.finished, b)));
    for filed in records {
        follow_up(&mut life, contents, filed);
    }
    let Life { checks, cases, .. } = &mut life;
    for case in cases {
        case.works.sort_by(|a, b| (a.repair.started, &a.path).cmp(&(b.repair.started, &b.path)));
        let Some(released) = &case.released else { continue };
        let after = checks.partition_point(|c| c.check.finished <= released.released);
        case.first_check_after = checks
            .iter()
            .skip(after)
            .find(|c| c.when != When::AfterService && c.path() != released.proved_by)
            .map(|c| (c.path().to_owned(), c.check.finished));
    }
    life.by_path = (0..life.checks.len()).collect();
    life.by_path.sort_by_key(|n| life.checks.get(*n).map(CheckDone::path));
    life
}

/// The sheets of one machine, each worked out when the first check needs it.
///
/// A machine has one for each revision it was checked by and each time at which something was fitted to it: a handful.
#[derive(Default)]
struct Sheets<'a>(Vec<(&'a Procedure, &'a Machine, Arc<Sheet>)>);

impl<'a> Sheets<'a> {
    fn of(&mut self, procedure: &'a Procedure, machine: &'a Machine) -> Arc<Sheet> {
        let known = self.0.iter().find(|(p, m, _)| std::ptr::eq(*p, procedure) && std::ptr::eq(*m, machine));
        if let Some((_, _, sheet)) = known {
            return sheet.clone();
        }
        let sheet = Arc::new(Sheet::of(procedure, machine));
        self.0.push((procedure, machine, sheet.clone()));
        sheet
    }
}

fn take<'a>(
    life: &mut Life,
    contents: &'a Contents,
    filed: &Arc<Filed>,
    late_after: Option<i64>,
    sheets: &mut Sheets<'a>,
) {
    let common = &filed.record.common;
    match &filed.record.body {
        Body::Check(check) => {
            let day = contents.day(check.finished);
            let (Some(procedure), Some(machine)) =
                (contents.procedure_of(check), contents.machine_on(&common.machine, day))
            else {
                return;
            };
            let recorded = contents.first_recorded(filed);
            let late = late_after.is_some_and(|limit| recorded.seconds_since(check.finished) > limit);
            life.checks.push(CheckDone {
                filed: filed.clone(),
                check: check.clone(),
                day,
                when: procedure.when,
                judgement: judge_by(check, &sheets.of(procedure, machine)),
                recorded,
                late,
            });
        }
        Body::Fault(fault) => life.cases.push(Case {
            path: filed.path.clone(),
            machine: common.machine.clone(),
            found: fault.found,
            by: common.by.clone(),
            found_during: fault.found_during.clone(),
            shown_by: fault.found_during.check.as_deref().and_then(|c| contents.speaking_for(c)).map(str::to_owned),
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
        let path_of = |n: &usize| self.checks.get(*n).map(CheckDone::path);
        let at = self.by_path.binary_search_by(|n| path_of(n).cmp(&Some(path))).ok()?;
        self.checks.get(*self.by_path.get(at)?)
    }

    /// Returns the checks that were finished at or before a moment.
    pub fn checks_until(&self, moment: Moment) -> &[CheckDone] {
        let until = self.checks.partition_point(|check| check.check.finished <= moment);
        self.checks.get(..until).unwrap_or_default()
    }

    /// Returns the next service's due day, as the latest service record up to a moment states it.
    pub fn service_due(&self, moment: Moment) -> Option<crate::record::Date> {
        self.services.iter().rev().find(|(_, _, s)| s.finished <= moment).map(|(_, _, s)| s.next_due)
    }
}
