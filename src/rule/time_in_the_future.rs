//! A record speaks of a time that has not come yet.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Moment;
use crate::record::moment::CLOCKS_DIFFER;

pub const RULE: Rule = Rule {
    name: "time-in-the-future",
    severity: Severity::Fault,
    page: include_str!("time_in_the_future.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let ahead = |moment: Moment| moment.seconds_since(facts.now) > CLOCKS_DIFFER;
    let mut faults = Vec::new();
    for filed in &facts.contents.records {
        let record = &filed.record;
        let started = record.started().map(|started| ("started", started));
        let times =
            started.into_iter().chain([(record.when_field(), record.when()), ("recorded", record.common.recorded)]);
        // The first time that is ahead says enough: those after it follow from it.
        let Some((field, moment)) = times.into_iter().find(|(_, moment)| ahead(*moment)) else { continue };
        let now = Moment(facts.now.0.with_timezone(moment.0.offset()));
        let headline = format!("{} has a time in the future", name(filed));
        faults.push(
            Diagnostic::fault("time-in-the-future", Place::value(&filed.path, format!("/{field}")), headline)
                .label(format!("it is only {} now", now.short()))
                .help("correct the date and the offset; if they are right, set this computer's clock"),
        );
    }
    faults
}
