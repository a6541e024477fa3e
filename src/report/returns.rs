//! Section: how long machines took to return to service, with the faults that are still open kept open.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::proportion::count;
use crate::diagnostic::counted;
use crate::record::moment::spoken;
use crate::record::{Date, Use};
use crate::statistics::survival::{FollowUp, Quantile, kaplan_meier};
use crate::timeline::Case;

/// Times to return to service of the faults that withheld a machine, found in the twelve months to the end of the period.
#[derive(Clone, Debug, PartialEq)]
pub struct Returns {
    pub found: usize,
    pub released: usize,
    pub open: usize,
    pub median: Quantile,
    /// Seconds for which the longest open fault has been open.
    pub longest_open: Option<i64>,
    /// The day of the logbook's first record, when the logbook is younger than twelve months.
    pub since: Option<Date>,
}

/// The fewest released faults for which a median is printed; below it, every fault is listed instead.
pub const FEWEST_FOR_MEDIAN: usize = 5;

/// Counts the returns to service.
///
/// By the day a fault was found, not the day it was released: choosing by release would pick the short ones.
pub fn counted_returns(basis: &Basis<'_>) -> Returns {
    let cases: Vec<&Case> = cohort(basis).collect();
    let follow_ups: Vec<FollowUp> = cases
        .iter()
        .map(|case| match case.released_by(basis.last_moment()) {
            Some(released) => FollowUp { seconds: released.seconds_since(case.found).max(0), ended: true },
            None => FollowUp { seconds: basis.as_of.seconds_since(case.found).max(0), ended: false },
        })
        .collect();
    let released = follow_ups.iter().filter(|f| f.ended).count();
    Returns {
        found: cases.len(),
        released,
        open: cases.len() - released,
        median: kaplan_meier(&follow_ups).map_or(Quantile::NoData, |curve| curve.quantile(1, 2)),
        since: since(basis),
        longest_open: follow_ups.iter().filter(|f| !f.ended).map(|f| f.seconds).max(),
    }
}

/// Returns the day of the first record, when it lies within the twelve months to the end of the period.
fn since(basis: &Basis<'_>) -> Option<Date> {
    let first = basis.contents.counting().map(|filed| filed.record.when()).min()?;
    Some(basis.day(first)).filter(|day| *day > basis.period.twelve_months().first)
}

fn cohort<'a>(basis: &Basis<'a>) -> impl Iterator<Item = &'a Case> {
    let first = basis.period.twelve_months().first;
    let zone = basis.site.time_zone;
    basis.cases().filter(move |case| case.usage == Use::Withheld && Date(case.found.date_in(zone)) >= first)
}

/// Returns the median in words.
pub fn median_words(returns: &Returns) -> String {
    match returns.median {
        _ if returns.too_few() => "too few to say".to_owned(),
        Quantile::At(seconds) => spoken(seconds),
        Quantile::MoreThan(seconds) => format!("more than {}", spoken(seconds)),
        Quantile::NoData => "no faults".to_owned(),
    }
}

/// Returns what the median is taken from, for the line below it.
pub fn median_detail(returns: &Returns) -> String {
    format!(
        "estimated median {}, from {} released and {} open",
        match returns.since {
            Some(since) => format!("since {since}"),
            None => "over 12 months".to_owned(),
        },
        returns.released,
        returns.open
    )
}

impl Returns {
    /// Returns whether faults are on record, and too few of them are released for a median.
    pub fn too_few(&self) -> bool {
        self.found > 0 && self.released < FEWEST_FOR_MEDIAN
    }
}

/// Returns the whole in one sentence.
pub fn sentence(returns: &Returns) -> String {
    if returns.found == 0 {
        return format!("{} no fault withheld a machine.", span(returns));
    }
    let open = match returns.longest_open {
        Some(seconds) => format!("{} still open, the longest for {}", returns.open, spoken(seconds)),
        None => "none still open".to_owned(),
    };
    let median = match returns.median {
        _ if returns.too_few() => format!(
            "That is too few for a median ({FEWEST_FOR_MEDIAN} released faults are needed); each is listed below with its time."
        ),
        Quantile::At(seconds) => format!(
            "Estimated median time to return to service: {}, from {} released and {} open.",
            spoken(seconds),
            returns.released,
            returns.open
        ),
        Quantile::MoreThan(seconds) => format!(
            "Estimated median time to return to service: more than {}, from {} released and {} open.",
            spoken(seconds),
            returns.released,
            returns.open
        ),
        Quantile::NoData => String::new(),
    };
    format!(
        "{} {} withheld a machine: {} released, {open}. {median}",
        span(returns),
        counted(returns.found, "fault"),
        returns.released,
    )
}

fn span(returns: &Returns) -> String {
    match returns.since {
        Some(since) => format!("Since {since}, the logbook's first record,"),
        None => "In the twelve months to the end of the period".to_owned(),
    }
}

/// Returns the faults open at the end of the period, the longest open first.
pub fn open_cases<'a>(basis: &Basis<'a>) -> Vec<&'a Case> {
    let mut open: Vec<&Case> = basis.cases().filter(|case| case.open_at(basis.last_moment())).collect();
    open.sort_by_key(|case| (case.found, &case.path));
    open
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, returns: &Returns) -> (Section, Vec<Figure>) {
    let (value, state) = match returns.median {
        _ if returns.too_few() => (None, "too-little-data"),
        Quantile::At(seconds) => (Some(hours(seconds)), "value"),
        Quantile::MoreThan(seconds) => (Some(hours(seconds)), "more-than"),
        Quantile::NoData => (None, "not-recorded"),
    };
    let figures = vec![
        Figure {
            figure: "time-to-return-to-service-median".to_owned(),
            of: "all".to_owned(),
            k: Some(returns.released as u64),
            n: Some(returns.found as u64),
            value,
            unit: "h".to_owned(),
            lower: None,
            upper: None,
            state: state.to_owned(),
            note: sentence(returns),
        },
        count(
            "faults-open",
            "all",
            open_cases(basis).len(),
            "faults open at the end, whether they withhold or restrict",
        ),
    ];
    let mut blocks = vec![Block::Paragraph(sentence(returns))];
    if returns.too_few() {
        blocks.push(every_case(basis));
    }
    if let Some(target) = basis.site.return_to_service_target.as_ref().and_then(crate::record::Quantity::seconds) {
        let judged: Vec<bool> = cohort(basis)
            .filter_map(|case| match case.released_by(basis.last_moment()) {
                Some(released) => Some(released.seconds_since(case.found) <= target),
                // An open fault younger than the target can still make it, and is not counted either way.
                None if basis.as_of.seconds_since(case.found) > target => Some(false),
                None => None,
            })
            .collect();
        let within = judged.iter().filter(|w| **w).count();
        blocks.push(Block::Paragraph(format!(
            "The hospital's own target is {}. Of {} that can be judged by it, {within} met it.",
            spoken(target),
            counted(judged.len(), "fault")
        )));
    }
    let open = open_cases(basis);
    if open.is_empty() {
        blocks.push(Block::Paragraph(format!("No fault was open at {}.", basis.clock(basis.as_of))));
    } else {
        blocks.push(Block::Table(Table {
            caption: format!("Faults open at {}, the longest open first", basis.clock(basis.as_of)),
            columns: vec![
                Column::left("Machine"),
                Column::left("Found"),
                Column::right("Open for"),
                Column::left("Use"),
                Column::left("What"),
            ],
            rows: open
                .iter()
                .map(|case| {
                    let usage = match &case.usage {
                        Use::Withheld => "withheld".to_owned(),
                        Use::Restricted { until, .. } => format!("restricted until {until}"),
                    };
                    vec![
                        basis.machine(&case.machine),
                        basis.clock(case.found),
                        basis.open_for(case),
                        usage,
                        case.what.trim().to_owned(),
                    ]
                })
                .collect(),
            total: false,
        }));
    }
    let mut released: Vec<&Case> = basis
        .cases()
        .filter(|case| case.released_by(basis.last_moment()).is_some_and(|r| basis.in_period(r)))
        .collect();
    released.sort_by_key(|case| case.released_by(basis.last_moment()));
    if !released.is_empty() {
        blocks.push(Block::Table(Table {
            caption: format!("Faults released in {}", basis.period.words()),
            columns: vec![
                Column::left("Machine"),
                Column::left("Found"),
                Column::left("Released"),
                Column::right("Response"),
                Column::right("Released after"),
                Column::left("Cause"),
            ],
            rows: released
                .iter()
                .map(|case| {
                    vec![
                        basis.machine(&case.machine),
                        basis.clock(case.found),
                        case.released_by(basis.last_moment()).map_or(String::new(), |r| basis.clock(r)),
                        case.seconds_to_work(basis.last_moment()).map_or("–".to_owned(), |s| spoken(s.max(0))),
                        released_after(basis, case),
                        case.works_begun_by(basis.last_moment())
                            .last()
                            .map_or("–".to_owned(), |w| w.repair.cause.replace('-', " ")),
                    ]
                })
                .collect(),
            total: false,
        }));
    }
    let section =
        Section { id: "returns".to_owned(), title: "Time to return to service".to_owned(), blocks, new_page: false };
    (section, figures)
}

/// Returns every fault that the median would be taken from, for when there are too few for one.
fn every_case(basis: &Basis<'_>) -> Block {
    let mut cases: Vec<&Case> = cohort(basis).collect();
    cases.sort_by_key(|case| (case.found, &case.path));
    let row = |case: &&Case| {
        let released = case.released_by(basis.last_moment());
        vec![
            basis.machine(&case.machine),
            basis.clock(case.found),
            released.map_or("open".to_owned(), |released| basis.clock(released)),
            released_after(basis, case),
        ]
    };
    Block::Table(Table {
        caption: "Every fault that withheld a machine in this time".to_owned(),
        columns: vec![
            Column::left("Machine"),
            Column::left("Found"),
            Column::left("Released"),
            Column::right("Released after"),
        ],
        rows: cases.iter().map(row).collect(),
        total: false,
    })
}

/// Returns in words after what time a fault was released, or for how long it has been open.
pub fn released_after(basis: &Basis<'_>, case: &Case) -> String {
    let Some(released) = case.released_by(basis.last_moment()) else {
        return format!("open for {}", basis.open_for(case));
    };
    let time = spoken(released.seconds_since(case.found).max(0));
    match &case.usage {
        Use::Withheld => time,
        Use::Restricted { .. } => format!("restriction lifted after {time}"),
    }
}

/// Returns seconds as hours with one decimal, rounded half to even on whole tenths.
pub fn hours(seconds: i64) -> String {
    let (tenths, rest) = (seconds / 360, seconds % 360);
    let up = rest > 180 || (rest == 180 && tenths % 2 == 1);
    let tenths = tenths + i64::from(up);
    format!("{}.{}", tenths / 10, tenths % 10)
}
