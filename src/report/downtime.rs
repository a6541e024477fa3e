//! Section: for how long machines were withheld from use, and the share of the period in which they were not.
//!
//! A census of the period and no sample, so it carries no interval. Times are instants: a day on which the clocks change
//! has 23 or 25 hours. Two faults at once withhold a machine once.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::period::Period;
use super::returns::hours;
use crate::record::Use;
use crate::record::moment::start_of_day;
use crate::register::Machine;
use crate::statistics::covered::covered_seconds;
use crate::timeline::Life;

/// Seconds of one machine, or of all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Downtime {
    /// From the first to the last moment in which the machine belonged to those in use.
    pub belonged: i64,
    pub withheld: i64,
    pub restricted: i64,
}

/// Returns the seconds of one machine in a span, up to the moment the report looks back from.
pub fn downtime(basis: &Basis<'_>, machine: &Machine, life: &Life, span: Period) -> Downtime {
    let zone = basis.site.time_zone;
    let second = |day: crate::record::Date| start_of_day(day.0, zone).0.timestamp();
    let from = second(span.first.max(machine.in_use.from));
    let retired = machine.in_use.until.and_then(|until| until.0.succ_opt()).map(crate::record::Date);
    let until = second(retired.map_or(span.after, |retired| retired.min(span.after))).min(basis.as_of.0.timestamp());
    let spans = |withheld: bool| -> Vec<(i64, Option<i64>)> {
        let cases = life.cases.iter().filter(|case| (case.usage == Use::Withheld) == withheld);
        cases
            .map(|case| {
                (case.found.0.timestamp(), case.released.as_ref().map(|released| released.released.0.timestamp()))
            })
            .collect()
    };
    Downtime {
        belonged: (until - from).max(0),
        withheld: covered_seconds(&spans(true), from, until),
        restricted: covered_seconds(&spans(false), from, until),
    }
}

/// Returns the seconds of all machines in a span.
pub fn all_downtime(basis: &Basis<'_>, span: Period) -> Downtime {
    let mut all = Downtime::default();
    for (id, life) in basis.lives {
        if let Some(machine) = basis.contents.machines.get(id) {
            all.add(downtime(basis, machine, life, span));
        }
    }
    all
}

impl Downtime {
    fn add(&mut self, other: Downtime) {
        self.belonged += other.belonged;
        self.withheld += other.withheld;
        self.restricted += other.restricted;
    }

    /// Returns the share of the time in which it was not withheld, in percent with two decimals, rounded down so that
    /// 100 % means never withheld.
    pub fn available(self) -> Option<String> {
        if self.belonged <= 0 {
            return None;
        }
        let hundredths = i128::from(self.belonged - self.withheld) * 10_000 / i128::from(self.belonged);
        Some(format!("{}.{:02}", hundredths / 100, hundredths % 100))
    }
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>) -> (Section, Vec<Figure>) {
    let mut rows = Vec::new();
    let mut figures = Vec::new();
    let span = basis.covered(basis.period).unwrap_or(basis.period);
    let all = all_downtime(basis, span);
    let machines = basis
        .machines()
        .map(|(id, machine, life)| (id.to_owned(), basis.machine(id), downtime(basis, machine, life, span)));
    for (id, name, one) in machines.chain([("all".to_owned(), "All machines".to_owned(), all)]) {
        let available = one.available();
        figures.push(Figure {
            figure: "available".to_owned(),
            of: id.clone(),
            k: None,
            n: None,
            value: available.clone(),
            unit: "%".to_owned(),
            lower: None,
            upper: None,
            state: if available.is_some() { "value" } else { "not-recorded" }.to_owned(),
            note: "share of the time in which the machine belonged to those in use and was not withheld; a census"
                .to_owned(),
        });
        figures.push(Figure {
            figure: "withheld".to_owned(),
            of: id,
            k: None,
            n: None,
            value: Some(hours(one.withheld)),
            unit: "h".to_owned(),
            lower: None,
            upper: None,
            state: "value".to_owned(),
            note: "hours withheld from use, day and night, overlapping faults counted once".to_owned(),
        });
        rows.push(vec![
            name,
            hours(one.belonged),
            hours(one.withheld),
            hours(one.restricted),
            available.map_or("–".to_owned(), |share| format!("{share} %")),
        ]);
    }
    let words = match (all.withheld, all.available()) {
        (_, None) => "No machine belonged to those in use.".to_owned(),
        (0, _) => "No machine was withheld from use in this period.".to_owned(),
        (withheld, Some(available)) => format!(
            "Machines were withheld from use for {} h in all; they were not withheld in {available} % of the time, day and night.",
            hours(withheld)
        ),
    };
    let blocks = vec![
        Block::Paragraph(words),
        Block::Table(Table {
            caption: format!("Hours withheld and restricted, {}", basis.period.words()),
            columns: vec![
                Column::left("Machine"),
                Column::right("Hours in all"),
                Column::right("Withheld"),
                Column::right("Restricted"),
                Column::right("Not withheld"),
            ],
            rows,
            total: true,
        }),
    ];
    let section =
        Section { id: "downtime".to_owned(), title: "Time withheld from use".to_owned(), blocks, new_page: false };
    (section, figures)
}
