//! Section: how long machines took to return to service, with the faults that are still open kept open.
//!
//! Takes the basis, gives the section and its figures. Looks at the faults that withheld a machine and were found in the
//! twelve months to the end of the period: by the day they were found, not the day they were released, since choosing by
//! release would pick the short ones. `estimates` estimates, `curve` draws, `parts` and `sums` say where the time went,
//! `figures` puts numbers into digits, `table` sets them side by side, `lists` names faults one by one.

mod curve;
pub mod estimates;
pub mod figures;
mod lists;
mod parts;
mod sums;
mod table;

pub use figures::hours;
pub use lists::{open_cases, released_after};
pub use parts::parts;

use super::basis::Basis;
use super::document::{Block, Figure, Section};
use super::proportion::count;
use super::tally::Tally;
use crate::diagnostic::counted;
use crate::record::moment::{spoken, start_of_day};
use crate::record::{Date, Moment, Quantity, Use};
use crate::statistics::survival::FollowUp;
use crate::timeline::Case;
use estimates::{Estimates, FEWEST, Time, estimates, median};
use figures::{interval_words, words};
use sums::Sums;

/// Times to return to service of the faults that withheld a machine, found in the twelve months to the end of the period.
#[derive(Clone, Debug, PartialEq)]
pub struct Returns {
    pub found: usize,
    pub released: usize,
    pub open: usize,
    /// Faults of machines that were taken out of use before they were released.
    pub given_up: usize,
    /// Seconds for which the longest open fault has been open.
    pub longest_open: Option<i64>,
    /// The day of the logbook's first record, when the logbook is younger than twelve months.
    pub since: Option<Date>,
    /// Nothing when too few faults are released.
    pub estimates: Option<Estimates>,
    /// From found to the first work begun; nothing when work has begun on too few.
    pub response: Option<Time>,
    pub begun: usize,
    pub target: Option<Target>,
    pub sums: Sums,
}

/// The hospital's own target and what came of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    pub seconds: i64,
    pub within: usize,
    /// Released later, or not released and older than the target.
    pub beyond: usize,
    /// Not released and younger than the target: they can still make it.
    pub undecided: usize,
}

/// Counts the returns to service.
pub fn counted_returns(basis: &Basis<'_>, tally: &Tally<'_>) -> Returns {
    let cases: Vec<&Case> = cohort(basis).collect();
    let last = basis.last_moment();
    let follow_ups: Vec<FollowUp> = cases.iter().map(|case| followed_to_release(basis, case)).collect();
    let responses: Vec<FollowUp> = cases.iter().map(|case| followed_to_work(basis, case)).collect();
    let target = basis.site.return_to_service_target.as_ref().and_then(Quantity::seconds);
    let given_up = |case: &Case| case.released_by(last).is_none() && out_of_use(basis, case).is_some();
    let released = follow_ups.iter().filter(|followed| followed.ended).count();
    let given_up_cases = cases.iter().filter(|case| given_up(case)).count();
    let still_open = cases.iter().zip(&follow_ups).filter(|(case, followed)| !followed.ended && !given_up(case));
    Returns {
        found: cases.len(),
        released,
        open: cases.len() - released - given_up_cases,
        given_up: given_up_cases,
        longest_open: still_open.map(|(_, followed)| followed.seconds).max(),
        since: tally.since.filter(|day| *day > basis.period.twelve_months().first),
        estimates: estimates(&follow_ups, target),
        response: median(&responses),
        begun: responses.iter().filter(|followed| followed.ended).count(),
        target: target.map(|seconds| judged(&follow_ups, seconds)),
        sums: sums::sums(basis, cases.into_iter()),
    }
}

fn cohort<'a>(basis: &Basis<'a>) -> impl Iterator<Item = &'a Case> {
    let first = basis.period.twelve_months().first;
    let zone = basis.site.time_zone;
    basis.cases().filter(move |case| case.usage == Use::Withheld && Date(case.found.date_in(zone)) >= first)
}

/// Returns the moment from which a fault's machine was no longer in use, when that was before the report looks back.
fn out_of_use(basis: &Basis<'_>, case: &Case) -> Option<Moment> {
    let after = basis.contents.machines.get(&case.machine)?.in_use.until?.0.succ_opt()?;
    Some(start_of_day(after, basis.site.time_zone)).filter(|moment| *moment < basis.as_of)
}

/// Returns how long a fault was followed until it was released, or until nobody asked for its machine any more.
fn followed_to_release(basis: &Basis<'_>, case: &Case) -> FollowUp {
    match case.released_by(basis.last_moment()) {
        Some(released) => FollowUp { seconds: released.seconds_since(case.found).max(0), ended: true },
        None => {
            let until = out_of_use(basis, case).unwrap_or(basis.as_of);
            FollowUp { seconds: until.seconds_since(case.found).max(0), ended: false }
        }
    }
}

/// Returns how long a fault was followed until work on it began. One that was released without work was followed up to
/// then.
fn followed_to_work(basis: &Basis<'_>, case: &Case) -> FollowUp {
    match parts(case, basis.last_moment()).response {
        Some(seconds) => FollowUp { seconds, ended: true },
        None => FollowUp { ended: false, ..followed_to_release(basis, case) },
    }
}

fn judged(follow_ups: &[FollowUp], seconds: i64) -> Target {
    let number = |is: &dyn Fn(&FollowUp) -> bool| follow_ups.iter().filter(|followed| is(followed)).count();
    let within = number(&|followed| followed.ended && followed.seconds <= seconds);
    let undecided = number(&|followed| !followed.ended && followed.seconds <= seconds);
    Target { seconds, within, beyond: follow_ups.len() - within - undecided, undecided }
}

/// Returns the median in words.
pub fn median_words(returns: &Returns) -> String {
    match &returns.estimates {
        Some(estimates) => words(estimates.median.at),
        None if returns.found == 0 => "no faults".to_owned(),
        None => "too few to say".to_owned(),
    }
}

/// Returns what the median is taken from, with its limits, for the line below it.
pub fn median_detail(returns: &Returns) -> String {
    let limits = median_interval_words(returns).map_or(String::new(), |limits| format!(", {limits}"));
    let span = match returns.since {
        Some(since) => format!("since {since}"),
        None => "over 12 months".to_owned(),
    };
    format!("estimated median {span}{limits}, from {} released and {} open", returns.released, returns.open)
}

/// Returns the limits of the median in words; nothing when there is no median.
pub fn median_interval_words(returns: &Returns) -> Option<String> {
    returns.estimates.as_ref().map(|estimates| interval_words(estimates.median))
}

/// Returns the whole in one sentence.
pub fn sentence(returns: &Returns) -> String {
    if returns.found == 0 {
        return format!("{} no fault withheld a machine.", span(returns));
    }
    let mut fates = vec![format!("{} released", returns.released)];
    if returns.given_up > 0 {
        fates.push(format!("{} not released before the machine was taken out of use", returns.given_up));
    }
    fates.push(match returns.longest_open {
        Some(seconds) => format!("{} still open, the longest for {}", returns.open, spoken(seconds)),
        None => "none still open".to_owned(),
    });
    let median = match median_interval_words(returns) {
        None => format!(
            "That is too few for a median ({FEWEST} released faults are needed); each is listed below with its time."
        ),
        Some(interval) => {
            format!("Estimated median time to return to service: {}, {interval}.", median_words(returns))
        }
    };
    format!("{} {} withheld a machine: {}. {median}", span(returns), counted(returns.found, "fault"), fates.join(", "))
}

fn span(returns: &Returns) -> String {
    match returns.since {
        Some(since) => format!("Since {since}, the logbook's first record,"),
        None => "In the twelve months to the end of the period".to_owned(),
    }
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, returns: &Returns) -> (Section, Vec<Figure>) {
    let mut blocks = vec![Block::Paragraph(sentence(returns))];
    match &returns.estimates {
        Some(estimates) => {
            blocks.push(Block::Table(table::of(returns, estimates)));
            blocks.extend(table::needs(returns, estimates).map(Block::Paragraph));
            blocks.push(curve::picture(returns, estimates));
        }
        None if returns.found > 0 => blocks.push(lists::every_case(basis, cohort(basis).collect())),
        None => {}
    }
    blocks.extend(returns.target.filter(|_| returns.found > 0).map(|target| Block::Paragraph(target.sentence())));
    blocks.extend(returns.sums.blocks());
    blocks.push(lists::open(basis));
    blocks.extend(lists::released(basis));
    let mut figures = table::figures(returns);
    figures.extend(returns.sums.figures());
    figures.push(count(
        "faults-open",
        "all",
        open_cases(basis).len(),
        "faults open at the end, whether they withhold or restrict",
    ));
    let section =
        Section { id: "returns".to_owned(), title: "Time to return to service".to_owned(), blocks, new_page: false };
    (section, figures)
}

impl Target {
    fn sentence(self) -> String {
        let undecided = match self.undecided {
            0 => String::new(),
            n => format!("; {n} not released and younger than that, so not judged"),
        };
        format!(
            "The hospital's own target is {}: {} met it, {} did not{undecided}.",
            spoken(self.seconds),
            counted(self.within, "fault"),
            self.beyond
        )
    }
}
