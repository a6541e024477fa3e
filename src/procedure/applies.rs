//! Which items a machine has, and how many answers each one wants.

use super::item::{Each, Item, OnlyIf, Procedure};
use crate::register::Machine;

/// An item that applies to a machine, with the vaporizers or gases it is repeated for.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    pub item: &'a Item,
    /// Empty when the item is answered once.
    pub each: Vec<&'a str>,
}

/// Returns the items of a procedure that apply to a machine, in working order.
pub fn asked<'a>(procedure: &'a Procedure, machine: &'a Machine) -> Vec<Asked<'a>> {
    procedure
        .items
        .iter()
        .filter(|item| applies(item, machine))
        .map(|item| Asked { item, each: repeats(item, machine) })
        .collect()
}

/// Returns whether an item applies to a machine.
pub fn applies(item: &Item, machine: &Machine) -> bool {
    let has = item.only_if.as_ref().is_none_or(|only_if| holds(only_if, machine));
    has && (item.each.is_none() || !repeats(item, machine).is_empty())
}

fn holds(only_if: &OnlyIf, machine: &Machine) -> bool {
    let OnlyIf { gas, cylinder, scavenging, fitted, vaporizers } = only_if;
    gas.as_ref().is_none_or(|gas| machine.gases.contains(gas))
        && cylinder.as_ref().is_none_or(|gas| machine.cylinders.contains_key(gas))
        && scavenging.as_ref().is_none_or(|kind| &machine.scavenging == kind)
        && fitted.as_ref().is_none_or(|feature| machine.fitted.contains(feature))
        && vaporizers.is_none_or(|wanted| wanted != machine.vaporizers.is_empty())
}

fn repeats<'a>(item: &Item, machine: &'a Machine) -> Vec<&'a str> {
    match item.each {
        None => Vec::new(),
        Some(Each::Vaporizer) => machine.vaporizers.iter().map(String::as_str).collect(),
        Some(Each::Gas) => machine.gases.iter().map(String::as_str).collect(),
    }
}
