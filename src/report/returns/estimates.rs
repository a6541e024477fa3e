//! The estimates of the time to return to service, from faults that are released and faults that are still open.
//!
//! Takes how long each fault was followed, gives the curve and what is read from it. Leaves out words and rounding. Below
//! [`FEWEST`] released faults nothing is estimated.

use super::super::proportion::CONFIDENCE;
use crate::statistics::bounded_mean::mean_limits;
use crate::statistics::survival::{Curve, FollowUp, Quantile, ShareEnded, kaplan_meier};

/// The fewest ended times for which anything is estimated; below it, every fault is listed instead.
pub const FEWEST: usize = 5;

/// The time over which the restricted mean is taken, set before any data were seen.
pub const RESTRICTED_DAYS: i64 = 30;

/// A time by which a share has ended, with its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Time {
    pub at: Quantile,
    pub lower: Quantile,
    pub upper: Quantile,
}

/// A mean in seconds with its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounded {
    pub seconds: i64,
    pub limits: Option<(i64, i64)>,
}

/// What can be said of the time to return to service.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimates {
    pub curve: Curve,
    pub median: Time,
    pub ninetieth: Time,
    /// The share released within the hospital's target; nothing without one, or when no fault was followed so long.
    pub within_target: Option<ShareEnded>,
    /// The mean over the first [`RESTRICTED_DAYS`]; nothing when no fault was followed so long.
    pub restricted_mean: Option<Bounded>,
}

/// Returns the estimates; nothing below [`FEWEST`] ended times.
pub fn estimates(follow_ups: &[FollowUp], target: Option<i64>) -> Option<Estimates> {
    let curve = enough(follow_ups)?;
    Some(Estimates {
        median: time(&curve, 1, 2),
        ninetieth: time(&curve, 9, 10),
        within_target: target.and_then(|target| curve.share_ended_by(target, CONFIDENCE)),
        restricted_mean: restricted_mean(&curve, follow_ups),
        curve,
    })
}

/// Returns the median of times that ended and times that still run; nothing below [`FEWEST`] ended ones.
pub fn median(follow_ups: &[FollowUp]) -> Option<Time> {
    Some(time(&enough(follow_ups)?, 1, 2))
}

fn enough(follow_ups: &[FollowUp]) -> Option<Curve> {
    let ended = follow_ups.iter().filter(|follow_up| follow_up.ended).count();
    if ended < FEWEST { None } else { kaplan_meier(follow_ups) }
}

fn time(curve: &Curve, numerator: u64, denominator: u64) -> Time {
    let limits = curve.quantile_limits(numerator, denominator, CONFIDENCE);
    Time { at: curve.quantile(numerator, denominator), lower: limits.lower, upper: limits.upper }
}

/// Returns the restricted mean.
///
/// Its limits assume no shape of the times. A fault that is not released may have been so at once or never, as far as its
/// follow-up leaves that open.
fn restricted_mean(curve: &Curve, follow_ups: &[FollowUp]) -> Option<Bounded> {
    let whole = RESTRICTED_DAYS * 86_400;
    let mean = curve.restricted_mean(whole)?;
    let bounds = |followed: &FollowUp| {
        let low = followed.seconds.clamp(0, whole);
        (low as f64, if followed.ended { low } else { whole } as f64)
    };
    let bounds: Vec<(f64, f64)> = follow_ups.iter().map(bounds).collect();
    let limits = mean_limits(&bounds, whole as f64, CONFIDENCE);
    let limits = limits.map(|limits| (limits.lower.floor() as i64, limits.upper.ceil() as i64));
    Some(Bounded { seconds: mean.round() as i64, limits })
}
