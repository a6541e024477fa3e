//! What a report is counted from: the contents, the lives, the period and the moment it looks back from.

use super::on_request::Also;
use super::period::Period;
use crate::contents::Contents;
use crate::record::moment::{spoken, start_of_day};
use crate::record::{Date, Moment};
use crate::register::{Machine, Site};
use crate::seal::SealInHistory;
use crate::timeline::{Case, CheckDone, Life, Lives};

/// What is said of files that nobody committed.
pub const IN_NO_HISTORY: &str = "Draft: these files are in no git history, so nothing shows whether they were changed.";

/// The commit a report is built from.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltFrom {
    pub commit: String,
    pub time: Moment,
}

/// A file that the report does not count, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    pub path: String,
    pub reasons: Vec<String>,
}

/// Everything the sections count from.
pub struct Basis<'a> {
    pub site: &'a Site,
    pub contents: &'a Contents,
    pub lives: &'a Lives,
    pub period: Period,
    /// The end of the period when it was over, else the moment at which the records end.
    pub as_of: Moment,
    pub built_from: Option<BuiltFrom>,
    pub left_out: &'a [LeftOut],
    /// The seals of the period's months, in order of the months.
    pub seals: &'a [SealInHistory],
    /// The figures that were asked for beyond those of every report.
    pub also: &'a [Also],
}

impl<'a> Basis<'a> {
    /// Returns the moment a report of a period looks back from: its end when it is over by `now`, else the moment at
    /// which the records end.
    pub fn as_of(site: &Site, period: Period, now: Moment, records_end: Moment) -> Moment {
        let end = start_of_day(period.after.0, site.time_zone);
        if end <= now { end } else { records_end.min(end).in_zone(site.time_zone) }
    }

    /// Returns the day of the logbook's first record, from which machines are counted, or from the day on which each is in
    /// use where that is later.
    pub fn since(&self) -> Option<Date> {
        self.contents.counting().map(|filed| filed.record.when()).min().map(|first| self.day(first))
    }

    /// Returns the part of a span that the logbook covers; nothing when it lies before the first record.
    pub fn covered(&self, span: Period) -> Option<Period> {
        span.covered_since(self.since()?)
    }

    /// Returns whether the report looks back from the end of its period.
    pub fn period_is_over(&self) -> bool {
        start_of_day(self.period.after.0, self.site.time_zone) <= self.as_of
    }

    /// Returns the last moment that counts: the last second of a period that is over, since what happens at midnight
    /// belongs to the next one.
    pub fn last_moment(&self) -> Moment {
        if self.period_is_over() { Moment(self.as_of.0 - chrono::Duration::seconds(1)) } else { self.as_of }
    }

    /// Returns the moment the report looks back from as a part of a sentence.
    pub fn at_the_end(&self) -> String {
        if self.period_is_over() {
            "at the end of the period".to_owned()
        } else {
            format!("at {}", self.clock(self.as_of))
        }
    }

    /// Returns the civil day of a moment at the site.
    pub fn day(&self, moment: Moment) -> Date {
        Date(moment.date_in(self.site.time_zone))
    }

    /// Returns a moment as the clock on the site's wall showed it, to the minute.
    pub fn clock(&self, moment: Moment) -> String {
        moment.in_zone(self.site.time_zone).short()
    }

    /// Returns whether a moment lies in the period and not after the moment the report looks back from.
    pub fn in_period(&self, moment: Moment) -> bool {
        moment <= self.last_moment() && self.period.contains(self.day(moment))
    }

    /// Returns the machines that were in use on some day of the period, each with its life.
    pub fn machines(&self) -> impl Iterator<Item = (&'a str, &'a Machine, &'a Life)> {
        let (contents, lives, period) = (self.contents, self.lives, self.period);
        contents.machines.iter().filter_map(move |(id, machine)| {
            let in_use =
                machine.in_use.from <= period.last() && machine.in_use.until.is_none_or(|until| period.first <= until);
            let life = lives.get(id)?;
            in_use.then_some((id.as_str(), machine, life))
        })
    }

    /// Returns the checks of a machine that were finished in the period.
    pub fn checks(&self, life: &'a Life) -> impl Iterator<Item = &'a CheckDone> {
        let period = self.period;
        life.checks_until(self.last_moment()).iter().filter(move |check| period.contains(check.day))
    }

    /// Returns every case of every machine that was found before the moment the report looks back from.
    pub fn cases(&self) -> impl Iterator<Item = &'a Case> {
        let last = self.last_moment();
        self.lives.values().flat_map(|life| &life.cases).filter(move |case| case.found <= last)
    }

    /// Returns a machine in words: its name, with its id where one does not tell the other.
    pub fn machine(&self, id: &str) -> String {
        match self.contents.machines.get(id) {
            Some(machine) if machine.name.to_lowercase().replace(' ', "-") == id => machine.name.clone(),
            Some(machine) => format!("{} ({id})", machine.name),
            _ => id.to_owned(),
        }
    }

    /// Returns people by name; an id nobody knows stays as it is.
    pub fn people(&self, ids: &[String]) -> String {
        let names: Vec<&str> = ids.iter().map(|id| self.contents.person_name(id)).collect();
        names.join(", ")
    }

    /// Returns an item by its title, with its vaporizer or gas: `Vaporizer filled, sevoflurane`.
    pub fn item(&self, place: &str) -> String {
        let (item, each) = place.split_once('/').map_or((place, None), |(item, each)| (item, Some(each)));
        let title = self
            .contents
            .procedures
            .values()
            .filter(|p| p.in_force_from <= self.period.last())
            .filter_map(|p| p.item(item))
            .next_back()
            .map_or(item, |i| i.title.as_str());
        match each {
            Some(each) => format!("{title}, {each}"),
            None => title.to_owned(),
        }
    }

    /// Returns how long a case has been open, in words.
    pub fn open_for(&self, case: &Case) -> String {
        spoken(self.as_of.seconds_since(case.found).max(0))
    }
}
