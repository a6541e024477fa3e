//! The picture of the way back to service, with the numbers behind it.
//!
//! Takes the estimates, gives the picture: its words, its steps in days and its table. The share released is one less the
//! share still withheld, so the limits change sides.

use super::super::document::{Block, Column, Picture, Table};
use super::super::picture::Range;
use super::super::picture::{Curve, CurveStep, LONG_CURVE, Moment};
use super::super::proportion::CONFIDENCE;
use super::estimates::Estimates;
use super::figures::{share_cells, words};
use super::{Returns, Target};
use crate::diagnostic::counted;
use crate::record::moment::spoken;
use crate::statistics::proportion::Interval;
use crate::statistics::survival::{Quantile, ShareEnded};

/// Returns the picture of the estimates.
pub fn picture(returns: &Returns, estimates: &Estimates) -> Block {
    let band: Vec<Option<Interval>> =
        estimates.curve.band(CONFIDENCE).into_iter().map(|limits| limits.map(released)).collect();
    let steps = || estimates.curve.steps.iter().zip(&band);
    let step = |(step, interval): (&crate::statistics::survival::Step, &Option<Interval>)| CurveStep {
        days: days(step.seconds),
        returned: 1.0 - step.survival,
        interval: interval.map(|interval| Range { low: interval.lower, high: interval.upper }),
    };
    let median = match estimates.median.at {
        Quantile::At(seconds) => Some(Moment { days: days(seconds), label: format!("median {}", spoken(seconds)) }),
        Quantile::MoreThan(_) | Quantile::NoData => None,
    };
    let at_target =
        |target: Target| Moment { days: days(target.seconds), label: format!("target {}", spoken(target.seconds)) };
    let shown = days(estimates.curve.longest.max(returns.target.map_or(0, |target| target.seconds)));
    let curve = Curve {
        axis: "Released, share of the faults".to_owned(),
        across: if shown > LONG_CURVE { "days since found, the early ones drawn wider" } else { "days since found" }
            .to_owned(),
        band: "95 % interval".to_owned(),
        open_words: "not released, followed so long".to_owned(),
        steps: steps().map(step).collect(),
        open: estimates.curve.running.iter().map(|seconds| days(*seconds)).collect(),
        days: shown,
        target: returns.target.map(at_target),
        median,
    };
    let row = |(step, interval): (&crate::statistics::survival::Step, &Option<Interval>)| {
        let [share, lower, upper] = share_cells(ShareEnded { share: 1.0 - step.survival, interval: *interval });
        vec![spoken(step.seconds), step.at_risk.to_string(), step.ended.to_string(), share, lower, upper]
    };
    let columns = ["After", "Followed so long", "Released then", "Share released", "95 % from", "to"];
    Block::Picture(Picture {
        id: "return-to-service".to_owned(),
        caption: "From found to released".to_owned(),
        reads: reads(returns, estimates),
        drawing: curve.draw(),
        table: Table {
            caption: "Every time at which a fault was released, and the share released by then".to_owned(),
            columns: columns.map(Column::right).to_vec(),
            rows: steps().map(row).collect(),
            total: false,
        },
    })
}

fn reads(returns: &Returns, estimates: &Estimates) -> String {
    let by = |numerator, denominator| words(estimates.curve.quantile(numerator, denominator));
    let rest = match returns.found - returns.released {
        0 => "All are released.".to_owned(),
        1 => "1 is not released: the tick on the curve, at the time for which it was followed.".to_owned(),
        n => format!("{n} are not released: the ticks on the curve, at the times for which they were followed."),
    };
    format!(
        "Of {}, a quarter is estimated to be released after {}, half after {}, three quarters after {}. {rest}",
        counted(returns.found, "fault"),
        by(1, 4),
        by(1, 2),
        by(3, 4)
    )
}

/// Returns the limits of the share released from those of the share that is not.
fn released(lasting: Interval) -> Interval {
    Interval { lower: 1.0 - lasting.upper, upper: 1.0 - lasting.lower }
}

fn days(seconds: i64) -> f64 {
    seconds as f64 / 86_400.0
}
