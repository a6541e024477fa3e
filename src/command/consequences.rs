//! What a correction or a void brings with it: whether a machine is called something else, and what rested on the old
//! record.

use crate::bedside::readiness::Readiness;
use crate::command::Context;
use crate::command::opened::{Which, open, open_again, text_of};
use crate::command::ready::readiness_of;
use crate::command::show::{self, Format, tell as say};
use crate::diagnostic::Diagnostic;
use crate::record::Moment;
use std::collections::BTreeSet;

/// What the records said before.
pub struct Before {
    machines: Vec<Readiness>,
    said: Vec<Diagnostic>,
    records: BTreeSet<String>,
}

impl Before {
    /// Returns what the records say at a moment.
    pub fn of(context: &Context, now: Moment) -> anyhow::Result<Before> {
        let mut opened = open(context, Which::Committed)?;
        let said = opened.diagnostics.clone();
        let records = opened.contents.records.iter().map(|filed| filed.path.clone()).collect();
        Ok(Before { machines: readiness_of(&mut opened, now).0, said, records })
    }
}

/// Says which machines are called something else, and which other records rules now complain about.
pub fn tell(context: &Context, before: &Before, format: Format) -> anyhow::Result<()> {
    let mut opened = open_again(context)?;
    // What there is to say of the new record itself was said as it came in.
    let own = |d: &Diagnostic| d.place.path.starts_with("records/") && !before.records.contains(&d.place.path);
    let known = |d: &Diagnostic| before.said.iter().any(|one| one.rule == d.rule && one.place.path == d.place.path);
    let new: Vec<Diagnostic> = opened.diagnostics.iter().filter(|d| !own(d) && !known(d)).cloned().collect();
    let mut out = anstream::stdout().lock();
    if !new.is_empty() {
        say(&mut out, format, "What rested on the old record is to be looked at:")?;
        let located = opened.located(new);
        show::diagnostics(&mut out, format, &located, &|path| text_of(&opened.snapshot, path))?;
    }
    let (machines, _) = readiness_of(&mut opened, context.clock());
    for now in &machines {
        let was = before.machines.iter().find(|one| one.machine == now.machine);
        let Some(was) = was.filter(|was| was.state != now.state) else { continue };
        say(&mut out, format, &turned(was, now))?;
        for reason in &now.reasons {
            say(&mut out, format, &format!("  {reason}"))?;
        }
    }
    Ok(())
}

fn turned(was: &Readiness, now: &Readiness) -> String {
    format!("The records called {} {}; now they call it {}.", now.machine, was.state.words(), now.state.words())
}
