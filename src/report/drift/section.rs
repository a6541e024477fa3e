//! Section: readings that drift toward a limit, in words, a table, pictures and figures.

use super::super::basis::Basis;
use super::super::document::{Block, Column, Figure, Section, Table};
use super::super::proportion::count;
use super::{
    Dates, Drifts, FALSE_DATES, FEWEST_DAYS, FEWEST_READINGS, Finding, Question, Series, picture,
    series::DAYS_LOOKED_AT,
};
use crate::statistics::rounding::outward;
use crate::statistics::slope::Slope;

/// The days for which a slope is printed.
const SLOPE_DAYS: f64 = 30.0;

/// The most pictures; the table has every date.
const PICTURES: usize = 4;

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, drifts: &Drifts<'_>) -> (Section, Vec<Figure>) {
    let mut dated: Vec<(&Series<'_>, &Question, Dates)> =
        drifts.questions().filter_map(|(series, question)| Some((series, question, question.dates()?))).collect();
    dated.sort_by_key(|(series, _, dates)| (dates.earliest, series.machine, series.place()));
    let mut blocks = Vec::new();
    if drifts.series.is_empty() {
        blocks.push(Block::Paragraph(
            "No machine in use has readings with a limit, so no drift could be looked for.".to_owned(),
        ));
    } else {
        blocks.push(Block::Paragraph(looked_at(drifts)));
        blocks.push(Block::Paragraph(chance(drifts)));
    }
    let pictures = dated.iter().take(PICTURES);
    blocks.extend(pictures.map(|(series, question, dates)| picture::picture(basis, series, question, *dates)));
    blocks.extend(table(basis, drifts));
    let figures = figures(basis, drifts, &dated);
    let title = "Readings that drift toward a limit".to_owned();
    (Section { id: "drift".to_owned(), title, blocks, new_page: false }, figures)
}

/// Returns a date in a line, without a full stop.
pub fn sentence(basis: &Basis<'_>, series: &Series<'_>, question: &Question, dates: Dates) -> String {
    let reading = newest(series);
    let of = format!("{}: {} read {reading}", basis.machine(series.machine), basis.item(&series.place()));
    let limit = &question.bound.words;
    if dates.reached {
        return format!("{of}; the line through its readings has reached the limit, {limit}");
    }
    format!(
        "{of} and drifts toward its limit, {limit}: not before {}, about {} if it goes on in a straight line",
        dates.earliest, dates.estimate
    )
}

/// Returns the newest reading with its day: `19.5 % on 2026-10-30`.
pub fn newest(series: &Series<'_>) -> String {
    let reading = series.readings.last();
    reading.map_or("nothing".to_owned(), |reading| format!("{} on {}", amount(series, reading.value), reading.day))
}

/// Returns a number of a series with its unit.
pub fn amount(series: &Series<'_>, value: f64) -> String {
    format!("{} {}", plain(value), series.scale.symbol)
}

/// Returns a number with no more decimals than it has.
pub fn plain(value: f64) -> String {
    let text = format!("{value:.9}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    minus(if text == "-0" { "0" } else { text })
}

fn minus(number: &str) -> String {
    number.replace('-', "−")
}

/// A slope in a month as printed: itself and its limits, rounded outward.
pub struct Printed {
    slope: String,
    lower: String,
    upper: String,
}

impl Printed {
    /// Returns a slope with two digits that count.
    fn of(slope: &Slope) -> Printed {
        let month = slope.slope * SLOPE_DAYS;
        // By how many tens it must be multiplied to have two digits before the point; six at most.
        let powers = [1.0, 10.0, 100.0, 1_000.0, 10_000.0, 100_000.0];
        let decimals = (0_u32..).zip(powers).find(|(_, power)| month.abs() * power >= 10.0).map_or(6, |(n, _)| n);
        let (lower, upper) = outward(slope.lower * SLOPE_DAYS, slope.upper * SLOPE_DAYS, decimals);
        Printed { slope: format!("{month:.*}", decimals as usize), lower, upper }
    }

    fn words(&self, symbol: &str) -> String {
        minus(&format!("{} {symbol} ({} to {})", self.slope, self.lower, self.upper))
    }
}

fn number_with(drifts: &Drifts<'_>, of: impl Fn(&Finding) -> bool) -> usize {
    drifts.questions().filter(|(_, question)| of(&question.finding)).count()
}

fn looked_at(drifts: &Drifts<'_>) -> String {
    let all = drifts.questions().count();
    let dated = number_with(drifts, |finding| matches!(finding, Finding::Dated(_)));
    let few = number_with(drifts, |finding| *finding == Finding::TooFew);
    let beyond = number_with(drifts, |finding| *finding == Finding::Beyond);
    let weeks = DAYS_LOOKED_AT / 7;
    let series = if all == 1 { "1 limit of readings was" } else { &format!("{all} limits of readings were") };
    let mut text = format!(
        "{series} looked at over the last {weeks} weeks (a reading can have a limit on either side): {dated} with a date, {} without a trend that can be dated, {few} with too little data (it takes {FEWEST_READINGS} readings over {FEWEST_DAYS} days).",
        all - dated - few - beyond
    );
    if beyond > 0 {
        text.push_str(&format!(" {beyond} read beyond the limit already, which is a failed item and no drift."));
    }
    match drifts.begun_anew() {
        0 => {}
        n => text.push_str(&format!(
            " A series begins anew after a service, a repair, a release, or a step to the safe side that no record explains, and only readings since then count; that happened {}.",
            if n == 1 { "once".to_owned() } else { format!("{n} times") }
        )),
    }
    text
}

fn chance(drifts: &Drifts<'_>) -> String {
    match drifts.tested() {
        0 => "None had enough readings to be tested, so no false date is to be expected.".to_owned(),
        tested => format!(
            "{tested} had enough readings to be tested. A trend is dated only when chance alone would show one as clear at fewer than 1 of {} limits, so that at most {FALSE_DATES} false dates are to be expected in this report.",
            (tested as f64 / FALSE_DATES).round()
        ),
    }
}

/// Returns the series whose slope leads toward their limit, dated or not.
fn table(basis: &Basis<'_>, drifts: &Drifts<'_>) -> Option<Block> {
    let row = |(series, question): (&Series<'_>, &Question)| {
        let slope = question.slope.as_ref()?;
        let (earliest, estimate) = match question.finding {
            Finding::Beyond | Finding::TooFew | Finding::NoTrend => return None,
            Finding::MayBeChance => ("–".to_owned(), "may be chance".to_owned()),
            Finding::TooFar => ("–".to_owned(), "too far ahead".to_owned()),
            Finding::Dated(dates) if dates.reached => ("–".to_owned(), "reached".to_owned()),
            Finding::Dated(dates) => (dates.earliest.to_string(), dates.estimate.to_string()),
        };
        Some(vec![
            basis.machine(series.machine),
            basis.item(&series.place()),
            format!("{}; {}", question.bound.words, question.bound.source),
            newest(series),
            used(series, question),
            Printed::of(slope).words(series.scale.symbol),
            earliest,
            estimate,
        ])
    };
    let rows: Vec<Vec<String>> = drifts.questions().filter_map(row).collect();
    let mut columns = ["Machine", "Item", "Limit and source", "Newest reading"].map(Column::left).to_vec();
    columns.extend(["Readings used", "Change in 30 days", "Not before", "About"].map(Column::left));
    (!rows.is_empty()).then(|| {
        Block::Table(Table {
            caption: "Readings whose trend leads toward a limit (95 % interval of the slope without 0)".to_owned(),
            columns,
            rows,
            total: false,
        })
    })
}

/// Returns the slope and what it rests on, in a sentence.
pub fn slope_words(series: &Series<'_>, question: &Question) -> String {
    let Some(slope) = &question.slope else { return String::new() };
    let n = question.counted(series).len();
    format!(
        "The line through the {n} readings of {} days changes by {} in 30 days (95 % interval in brackets).",
        question.days(series),
        Printed::of(slope).words(series.scale.symbol)
    )
}

/// Returns how many readings there are since a series began anew: `64 over 131 days`.
pub fn used(series: &Series<'_>, question: &Question) -> String {
    format!("{} over {} d", question.counted(series).len(), question.days(series))
}

fn figures(basis: &Basis<'_>, drifts: &Drifts<'_>, dated: &[(&Series<'_>, &Question, Dates)]) -> Vec<Figure> {
    let few = number_with(drifts, |finding| *finding == Finding::TooFew);
    let mut figures = vec![
        count("drift-series", "all", drifts.questions().count(), "series of readings set against a bound of a limit"),
        count("drift-series-tested", "all", drifts.tested(), "of these, with enough readings to look for a trend"),
        count("drift-series-too-few", "all", few, "of these, with too few readings since they began anew"),
        count("drifts-dated", "all", dated.len(), "trends toward a limit that could be given a date"),
    ];
    figures.push(Figure {
        k: None,
        value: Some(drifts.expected_false().to_string()),
        ..count("drift-false-dates-expected", "all", 0, "at most, if nothing drifts and days are independent")
    });
    for (series, question, dates) in dated {
        let Some(slope) = &question.slope else { continue };
        let of = format!("{} {}", series.machine, series.place());
        let printed = Printed::of(slope);
        let note = sentence(basis, series, question, *dates);
        let n = question.counted(series).len();
        figures.push(Figure {
            k: None,
            n: Some(n as u64),
            value: Some(printed.slope),
            unit: format!("{} in 30 d", series.scale.symbol),
            lower: Some(printed.lower),
            upper: Some(printed.upper),
            ..count("drift-slope", &of, 0, note.clone())
        });
        figures.push(Figure {
            k: None,
            n: Some(n as u64),
            value: Some(dates.estimate.to_string()),
            unit: "date".to_owned(),
            lower: Some(dates.earliest.to_string()),
            upper: dates.latest.map(|latest| latest.to_string()),
            ..count("drift-reaches-limit", &of, 0, note)
        });
    }
    figures
}
