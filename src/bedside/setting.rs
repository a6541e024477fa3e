//! What all records have in common when they are asked for: the machine, the people, the remarks.

use super::field::{Asked, Field, HowMany, Offer, Takes, Times};
use super::given::Given;
use crate::contents::Contents;
use crate::procedure::When;
use crate::record::{Common, Date, Moment};
use crate::register::{Person, Role};
use chrono_tz::Tz;

/// The machine a record is about, in its hospital.
#[derive(Clone, Copy)]
pub struct Setting<'a> {
    pub contents: &'a Contents,
    pub machine: &'a str,
}

impl Setting<'_> {
    /// Returns the site's time zone; without a site, that of nobody's clock, UTC.
    pub fn zone(&self) -> Tz {
        self.contents.site.as_ref().map_or(Tz::UTC, |site| site.time_zone)
    }

    /// Returns what a field for a moment takes.
    pub fn moment(&self, now: Moment, not_before: Option<(Moment, String)>) -> Takes {
        Takes::Moment(Times { zone: self.zone(), now, day: Date(now.date_in(self.zone())), not_before })
    }

    /// Returns a moment as a record made here writes it.
    pub fn written(&self, moment: Moment) -> String {
        moment.in_zone(self.zone()).to_string()
    }

    /// Returns the people who are here on a day, those with the roles named first, then by name. Auditors only read the
    /// records: where a role is named, that of work, they are left out, and otherwise they stand last.
    pub fn people(&self, day: Date, first: &[Role]) -> Vec<Offer> {
        let people = self.contents.people.iter().filter(|(_, person)| person.is_here_on(day));
        let may = people.filter(|(_, person)| first.is_empty() || person.role != Role::Auditor);
        let mut people: Vec<(&String, &Person)> = may.collect();
        people.sort_by_key(|(_, person)| {
            let place = first.iter().position(|role| *role == person.role).unwrap_or(first.len());
            (person.role == Role::Auditor, place, &person.name)
        });
        let offer =
            |(id, person): (&String, &Person)| Offer::new(id, format!("{}, {}", person.name, person.role.word()));
        people.into_iter().map(offer).collect()
    }

    /// Returns the field that asks who did the work.
    pub fn by(&self, question: &str, day: Date, first: &[Role]) -> Field {
        Field::new("by", "by", question, Takes::Offered(self.people(day, first))).how_many(HowMany::AtLeastOne)
    }

    /// Returns the fields that close every record: who writes it down, and remarks. They are not asked unless changed.
    pub fn closing(&self, now: Moment) -> Vec<Field> {
        let today = Date(now.date_in(self.zone()));
        let recorder =
            Field::new("recorded-by", "written by", "Who writes it down?", Takes::Offered(self.people(today, &[])))
                .how_many(HowMany::AtMostOne)
                .when_empty("the first one named");
        let remarks = Field::new("remarks", "remarks", "Anything else worth knowing?", Takes::Text)
            .help("Never a patient's name or number.")
            .how_many(HowMany::AtMostOne);
        vec![recorder.asked(Asked::Known), remarks.asked(Asked::Known)]
    }

    /// Returns what every record says.
    pub fn common(&self, given: &Given, recorded: Moment) -> Common {
        let by = given.all("by").to_vec();
        let recorded_by = given.one("recorded-by").filter(|id| Some(*id) != by.first().map(String::as_str));
        Common {
            machine: self.machine.to_owned(),
            recorded: recorded.in_zone(self.zone()),
            recorded_by: recorded_by.map(str::to_owned),
            by,
            corrects: None,
            remarks: given.one("remarks").map(str::to_owned),
        }
    }

    /// Returns the answers that made what every record says, without who wrote it down.
    pub fn told(common: &Common) -> Given {
        Given::default().with("by", common.by.clone()).with("remarks", common.remarks.clone())
    }

    /// Returns the id of the procedure that proves a machine after work on it: the complete one, or else the one before
    /// the first case.
    pub fn proving_procedure(&self, now: Moment) -> Option<&str> {
        let day = self.contents.day(now);
        let in_force = |when| self.contents.in_force_when(when, day);
        in_force(When::AfterService).or_else(|| in_force(When::FirstCase)).map(|procedure| procedure.procedure.as_str())
    }
}
