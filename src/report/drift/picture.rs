//! The picture of a dated drift: its readings, where the series began anew, the limit, and the line that reaches it.

use super::super::basis::Basis;
use super::super::document::{self, Block, Column, Table};
use super::super::picture::{Drift, Level, Range, Reading as Point, Readings};
use super::{Dates, Question, Series, section};
use crate::record::Date;
use crate::register::LimitOf;
use chrono::Datelike;

/// The most days that the picture reaches beyond the last reading, as a share of the days of readings.
const AHEAD: f64 = 1.0;

/// Returns the picture with its sentence and the readings behind it.
pub fn picture(basis: &Basis<'_>, series: &Series<'_>, question: &Question, dates: Dates) -> Block {
    let item = basis.item(&series.place());
    Block::Picture(document::Picture {
        id: format!("drift-{}-{}", series.machine, series.place().replace('/', "-")),
        caption: format!("{}: {item}", basis.machine(series.machine)),
        reads: format!(
            "{}. {}",
            section::sentence(basis, series, question, dates),
            section::slope_words(series, question)
        ),
        drawing: drawn(basis, series, question, dates, &item).draw(),
        table: readings(basis, series, question),
    })
}

fn drawn(basis: &Basis<'_>, series: &Series<'_>, question: &Question, dates: Dates, item: &str) -> Readings {
    let start = series.readings.first().map_or(basis.period.first, |reading| reading.day);
    let day = |date: Date| date.0.signed_duration_since(start.0).num_days() as f64;
    let first = question.first();
    let last = series.readings.last().map_or(0.0, |reading| day(reading.day));
    let began = question.counted(series).first().map_or(0.0, |reading| day(reading.day));
    // The estimate is shown where there is room; a far one would press the readings into a corner.
    let days = f64::max(f64::min(day(dates.estimate), last + AHEAD * last), day(dates.earliest)).max(last);
    let of = if series.of == LimitOf::Fall { "fall in pressure" } else { "reading" };
    Readings {
        axis: format!("{item}, {of} in {}", series.scale.symbol),
        start: start.0,
        days,
        readings: series
            .readings
            .iter()
            .enumerate()
            .map(|(n, reading)| Point { day: day(reading.day), value: reading.value, counted: n >= first })
            .collect(),
        limits: vec![Level { value: question.bound.value, label: question.bound.words.clone() }],
        drift: question.slope.map(|slope| Drift {
            pivot: (began + slope.at.0, slope.at.1),
            slope: slope.slope,
            interval: Range { low: slope.lower, high: slope.upper },
            from: began,
            to: days,
        }),
        restarts: question.cuts.iter().map(|cut| (day(basis.day(cut.at)), cut.why.words().to_owned())).collect(),
        crossing: (!dates.reached).then(|| (day(dates.earliest), format!("not before {}", dates.earliest))),
        line: "line through the readings, 95 % interval of its slope".to_owned(),
        hollow: "before the series began anew".to_owned(),
    }
}

/// Returns the readings that the line goes through, week by week. Those before stand in the picture only.
fn readings(basis: &Basis<'_>, series: &Series<'_>, question: &Question) -> Table {
    let week = |date: Date| date.0.iso_week();
    let of_weeks = question.counted(series).chunk_by(|one, next| week(one.day) == week(next.day));
    let rows = of_weeks.filter_map(|of_week| {
        let numbers: Vec<String> = of_week.iter().map(|reading| section::plain(reading.value)).collect();
        Some(vec![of_week.first()?.day.to_string(), numbers.join(", ")])
    });
    Table {
        caption: format!("{}, {}: one reading a day", basis.machine(series.machine), basis.item(&series.place())),
        columns: vec![Column::left("Week from"), Column::left(&format!("Readings in {}", series.scale.symbol))],
        rows: rows.collect(),
        total: false,
    }
}
