//! The estimates side by side: a table for people, figures for scripts, and what would be needed for those that are missing.
//!
//! Takes what was counted, gives blocks and figures. Counts nothing.

use super::super::document::{Column, Figure, Table};
use super::estimates::{Estimates, FEWEST, RESTRICTED_DAYS};
use super::figures::{Frame, TOO_LITTLE_DATA, mean_cells, share_cells, time_cells};
use super::{Returns, sentence};
use crate::diagnostic::counted;
use crate::record::moment::spoken;

/// Returns the estimates as a table. What cannot be estimated says what would be needed.
pub fn of(returns: &Returns, estimates: &Estimates) -> Table {
    let unknown = |why: &str| [why, "–", "–"].map(str::to_owned);
    let row = |words: &str, cells: [String; 3]| {
        let mut row = vec![words.to_owned()];
        row.extend(cells);
        row
    };
    let mut rows = vec![
        row("Half of the faults released by (median)", time_cells(estimates.median)),
        row("90 % of the faults released by", time_cells(estimates.ninetieth)),
    ];
    if let Some(target) = returns.target {
        let cells = match estimates.within_target {
            Some(share) => share_cells(share),
            None => unknown(TOO_LITTLE_DATA),
        };
        rows.push(row(&format!("Share released within the hospital's target of {}", spoken(target.seconds)), cells));
    }
    let mean = match estimates.restricted_mean {
        Some(mean) => mean_cells(mean),
        None => unknown(TOO_LITTLE_DATA),
    };
    rows.push(row(&format!("Time withheld, mean over the first {RESTRICTED_DAYS} days"), mean));
    let response = match returns.response {
        Some(response) => time_cells(response),
        None => unknown("too little data"),
    };
    rows.push(row("Work begun on half of the faults by (median response)", response));
    Table {
        caption: format!(
            "Times from found, estimated from {} and {} not released",
            counted(returns.released, "released fault"),
            returns.found - returns.released
        ),
        columns: vec![
            Column::left("Figure"),
            Column::right("Estimate"),
            Column::right("95 % from"),
            Column::right("to"),
        ],
        rows,
        total: false,
    }
}

/// Returns what would be needed for the estimates that are missing.
pub fn needs(returns: &Returns, estimates: &Estimates) -> Option<String> {
    let mut needs = Vec::new();
    let short = [
        returns.target.filter(|_| estimates.within_target.is_none()).map(|_| "the share within the target".to_owned()),
        estimates.restricted_mean.is_none().then(|| format!("the mean over the first {RESTRICTED_DAYS} days")),
    ];
    let short: Vec<String> = short.into_iter().flatten().collect();
    if !short.is_empty() {
        needs.push(format!(
            "For {} a fault would have to be followed so long; the longest was followed for {}.",
            short.join(" and "),
            spoken(estimates.curve.longest)
        ));
    }
    if returns.response.is_none() {
        needs.push(format!(
            "For the response {FEWEST} faults are needed on which work has begun; there are {}.",
            returns.begun
        ));
    }
    (!needs.is_empty()).then(|| needs.join(" "))
}

/// Returns the estimates as figures, whether or not they could be made.
pub fn figures(returns: &Returns) -> Vec<Figure> {
    let estimates = returns.estimates.as_ref();
    let needed = format!("{FEWEST} released faults are needed");
    let frame = |name, unit, what: &str| Frame {
        name,
        k: Some(returns.released),
        n: returns.found,
        unit,
        note: if estimates.is_some() { what.to_owned() } else { format!("{what}; {needed}") },
    };
    let target = match returns.target {
        Some(target) => {
            let what =
                format!("share of the faults released within the hospital's target of {}", spoken(target.seconds));
            let frame = Frame { k: Some(target.within), ..frame("released-within-target", "%", &what) };
            frame.share(estimates.and_then(|estimates| estimates.within_target))
        }
        None => frame("released-within-target", "%", "the hospital has set no target").not_recorded(),
    };
    vec![
        Frame { note: sentence(returns), ..frame("time-to-return-to-service-median", "h", "") }
            .time(estimates.map(|estimates| estimates.median)),
        frame("time-to-return-to-service-90-percent", "h", "the time by which 90 % of the faults are released")
            .time(estimates.map(|estimates| estimates.ninetieth)),
        target,
        frame(
            "time-withheld-restricted-mean",
            "h",
            &format!("mean time withheld within the first {RESTRICTED_DAYS} days of a fault"),
        )
        .mean(estimates.and_then(|estimates| estimates.restricted_mean)),
        Frame {
            k: Some(returns.begun),
            note: "the time by which work has begun on half of the faults".to_owned(),
            ..frame("response-median", "h", "")
        }
        .time(returns.response),
    ]
}
