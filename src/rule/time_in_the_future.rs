//! A record speaks of a time that has not come yet.

use super::words::name;
use super::{Facts, Rule};
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::Moment;
use crate::record::moment::CLOCKS_DIFFER;

pub const RULE: Rule = Rule {
    name: "time-in-the-future",
    severity: Severity::Problem,
    page: include_str!("time_in_the_future.md"),
    check: Some(check),
};

fn check(facts: &Facts) -> Vec<Diagnostic> {
    let mut problems = Vec::new();
    for filed in &facts.contents.records {
        let record = &filed.record;
        // What had been when the record came in is past, whatever a later commit's clock says.
        let came = facts.came.and_then(|came| came.get(&filed.path)).copied();
        let now = came.map_or(facts.now, |came| came.max(facts.now));
        let ahead = |moment: Moment| moment.seconds_since(now) > CLOCKS_DIFFER;
        let started = record.started().map(|started| ("started", started));
        let times =
            started.into_iter().chain([(record.when_field(), record.when()), ("recorded", record.common.recorded)]);
        // The first time that is ahead says enough: those after it follow from it.
        let Some((field, moment)) = times.into_iter().find(|(_, moment)| ahead(*moment)) else { continue };
        let now = Moment(now.0.with_timezone(moment.0.offset()));
        let headline = format!("{} has a time in the future", name(filed));
        problems.push(
            Diagnostic::problem("time-in-the-future", Place::value(&filed.path, format!("/{field}")), headline)
                .label(format!("it is only {} now", now.short()))
                .help("correct the date and the offset; if they are right, set this computer's clock"),
        );
    }
    problems
}
