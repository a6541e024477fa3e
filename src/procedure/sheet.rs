//! A procedure as one machine has it: the items asked of it and the limits in force, worked out once for all its checks.
//!
//! Takes a procedure and a machine as it was on some day, and gives the places that are answered, in working order. A
//! place is an item, or an item for one vaporizer or gas.

use super::applies::asked;
use super::belief::Belief;
use super::item::{Item, Procedure};
use super::judgement::limits_in_force;
use crate::record::Quantity;
use crate::register::{Limit, Machine};

/// What is asked of a machine by a procedure.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    pub lines: Vec<Line>,
    /// How much the machine's breathing system takes up, where it is known.
    pub compliance: Option<Quantity>,
}

/// One item of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub item: Item,
    /// Which item of its procedure it is, from 0.
    pub n: usize,
    /// What it is repeated for; empty when it is answered once.
    pub each: Vec<String>,
    /// The limits in force for the machine.
    pub limits: Vec<Limit>,
    /// The numbers that are believed.
    pub belief: Belief,
}

impl Sheet {
    /// Returns what a procedure asks of a machine.
    pub fn of(procedure: &Procedure, machine: &Machine) -> Sheet {
        let lines = asked(procedure, machine).into_iter().map(|asked| {
            let limits: Vec<Limit> = limits_in_force(asked.item, machine).into_iter().cloned().collect();
            Line {
                n: procedure.items.iter().position(|item| std::ptr::eq(item, asked.item)).unwrap_or_default(),
                item: asked.item.clone(),
                each: asked.each.into_iter().map(str::to_owned).collect(),
                belief: Belief::of(asked.item, &limits, machine),
                limits,
            }
        });
        Sheet { lines: lines.collect(), compliance: machine.compliance.clone() }
    }

    /// Returns every place that is answered: its line, and the vaporizer or gas where it is for one.
    pub fn places(&self) -> impl Iterator<Item = (&Line, Option<&str>)> {
        self.lines.iter().flat_map(|line| line.places().map(move |each| (line, each)))
    }
}

impl Line {
    /// Returns the places of the item: each vaporizer or gas, or nothing once when it is answered once.
    pub fn places(&self) -> impl Iterator<Item = Option<&str>> {
        let once = self.each.is_empty().then_some(None);
        once.into_iter().chain(self.each.iter().map(|each| Some(each.as_str())))
    }
}
