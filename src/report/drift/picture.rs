//! The picture of a dated drift: its readings, where the series began anew, the limit, and the line that reaches it.

use super::super::basis::Basis;
use super::super::document::{self, Block, Column, Table};
use super::super::picture::{Drift, Level, Range, Reading as Point, Readings};
use super::{Dates, Question, Reading, Series, section};
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
        filled: "reading".to_owned(),
        hollow: "before the series began anew".to_owned(),
    }
}

/// Returns the readings month by month, days in a row that read the same in one, with what happened in each month.
fn readings(basis: &Basis<'_>, series: &Series<'_>, question: &Question) -> Table {
    let month = |date: Date| (date.0.year(), date.0.month());
    let mut rows: Vec<(Date, String, Vec<String>)> = Vec::new();
    for of_month in series.readings.chunk_by(|one, next| month(one.day) == month(next.day)) {
        let Some(first) = of_month.first() else { continue };
        let runs = of_month.chunk_by(|one, next| one.value == next.value).filter_map(run);
        rows.push((first.day, runs.collect::<Vec<_>>().join(", "), Vec::new()));
    }
    for cut in &question.cuts {
        let day = basis.day(cut.at);
        let happened = format!("{}: {}", day.0.day(), cut.why.words());
        match rows.iter_mut().find(|row| month(row.0) == month(day)) {
            Some(row) => row.2.push(happened),
            None => rows.push((day, "–".to_owned(), vec![happened])),
        }
    }
    rows.sort_by_key(|row| row.0);
    let symbol = series.scale.symbol;
    let name = |day: Date| day.0.format("%B %Y").to_string();
    Table {
        caption: "The last reading of each day; 4–8: means every reading from the 4th to the 8th".to_owned(),
        columns: vec![
            Column::left("Month"),
            Column::left(&format!("Day: reading in {symbol}")),
            Column::left("Begins anew after"),
        ],
        rows: rows.into_iter().map(|(day, runs, anew)| vec![name(day), runs, anew.join(", ")]).collect(),
        total: false,
    }
}

/// Returns days in a row that read the same: `4: 20.1`, `4–8: 20.1`.
fn run(readings: &[Reading]) -> Option<String> {
    let (first, last) = (readings.first()?, readings.last()?);
    let days = match readings.len() {
        1 => first.day.0.day().to_string(),
        _ => format!("{}–{}", first.day.0.day(), last.day.0.day()),
    };
    Some(format!("{days}: {}", section::plain(first.value)))
}
