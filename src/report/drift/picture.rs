//! The picture of a dated drift: its readings, where the series began anew, the limit, and the line that reaches it.

use super::super::basis::Basis;
use super::super::document::{Block, Column, Table};
use super::{Cut, Dates, Question, Series, section};
use crate::record::Date;
use chrono::Datelike;

/// Returns the picture with its sentence and the readings behind it.
pub fn picture(basis: &Basis<'_>, series: &Series<'_>, question: &Question, _dates: Dates) -> Block {
    Block::Table(readings(basis, series, question))
}

/// Returns the readings week by week, with what happened in each.
fn readings(basis: &Basis<'_>, series: &Series<'_>, question: &Question) -> Table {
    let week = |date: Date| date.0.iso_week();
    let cut_day = |cut: &Cut| basis.day(cut.at);
    let mut rows = Vec::new();
    for of_week in series.readings.chunk_by(|one, next| week(one.day) == week(next.day)) {
        let Some(first) = of_week.first() else { continue };
        let numbers: Vec<String> = of_week.iter().map(|reading| section::plain(reading.value)).collect();
        rows.push((week(first.day), first.day, numbers.join(", "), Vec::new()));
    }
    for cut in &question.cuts {
        let day = cut_day(cut);
        let happened = format!("{} {day}", cut.why.words());
        match rows.iter_mut().find(|row| row.0 == week(day)) {
            Some(row) => row.3.push(happened),
            None => rows.push((week(day), day, "–".to_owned(), vec![happened])),
        }
    }
    rows.sort_by_key(|row| row.1);
    let symbol = series.scale.symbol;
    Table {
        caption: format!("{}, {}: one reading a day", basis.machine(series.machine), basis.item(&series.place())),
        columns: vec![
            Column::left("Week from"),
            Column::left(&format!("Readings in {symbol}")),
            Column::left("Begins anew after"),
        ],
        rows: rows.into_iter().map(|(_, day, numbers, anew)| vec![day.to_string(), numbers, anew.join("; ")]).collect(),
        total: false,
    }
}
