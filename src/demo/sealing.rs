//! When the invented hospital seals its months, and who does it: whoever looks after the machines, on the second working
//! day of the month after, at the same time each month.

use super::clock::{at, hm, next_working_day};
use super::people;
use crate::record::Moment;
use crate::register::{Person, Role};
use crate::seal::Month;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A month that is to be sealed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedSeal {
    pub month: Month,
    pub sealed: Moment,
    /// An id of the file of people.
    pub by: String,
}

/// Returns the seals of all months that are over before the month of the last day.
pub fn seals(first: NaiveDate, last: NaiveDate, everyone: &BTreeMap<String, Person>) -> Vec<PlannedSeal> {
    let months = Month::of(first).through(Month::of(last).previous()).into_iter();
    let seal = |month: Month| {
        let over = month.next().first_day();
        let day = next_working_day(next_working_day(over.pred_opt()?));
        let by = people::there(everyone, Role::Biomed, day).first()?.to_string();
        Some(PlannedSeal { month, sealed: at(day, hm(9, 12)), by })
    };
    months.filter_map(seal).collect()
}
