//! The parts of a fault's time: response, waiting, work, and proving.
//!
//! Takes a case and the last moment that counts, gives whole seconds. For a released fault on which somebody worked they
//! add up to the time from found to released: every second belongs to one part. Of work that was not finished only the
//! beginning is known. The moments are those of ISO/TR 12489:2013.

use crate::record::Moment;
use crate::statistics::covered::covered_seconds;
use crate::timeline::Case;

/// The parts of a fault's time in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Parts {
    /// From found to the first work begun; nothing when none had begun.
    pub response: Option<i64>,
    /// Time in which somebody worked, less the waiting inside. Two people at once count once.
    pub work: i64,
    /// Waiting that a repair names and that fits between its beginning and its end.
    pub waiting_inside: i64,
    /// Waiting that a repair names and that does not fit there: it was before or between the work.
    pub waiting_outside: i64,
    /// From the first to the last work, the time in which none was going on.
    pub between: i64,
    /// From the last work finished to the release; nothing while the fault is open, or when nobody had worked on it.
    pub proving: Option<i64>,
    /// Whether work had begun that was not finished.
    pub going_on: bool,
}

impl Parts {
    /// Returns the waiting that the repairs name, as far as there was time for it after the first work had begun.
    ///
    /// The rest was before that, and is part of the response.
    pub fn waiting_named(self) -> i64 {
        self.waiting_inside + self.waiting_outside.min(self.between)
    }

    /// Returns the time between the works for which no repair names a reason.
    pub fn waiting_not_explained(self) -> i64 {
        self.between - self.waiting_outside.min(self.between)
    }
}

/// Returns the parts of a case as they stood at a moment.
pub fn parts(case: &Case, last: Moment) -> Parts {
    let released = case.released_by(last);
    let end = released.unwrap_or(last);
    let begun = || case.works_begun_by(end).map(|work| &work.repair);
    let Some(first) = begun().map(|repair| repair.started.max(case.found)).min() else { return Parts::default() };

    let mut parts = Parts { response: Some(first.seconds_since(case.found)), ..Parts::default() };
    let mut spans = Vec::new();
    let mut finished = None;
    for repair in begun() {
        if released.is_none() && repair.finished > last {
            parts.going_on = true;
            continue;
        }
        let (from, until) = (repair.started.max(first), repair.finished.min(end));
        let lasted = until.seconds_since(from).max(0);
        let waits: i64 =
            repair.waited.iter().filter_map(|wait| wait.time.seconds()).fold(0, i64::saturating_add).max(0);
        if waits <= lasted {
            parts.waiting_inside += waits;
        } else {
            parts.waiting_outside = parts.waiting_outside.saturating_add(waits);
        }
        spans.push((from.0.timestamp(), Some(until.0.timestamp())));
        finished = finished.max(Some(until.max(first)));
    }
    let Some(finished) = finished else { return parts };
    let worked = covered_seconds(&spans, first.0.timestamp(), finished.0.timestamp());
    parts.waiting_inside = parts.waiting_inside.min(worked);
    parts.work = worked - parts.waiting_inside;
    parts.between = finished.seconds_since(first) - worked;
    parts.proving = released.map(|released| released.seconds_since(finished).max(0));
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::kinds::Waited;
    use crate::record::{FoundDuring, Repair, Use};
    use crate::timeline::{Released, Work};
    use proptest::prelude::*;

    const HOUR: i64 = 3600;

    fn at(hours: i64) -> Moment {
        let start: Moment = "2026-11-01T00:00:00+00:00".parse().unwrap();
        Moment(start.0 + chrono::Duration::hours(hours))
    }

    /// Returns a fault found at hour 10 with works of given hours and hours waited.
    fn case(works: &[(i64, i64, i64)], released: Option<i64>) -> Case {
        let work = |&(started, finished, waited): &(i64, i64, i64)| Work {
            path: String::new(),
            by: Vec::new(),
            repair: Repair {
                fault: String::new(),
                started: at(started),
                finished: at(finished),
                cause: "wear-or-age".to_owned(),
                work: String::new(),
                parts: Vec::new(),
                waited: vec![Waited { what: "parts".to_owned(), time: format!("{waited} h").parse().unwrap() }],
                instruments: Vec::new(),
            },
        };
        Case {
            path: String::new(),
            machine: String::new(),
            found: at(10),
            by: Vec::new(),
            found_during: FoundDuring { check: None, items: Vec::new(), way: Some("in-use".to_owned()) },
            shown_by: None,
            what: String::new(),
            usage: Use::Withheld,
            works: works.iter().map(work).collect(),
            released: released.map(|released| Released {
                path: String::new(),
                by: Vec::new(),
                released: at(released),
                proved_by: String::new(),
            }),
            first_check_after: None,
        }
    }

    #[test]
    fn every_hour_of_a_released_fault_belongs_to_one_part() {
        // Found at 10; worked 12 to 15 with 1 h of waiting inside, and 40 to 42, which had waited 20 h; released at 43.
        let parts = parts(&case(&[(12, 15, 1), (40, 42, 20)], Some(43)), at(100));
        assert_eq!(parts.response, Some(2 * HOUR));
        assert_eq!((parts.work, parts.waiting_inside), (4 * HOUR, HOUR));
        assert_eq!((parts.between, parts.waiting_outside), (25 * HOUR, 20 * HOUR));
        assert_eq!((parts.waiting_named(), parts.waiting_not_explained()), (21 * HOUR, 5 * HOUR));
        assert_eq!(parts.proving, Some(HOUR));
    }

    #[test]
    fn two_people_at_once_are_one_time_of_work() {
        let parts = parts(&case(&[(12, 15, 0), (13, 16, 0)], Some(20)), at(100));
        assert_eq!((parts.work, parts.between, parts.proving), (4 * HOUR, 0, Some(4 * HOUR)));
    }

    #[test]
    fn waiting_for_which_there_was_no_time_was_before_the_work() {
        let parts = parts(&case(&[(30, 31, 18)], Some(32)), at(100));
        assert_eq!((parts.response, parts.waiting_outside), (Some(20 * HOUR), 18 * HOUR));
        assert_eq!((parts.waiting_named(), parts.waiting_not_explained()), (0, 0));
    }

    #[test]
    fn work_that_is_not_finished_has_only_begun() {
        let parts = parts(&case(&[(12, 15, 0), (20, 200, 0)], Some(201)), at(100));
        assert!(parts.going_on);
        assert_eq!((parts.response, parts.work, parts.between, parts.proving), (Some(2 * HOUR), 3 * HOUR, 0, None));
    }

    #[test]
    fn without_work_there_are_no_parts() {
        assert_eq!(parts(&case(&[], Some(43)), at(100)), Parts::default());
        assert_eq!(parts(&case(&[(50, 51, 0)], Some(43)), at(100)), Parts::default());
    }

    proptest! {
        #[test]
        fn parts_add_up(works in prop::collection::vec((0..60_i64, 0..60_i64, 0..80_i64), 1..6), released in 10..60_i64) {
            let mut works = works;
            works.sort();
            let parts = parts(&case(&works, Some(released)), at(100));
            if let Some(response) = parts.response {
                let all = [
                    response,
                    parts.work,
                    parts.waiting_named(),
                    parts.waiting_not_explained(),
                    parts.proving.unwrap(),
                ];
                prop_assert!(all.iter().all(|part| *part >= 0), "{all:?}");
                prop_assert_eq!(all.iter().sum::<i64>(), (released - 10) * HOUR);
            } else {
                prop_assert!(works.iter().all(|(started, ..)| *started > released));
            }
        }
    }
}
