//! What an item needs a machine to have, and which field of the machine's file says so.
//!
//! Whether an item applies is decided by `procedure::applies`; this only finds the reason to show.

use crate::procedure::{Each, Item};
use crate::register::Machine;

/// One thing an item needs.
pub struct Need {
    /// The field of the machine's file, as a JSON pointer.
    pub pointer: &'static str,
    /// The thing in words, after "has" or "has no".
    pub what: String,
    pub met: bool,
}

/// Returns everything an item needs; nothing when it applies to every machine.
pub fn needs(item: &Item, machine: &Machine) -> Vec<Need> {
    let mut needs = Vec::new();
    let mut need = |pointer, what: String, met| needs.push(Need { pointer, what, met });
    if let Some(only_if) = &item.only_if {
        if let Some(gas) = &only_if.gas {
            need("/gases", format!("piped {gas}"), machine.gases.contains(gas));
        }
        if let Some(gas) = &only_if.cylinder {
            need("/cylinders", format!("spare cylinder of {gas}"), machine.cylinders.contains_key(gas));
        }
        if let Some(kind) = &only_if.scavenging {
            need("/scavenging", format!("{kind} scavenging"), &machine.scavenging == kind);
        }
        if let Some(feature) = &only_if.fitted {
            need("/fitted", format!("`{feature}`"), machine.fitted.contains(feature));
        }
        match only_if.vaporizers {
            Some(true) => need("/vaporizers", "vaporizer".to_owned(), !machine.vaporizers.is_empty()),
            Some(false) => {
                need("/vaporizers", "place without a vaporizer".to_owned(), machine.vaporizers.is_empty());
            }
            None => {}
        }
    }
    match item.each {
        Some(Each::Vaporizer) => need("/vaporizers", "vaporizer".to_owned(), !machine.vaporizers.is_empty()),
        Some(Each::Gas) => need("/gases", "piped gas".to_owned(), !machine.gases.is_empty()),
        None => {}
    }
    needs
}
