//! What a machine's gauges would show on a day: the slow changes that go on between checks.
//!
//! A spare cylinder loses a little at each check and now and then much; an oxygen cell ages; pipelines follow the
//! hospital's supply. Takes days and chance, gives numbers with the resolution of the gauge.

use super::chance::Chance;
use super::clock::days_later;
use super::machines::{quantity, scaled};
use crate::record::Quantity;
use chrono::NaiveDate;

/// The state of one machine behind its gauges.
#[derive(Clone, Debug)]
pub struct Gauges {
    /// The spare oxygen cylinder in tenths of a psi.
    cylinder: i64,
    cell_new: NaiveDate,
    /// What the oxygen cell loses in a year, in hundredths of a percent of oxygen.
    cell_loss: i64,
    /// How far its pipeline gauges stand from the supply, in psi.
    bias: i64,
}

/// The pressure in psi below which the gauge makes people change the cylinder.
const LOW: i64 = 1050;

/// The smallest pressure in psi that passes (FDA 1993 step 2); the reason why people change it before.
const LEAST: i64 = 1000;

impl Gauges {
    /// Returns the gauges of a machine on the first day.
    pub fn new(seed: u64, machine: &str, first: NaiveDate, drifts: bool) -> Gauges {
        let mut chance = Chance::of(seed, "gauges", machine, first);
        Gauges {
            cylinder: chance.between(12_000, 19_000),
            cell_new: days_later(first, -chance.between(20, 300)),
            cell_loss: if drifts { 160 } else { chance.between(25, 60) },
            bias: chance.between(-1, 1),
        }
    }

    /// Returns what the gauge of the spare oxygen cylinder shows, in steps of 50 psi.
    pub fn cylinder_psi(&self) -> i64 {
        (self.cylinder + 250) / 500 * 50
    }

    /// Opens and closes the spare cylinder once; with `spill` it had been left open before.
    pub fn use_cylinder(&mut self, chance: &mut Chance, spill: bool) {
        let lost = if spill { chance.between(3_000, 7_000) } else { chance.between(30, 100) };
        self.cylinder = (self.cylinder - lost).max(2_000);
    }

    /// Returns whether the cylinder should be changed, and whether it must be because it would fail.
    pub fn cylinder_is_low(&self) -> (bool, bool) {
        (self.cylinder_psi() <= LOW, self.cylinder_psi() < LEAST)
    }

    /// Puts a full cylinder on.
    pub fn change_cylinder(&mut self, chance: &mut Chance) {
        self.cylinder = chance.between(18_800, 19_400);
    }

    /// Puts a new oxygen cell in.
    pub fn change_cell(&mut self, day: NaiveDate) {
        self.cell_new = day;
    }

    /// Returns how old the oxygen cell is, in days.
    pub fn cell_age(&self, day: NaiveDate) -> i64 {
        (day - self.cell_new).num_days()
    }

    /// Returns the share of oxygen that the cell reads in room air, in steps of 0.1 %.
    pub fn room_air(&self, day: NaiveDate, chance: &mut Chance) -> Quantity {
        let hundredths = 2_100 - self.cell_loss * self.cell_age(day) / 365 + chance.between(-6, 6);
        // Even the worst cell of the demo is replaced by its service before it leaves its limit of 19 %.
        scaled(((hundredths + 5) / 10).max(191), 1, "%")
    }

    /// Returns the share of oxygen that the cell reads after a flush, in steps of 1 %.
    pub fn after_flush(&self, day: NaiveDate, chance: &mut Chance) -> Quantity {
        let hundredths = 9_750 - 2 * self.cell_loss * self.cell_age(day) / 365 + chance.between(-80, 80);
        quantity(((hundredths + 50) / 100).max(92), "%")
    }

    /// Returns what the pipeline gauge of a gas shows on a day, in steps of 1 psi.
    pub fn pipeline(&self, seed: u64, gas: &str, day: NaiveDate) -> Quantity {
        let usual = match gas {
            "oxygen" => 53,
            "air" => 54,
            _ => 52,
        };
        let supply = Chance::of(seed, "supply", gas, day).between(-1, 1);
        quantity(usual + supply + self.bias, "psi")
    }
}
