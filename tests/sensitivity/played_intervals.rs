//! How often the intervals of times and slopes cover the truth, which is counted over many games: these intervals rest
//! on large numbers, and the question is how large.

use super::block::{Block, percent};
use super::chance::Chance;
use pinindex::statistics::slope::theil_sen;
use pinindex::statistics::survival::{FollowUp, Quantile, kaplan_meier};

/// A method and what came of its games.
pub struct Played {
    pub what: String,
    /// Of the games in which limits were given.
    pub covered: f64,
    /// The share of games in which limits were given.
    pub given: f64,
}

const HOUR: f64 = 3600.0;

/// The mean time to return to service, in hours.
const MEAN: f64 = 100.0;

/// The time within which faults should be over, in hours; truly it is 51 in 100.
const TARGET: f64 = 72.0;

/// Plays every method so many times.
pub fn played(games: u32) -> Vec<Played> {
    let mut all = Vec::new();
    for faults in [6, 12, 30] {
        for followed in [None, Some(300.0)] {
            let some = followed.map_or("all followed to the end", |_| "three in ten still open");
            let durations = |game| durations(game, faults, followed);
            all.push(counted(format!("median time of {faults} faults, {some} (Brookmeyer–Crowley)"), games, |game| {
                let limits = kaplan_meier(&durations(game))?.quantile_limits(1, 2, 0.95);
                let truth = MEAN * HOUR * libm::log(2.0);
                let too_high = match limits.lower {
                    Quantile::At(seconds) | Quantile::MoreThan(seconds) => seconds as f64 > truth,
                    Quantile::NoData => false,
                };
                let too_low = matches!(limits.upper, Quantile::At(seconds) if (seconds as f64) < truth);
                Some(!too_high && !too_low)
            }));
            all.push(counted(format!("share of {faults} faults within 72 h, {some} (log-log)"), games, |game| {
                let ended = kaplan_meier(&durations(game))?.share_ended_by((TARGET * HOUR) as i64, 0.95)?;
                let truth = 1.0 - libm::exp(-TARGET / MEAN);
                ended.interval.map(|interval| interval.lower <= truth && truth <= interval.upper)
            }));
        }
    }
    for (readings, drift) in [(8, 0.0), (8, -0.02), (26, 0.0), (26, -0.02)] {
        let fall = if drift < 0.0 { "falling by 0.02 a week" } else { "steady" };
        all.push(counted(format!("slope of {readings} weekly readings to the tenth, {fall} (Sen)"), games, |game| {
            let mut chance = Chance::of(game);
            let point = |week: u32| {
                let exact = 21.0 + drift * f64::from(week) + 0.1 * chance.normal();
                (f64::from(week), (exact * 10.0).round() / 10.0)
            };
            let slope = theil_sen(&(0..readings).map(point).collect::<Vec<_>>(), 0.95)?;
            Some(slope.lower <= drift && drift <= slope.upper)
        }));
    }
    all
}

/// Returns times to return to service; where they are followed for some hours only, each for a random part of them.
fn durations(game: u64, faults: u32, followed: Option<f64>) -> Vec<FollowUp> {
    let mut chance = Chance::of(game);
    let duration = |_| {
        let lasts = chance.wait(MEAN * HOUR);
        let sight = followed.map_or(f64::INFINITY, |hours| hours * HOUR * chance.part());
        FollowUp { seconds: lasts.min(sight) as i64, ended: lasts <= sight }
    };
    (0..faults).map(duration).collect()
}

fn counted(what: String, games: u32, covers: impl Fn(u64) -> Option<bool>) -> Played {
    let came: Vec<bool> = (0..u64::from(games)).filter_map(covers).collect();
    let covered = came.iter().filter(|covers| **covers).count() as f64 / came.len() as f64;
    Played { what, covered, given: came.len() as f64 / f64::from(games) }
}

/// Returns the table.
pub fn block(played: &[Played], games: u32) -> Block {
    Block {
        title: "How often the limits of times and slopes hold the truth",
        meaning: format!(
            "Times to return to service and slopes of readings have no exact limits; theirs hold it in at least 94 of 100 reports, also with six faults or eight readings. Where none can be given, none is printed. {games} games a row, so that a row may be off by 0.5 either way."
        ),
        columns: vec!["interval at 95 %", "holds the truth", "limits given"],
        rows: played.iter().map(|one| vec![one.what.clone(), percent(one.covered), percent(one.given)]).collect(),
    }
}
