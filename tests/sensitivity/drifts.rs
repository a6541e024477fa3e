//! Dates of drifts: how often readings without a trend get one, and how often a fall that will reach its limit gets one
//! in time.
//!
//! The readings are played; the question, its limit of 19 % and how sure a trend must be are those of a demo's report.

use super::block::{Block, in_hundred, percent};
use super::chance::Chance;
use super::demo::Demo;
use chrono::{Datelike, Duration};
use pinindex::record::{Date, Moment};
use pinindex::report::Basis;
use pinindex::report::drift::{Bound, Dates, Finding, Question, Reading, Series, counted_drifts};

/// How readings behave.
#[derive(Clone, Copy)]
pub struct Habit {
    /// The standard deviation of a reading, in % of oxygen; the gauge shows tenths.
    pub scatter: f64,
    /// How much a day's deviation has to do with that of the working day before.
    pub kept: f64,
}

/// Readings that scatter little or much, each by itself or hanging together from day to day.
pub fn habits() -> Vec<Habit> {
    [0.1, 0.7].into_iter().flat_map(|scatter| [0.0, 0.3, 0.6].map(|kept| Habit { scatter, kept })).collect()
}

/// What came of rows without a trend.
pub struct Steady {
    pub habit: Habit,
    /// The share of rows that were dated.
    pub dated: f64,
}

/// What came of rows that fall to their limit.
pub struct Falling {
    pub habit: Habit,
    /// The days from a new cell to the limit.
    pub days: i64,
    /// The share of rows that were dated fourteen days before it.
    pub dated: f64,
    /// Of these, the share whose "not before" was not too late.
    pub in_time: f64,
    /// Of these, the middle distance in days between estimate and truth.
    pub missed: i64,
}

/// How sure a report is to be, and what it makes of played readings.
pub struct Asked {
    /// How many questions the demo's report shares its false dates among.
    pub questions: usize,
    pub steady: Vec<Steady>,
    pub falling: Vec<Falling>,
}

/// How many days before the limit a falling row is asked about.
const BEFORE: i64 = 14;

/// Plays rows of readings, so many of each kind, in place of those of a demo.
pub fn play(demo: &Demo, steady_rows: u32, falling_rows: u32) -> Asked {
    let month = *demo.months().last().unwrap();
    demo.with_basis(month, |basis| {
        let drifts = counted_drifts(basis);
        let (series, questions) =
            drifts.series.iter().find(|(series, _)| series.place() == demo.planted.drift.1).unwrap();
        let bound = questions.iter().map(|question| &question.bound).find(|bound| bound.from_below).unwrap();
        let ask = Ask { basis, series, bound, p: drifts.p_wanted() };
        let steady = habits().into_iter().map(|habit| ask.steady(habit, steady_rows));
        let falling = [60, 120, 240].into_iter().flat_map(|days| habits().into_iter().map(move |habit| (days, habit)));
        let falling = falling.filter(|(_, habit)| habit.kept != 0.3);
        let falling = falling.map(|(days, habit)| ask.falling(habit, days, falling_rows));
        Asked { questions: drifts.tested(), steady: steady.collect(), falling: falling.collect() }
    })
}

/// A question that is put to played readings.
struct Ask<'a> {
    basis: &'a Basis<'a>,
    series: &'a Series<'a>,
    bound: &'a Bound,
    p: f64,
}

impl Ask<'_> {
    /// Plays rows of 13 weeks, 2 % above the limit.
    fn steady(&self, habit: Habit, rows: u32) -> Steady {
        let dated = |row: &u64| {
            let found = self.finding(habit, &mut Chance::of(*row), 91, |_| self.bound.value + 2.0);
            matches!(found, Finding::Dated(_))
        };
        let dated = (0..u64::from(rows)).filter(dated).count();
        Steady { habit, dated: dated as f64 / f64::from(rows) }
    }

    /// Plays rows that begin 2 % above the limit and reach it after so many days.
    fn falling(&self, habit: Habit, days: i64, rows: u32) -> Falling {
        let reached = self.series.readings[0].day.0 + Duration::days(BEFORE);
        // No more of them is looked at than half a year.
        let seen = (days - BEFORE).min(182);
        let truth = |back: i64| self.bound.value + 2.0 * (back + BEFORE) as f64 / days as f64;
        let dates: Vec<Dates> = (0..u64::from(rows))
            .filter_map(|row| match self.finding(habit, &mut Chance::of(row), seen, truth) {
                Finding::Dated(dates) => Some(dates),
                _ => None,
            })
            .collect();
        let mut missed: Vec<i64> = dates.iter().map(|one| (one.estimate.0 - reached).num_days().abs()).collect();
        missed.sort_unstable();
        Falling {
            habit,
            days,
            dated: dates.len() as f64 / f64::from(rows),
            in_time: dates.iter().filter(|one| one.earliest.0 <= reached).count() as f64 / dates.len().max(1) as f64,
            missed: missed.get(missed.len() / 2).copied().unwrap_or(0),
        }
    }

    /// Asks about the readings of the working days of so many days; `truth` is what they scatter about, so many days ago.
    fn finding(&self, habit: Habit, chance: &mut Chance, days: i64, truth: impl Fn(i64) -> f64) -> Finding {
        let last = self.series.readings[0];
        let mut deviation = chance.normal();
        let mut readings = Vec::new();
        for back in (0..days).rev() {
            let day = last.day.0 - Duration::days(back);
            // Sunday and Saturday are no working days; the last day always has a reading.
            if back > 0 && day.weekday().number_from_monday() > 5 {
                continue;
            }
            deviation = habit.kept * deviation + (1.0 - habit.kept * habit.kept).sqrt() * chance.normal();
            let value = ((truth(back) + habit.scatter * deviation) * 10.0).round() / 10.0;
            readings.push(Reading { day: Date(day), at: Moment(last.at.0 - Duration::days(back)), value });
        }
        let row = Series { readings, changes: Vec::new(), ..self.series.clone() };
        let mut question = Question::new(&row, self.bound.clone(), self.basis.last_moment(), &[]);
        question.conclude(&row, self.p);
        question.finding
    }
}

/// Returns the table of readings without a trend.
pub fn steady_block(asked: &Asked, rows: u32) -> Block {
    let row = |one: &Steady| {
        vec![
            format!("± {} %", one.habit.scatter),
            format!("{}", one.habit.kept),
            percent(one.dated),
            percent(0.05 / asked.questions as f64),
            format!("{:.2}", one.dated * asked.questions as f64),
        ]
    };
    Block {
        title: "Dates for readings that go nowhere",
        meaning: format!(
            "Where each day's reading scatters by itself, a false date comes less than once in twenty reports, as stated. Where readings hang together from day to day (a warm week, the same eye) they wander; the report allows for that, but where they also scatter by a third of their distance from the limit, false dates come up to twice as often as allowed. A demo's report asks {} such questions. {rows} rows of 13 weeks, 2 % above the limit.",
            asked.questions
        ),
        columns: vec![
            "scatter",
            "correlation with the day before",
            "rows dated",
            "allowed",
            "false dates a report, if all were so",
        ],
        rows: asked.steady.iter().map(row).collect(),
    }
}

/// Returns the table of readings that fall to their limit.
pub fn falling_block(asked: &Asked, rows: u32) -> Block {
    let row = |one: &Falling| {
        vec![
            format!("{} days", one.days),
            format!("± {} %", one.habit.scatter),
            format!("{}", one.habit.kept),
            in_hundred(one.dated),
            percent(one.in_time),
            format!("{} d", one.missed),
        ]
    };
    Block {
        title: "Dates for readings that will reach their limit",
        meaning: format!(
            "A steady fall is dated two weeks ahead nearly always; where readings scatter by a third of the whole fall, in a quarter to two thirds of all falls, and less often where they also hang together from day to day: no date does not mean no drift. \"Not before\" is too late in at most 5 of 100 dates. {rows} rows a kind, asked {BEFORE} days before the limit is reached; the fall is 2 % from new."
        ),
        columns: vec![
            "new to limit",
            "scatter",
            "correlation with the day before",
            "dated",
            "\"not before\" not too late",
            "estimate off by (middle)",
        ],
        rows: asked.falling.iter().map(row).collect(),
    }
}
