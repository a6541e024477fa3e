//! Section: planned services that fell due, and whether each was done in time.
//!
//! Anaesthesia machines are life support. Of their planned services all are asked for, not most (common practice; the
//! hospital's accreditor says how). So this is a count with every service named, apart from all other figures.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::proportion::count;
use crate::diagnostic::counted;
use crate::record::Date;
use crate::timeline::Life;

/// What came of a service that fell due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    InTime(Date),
    Late(Date),
    NotYet,
}

/// A service that fell due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    pub machine: String,
    pub due: Date,
    pub came: Came,
}

/// The services that fell due in the period, and the machines of which no service is on record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Services {
    pub due: Vec<Due>,
    pub unknown: Vec<String>,
}

impl Services {
    /// Returns how many were done on or before their day.
    pub fn in_time(&self) -> usize {
        self.due.iter().filter(|due| matches!(due.came, Came::InTime(_))).count()
    }
}

/// Counts the services that fell due in the period by the day the report looks back from.
pub fn counted_services(basis: &Basis<'_>) -> Services {
    let mut services = Services::default();
    for (id, _, life) in basis.machines() {
        if life.services.iter().all(|(_, _, service)| service.finished > basis.last_moment()) {
            services.unknown.push(id.to_owned());
        }
        services.due.extend(due_of(basis, life));
    }
    services.due.sort_by(|a, b| (a.due, &a.machine).cmp(&(b.due, &b.machine)));
    services
}

fn due_of(basis: &Basis<'_>, life: &Life) -> Vec<Due> {
    let today = basis.day(basis.last_moment());
    let done: Vec<(Date, Date)> = life
        .services
        .iter()
        .filter(|(_, _, service)| service.finished <= basis.last_moment())
        .map(|(_, _, service)| (basis.day(service.finished), service.next_due))
        .collect();
    let mut all = Vec::new();
    let mut take = |due: Date, came: Came| {
        if basis.period.contains(due) {
            all.push(Due { machine: life.machine.clone(), due, came });
        }
    };
    let mut awaited: Option<Date> = None;
    for (day, next_due) in done {
        match awaited {
            // Work that leaves the day as it was is not the service that was due on it.
            Some(due) if next_due <= due => {}
            Some(due) if day <= due => take(due, Came::InTime(day)),
            Some(due) => take(due, Came::Late(day)),
            None => {}
        }
        awaited = Some(next_due);
    }
    // Until its day is over a service can still be done in time.
    if let Some(due) = awaited.filter(|due| *due < today) {
        take(due, Came::NotYet);
    }
    all
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, services: &Services) -> (Section, Vec<Figure>) {
    let n = services.due.len();
    let in_time = services.in_time();
    let words = match n {
        0 => format!("No planned service fell due in {}.", basis.period.words()),
        _ => format!(
            "{in_time} of {} that fell due in {} were done in time.",
            counted(n, "planned service"),
            basis.period.words()
        ),
    };
    let mut figures = vec![Figure {
        n: Some(n as u64),
        state: if n == 0 { "not-recorded" } else { "value" }.to_owned(),
        ..count("services-in-time", "all", in_time, words.clone())
    }];
    if n == 0 {
        figures[0].value = None;
    }
    let mut blocks = vec![
        Block::Paragraph(words),
        Block::Paragraph(
            "Anaesthesia machines are life support: all planned services are asked for, so each that was missed is named. Confirm the class and the interval with the maker's instructions and the hospital's policy."
                .to_owned(),
        ),
    ];
    if n > 0 {
        let row = |due: &Due| {
            let came = match due.came {
                Came::InTime(day) => format!("done {day}"),
                Came::Late(day) => format!("late: done {day}"),
                Came::NotYet => format!("not done by {}", basis.day(basis.last_moment())),
            };
            vec![basis.machine(&due.machine), due.due.to_string(), came]
        };
        blocks.push(Block::Table(Table {
            caption: format!("Planned services due in {}", basis.period.words()),
            columns: ["Machine", "Due", "What came of it"].map(Column::left).to_vec(),
            rows: services.due.iter().map(row).collect(),
            total: false,
        }));
    }
    if !services.unknown.is_empty() {
        let names: Vec<String> = services.unknown.iter().map(|id| basis.machine(id)).collect();
        blocks.push(Block::Paragraph(format!(
            "Not recorded: no service record says when these were last serviced or when that is due: {}.",
            names.join(", ")
        )));
    }
    let section = Section { id: "services".to_owned(), title: "Planned services".to_owned(), blocks, new_page: false };
    (section, figures)
}
