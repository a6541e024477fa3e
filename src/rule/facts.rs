//! What rules judge: the contents of a logbook, the lives of its machines, and the moment of judging.

use super::words::machine_file;
use crate::contents::{Contents, Filed, Standing};
use crate::procedure::{CheckJudgement, Procedure, judge};
use crate::record::{Body, Check, Date, Fault, Moment, Repair};
use crate::register::Machine;
use crate::timeline::{CheckDone, Life, Lives};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Everything a rule may look at.
pub struct Facts<'a> {
    pub contents: &'a Contents,
    pub lives: &'a Lives,
    pub now: Moment,
    /// By path, when records came into the history, where that may be later than `now`: the clock of the computer that made
    /// the last commit may have been slow.
    pub came: Option<&'a BTreeMap<String, Moment>>,
}

/// A check whose procedure and machine the logbook has, with its judgement.
pub(super) struct Judged<'a> {
    pub filed: &'a Filed,
    pub check: &'a Arc<Check>,
    pub procedure: &'a Procedure,
    pub machine: &'a Machine,
    pub judgement: Cow<'a, CheckJudgement>,
}

impl<'a> Facts<'a> {
    /// Returns the civil day of a moment at the site; without a site, in the moment's own offset.
    pub(super) fn day(&self, moment: Moment) -> Date {
        self.contents.day(moment)
    }

    /// Returns where to say that a machine was fitted otherwise on an earlier day; nothing for a check of today.
    pub(super) fn fitted_otherwise(&self, machine: &str, check: &Check, had: &str) -> Option<String> {
        (self.day(check.finished) < self.day(self.now))
            .then(|| format!("if the machine {had} on that day, say so under `before` in `{}`", machine_file(machine)))
    }

    /// Returns the fault that a repair names, and its record, as it is known today: its time may have been corrected.
    pub(super) fn fault_of(&self, repair: &Repair) -> Option<(&'a Filed, &'a Fault)> {
        let named = self.contents.speaking_for(&repair.fault).and_then(|path| self.contents.record(path))?;
        match &named.record.body {
            Body::Fault(fault) => Some((named, fault)),
            _ => None,
        }
    }

    /// Returns every check, whether it counts or not, that can be judged at all.
    pub(super) fn judged(&self) -> Vec<Judged<'a>> {
        let contents = self.contents;
        let counting = self
            .counting_checks()
            .filter_map(|(_, done)| self.judge_one(&done.filed, &done.check, Some(&done.judgement)));
        let replaced = contents.records.iter().filter(|filed| contents.standing(&filed.path) != Standing::Counts);
        let replaced = replaced.filter_map(|filed| match &filed.record.body {
            Body::Check(check) => self.judge_one(filed, check, None),
            _ => None,
        });
        counting.chain(replaced).collect()
    }

    /// Returns the checks that count, each with the life of its machine.
    pub(super) fn counting_checks(&self) -> impl Iterator<Item = (&'a Life, &'a CheckDone)> {
        let lives: &'a Lives = self.lives;
        lives.values().flat_map(|life| life.checks.iter().map(move |check| (life, check)))
    }

    /// The judgement of a check that counts was made when its machine's life was replayed.
    fn judge_one(
        &self,
        filed: &'a Filed,
        check: &'a Arc<Check>,
        known: Option<&'a CheckJudgement>,
    ) -> Option<Judged<'a>> {
        let procedure = self.contents.procedure_of(check)?;
        let machine = self.contents.machine_of(&filed.record.common.machine, check)?;
        let judgement = match known {
            Some(known) => Cow::Borrowed(known),
            None => Cow::Owned(judge(check, procedure, machine)),
        };
        Some(Judged { filed, check, procedure, machine, judgement })
    }
}
