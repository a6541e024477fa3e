//! Section: the machines against each other, over twelve months.
//!
//! Each machine's faults are compared with those of all others together, so that a bad one does not hide in the average
//! it has moved. Few faults cannot tell machines apart, and then the report says so and says what it would have missed.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Picture, Section, Table};
use super::per_thousand;
use super::picture::{Funnel, FunnelRow, Range};
use super::proportion::CONFIDENCE;
use super::signals::{Test, chance, times_in_hundred};
use super::tally::{Rated, Tally};
use crate::statistics::comparison::{holm, power_of_ratio, rates};
use crate::statistics::funnel::{self, Side};
use crate::statistics::proportion::Interval;
use crate::statistics::rounding::{p_value, rate_outward, ratio_outward};
use crate::statistics::shrinkage::{Shrunken, shrunken};

/// The chance of any false alarm among all machines.
pub const LEVEL: f64 = 0.05;

/// The share of machines like the others that stays within the outer limits of the funnel.
const FUNNEL: f64 = 0.998;

/// A machine beside the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    pub machine: String,
    pub own: Rated,
    pub others: Rated,
    /// The rate as a multiple of the others', with its limits; nothing where the others have no fault.
    pub ratio: Option<f64>,
    pub lower: f64,
    pub upper: Option<f64>,
    /// The chance of such a difference, adjusted by Holm for the number of machines.
    pub p: f64,
    /// The rate drawn toward that of all machines, per machine-day, and its limits.
    pub drawn: Option<(f64, Option<Interval>)>,
    /// The counts of faults, fewest and most, within the 95 % and 99.8 % limits of the funnel around the others' rate.
    pub inner: Option<(u64, u64)>,
    pub outer: Option<(u64, u64)>,
    pub side: Side,
}

/// All machines beside each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    pub machines: Vec<Beside>,
    pub all: Rated,
    /// Whether the estimate found no difference between machines at all, so that every drawn rate is the common one.
    pub pooled: bool,
    /// How often a machine twice as bad as the others would be missed: least and most often, by its machine-days.
    pub missed: Option<(f64, f64)>,
    pub tests: Vec<Test>,
}

/// Compares the machines over the twelve months to the end of the period; nothing when fewer than two can be.
pub fn compared(basis: &Basis<'_>, tally: &Tally<'_>) -> Option<Comparison> {
    let span = tally.covered(basis.period.twelve_months())?;
    let mut known: Vec<(String, Rated)> = basis
        .lives
        .keys()
        .filter_map(|id| Some((id.clone(), tally.rated(span, Some(id))?)))
        .filter(|(_, rated)| rated.machine_days > 0)
        .collect();
    known.sort_by(|(a, _), (b, _)| a.cmp(b));
    if known.len() < 2 {
        return None;
    }
    let all = known.iter().fold(Rated::default(), |sum, (_, one)| Rated {
        faults: sum.faults + one.faults,
        machine_days: sum.machine_days + one.machine_days,
    });
    let units: Vec<(u64, f64)> = known.iter().map(|(_, one)| (one.faults, one.machine_days as f64)).collect();
    let drawn = shrunken(&units, CONFIDENCE);
    let mut machines: Vec<Beside> =
        known.iter().enumerate().map(|(at, (id, own))| beside(id, *own, all, drawn_rate(drawn.as_ref(), at))).collect();
    let adjusted = holm(&machines.iter().map(|machine| machine.p).collect::<Vec<_>>());
    machines.iter_mut().zip(adjusted).for_each(|(machine, p)| machine.p = p);
    let total = all.machine_days as f64;
    let missed_with = |days: u64| {
        let (own, rate) = (days as f64, all.faults as f64 / total);
        let found = power_of_ratio(rate, own, total - own, 2.0, LEVEL / known.len() as f64)?;
        Some(1.0 - found)
    };
    let days = || known.iter().map(|(_, one)| one.machine_days).filter(|days| *days < all.machine_days);
    let ends = [days().max(), days().min()].map(|days| days.filter(|_| all.faults > 0).and_then(missed_with));
    let missed = match ends {
        [Some(one), Some(other)] => Some((one.min(other), one.max(other))),
        _ => None,
    };
    let tests = vec![Test {
        what: format!("{} machines against the others", known.len()),
        runs: known.len(),
        false_alarm: LEVEL,
    }];
    let pooled = matches!(drawn, Some(Shrunken::Pooled { .. }));
    Some(Comparison { machines, all, pooled, missed, tests })
}

fn drawn_rate(drawn: Option<&Shrunken>, at: usize) -> Option<(f64, Option<Interval>)> {
    match drawn? {
        Shrunken::Pooled { rate } => Some((*rate, None)),
        Shrunken::Prior { units, .. } => units.get(at).map(|unit| (unit.mean, Some(unit.interval))),
    }
}

fn beside(id: &str, own: Rated, all: Rated, drawn: Option<(f64, Option<Interval>)>) -> Beside {
    let others = Rated { faults: all.faults - own.faults, machine_days: all.machine_days - own.machine_days };
    let (own_days, other_days) = (own.machine_days as f64, others.machine_days as f64);
    let comparison = rates(own.faults, own_days, others.faults, other_days, CONFIDENCE);
    let target = (other_days > 0.0).then(|| others.faults as f64 / other_days).filter(|target| *target > 0.0);
    Beside {
        machine: id.to_owned(),
        own,
        others,
        ratio: comparison.as_ref().and_then(|one| one.ratio),
        lower: comparison.as_ref().map_or(0.0, |one| one.lower),
        upper: comparison.as_ref().and_then(|one| one.upper),
        p: comparison.map_or(1.0, |one| one.p),
        drawn,
        inner: target.and_then(|target| funnel::counts_within(target, own_days, CONFIDENCE)),
        outer: target.and_then(|target| funnel::counts_within(target, own_days, FUNNEL)),
        side: target.and_then(|target| funnel::outside(own.faults, target, own_days, FUNNEL)).unwrap_or(Side::Within),
    }
}

impl Beside {
    /// Returns counts of faults as rates per 1000 machine-days, for the picture. A machine lies within its bar just when
    /// its count is within the limits.
    fn range(&self, counts: Option<(u64, u64)>) -> Option<Range> {
        let rate = |count: u64| count as f64 * 1000.0 / self.own.machine_days as f64;
        counts.map(|(low, high)| Range { low: rate(low), high: rate(high) })
    }

    /// Returns whether it differs from the others more than chance explains, all machines considered.
    pub fn signals(&self) -> bool {
        self.p < LEVEL
    }

    /// Returns the multiple of the others' rate with its limits for a table.
    fn times_cell(&self) -> String {
        let (lower, upper) = ratio_outward(self.lower, self.upper);
        let ratio = self.ratio.map_or("–".to_owned(), |ratio| format!("{ratio:.1}"));
        format!("{ratio} ({lower} to {upper})")
    }

    /// Returns how many times as many faults it has as the others, with limits: `3.1 times (95 % interval 1.6 to 5.9)`.
    pub fn times(&self) -> String {
        let (lower, upper) = ratio_outward(self.lower, self.upper);
        let limits = match self.upper {
            Some(_) => format!("95 % interval {lower} to {upper}"),
            None => format!("95 % interval from {lower} up, without a bound"),
        };
        match self.ratio {
            Some(ratio) => format!("{ratio:.1} times the others' rate, {limits}"),
            None => format!("no multiple of the others' rate, which is 0; {limits}"),
        }
    }
}

/// Returns what the comparison comes to, one sentence a machine that stands out, else one for all.
pub fn sentences(basis: &Basis<'_>, comparison: &Comparison) -> Vec<String> {
    let mut list: Vec<String> = comparison
        .machines
        .iter()
        .filter(|machine| machine.signals())
        .map(|machine| {
            format!(
                "{} had {} faults than the others: {} in {} machine-days against {} in {} ({}; {}, adjusted for {} machines).",
                basis.machine(&machine.machine),
                if machine.ratio.is_some_and(|ratio| ratio < 1.0) { "fewer" } else { "more" },
                machine.own.faults,
                machine.own.machine_days,
                machine.others.faults,
                machine.others.machine_days,
                machine.times(),
                chance(machine.p),
                comparison.machines.len(),
            )
        })
        .collect();
    if list.is_empty() {
        list.push("Could not tell the machines apart by their number of faults.".to_owned());
    }
    if let Some((least, most)) = comparison.missed {
        let (least, most) = (times_in_hundred(least), times_in_hundred(most));
        let often =
            if least == most { least } else { format!("between {least} and {most}, depending on its machine-days") };
        list.push(format!("A machine with twice the faults of the others would be missed by this comparison {often}."));
    }
    for machine in comparison.machines.iter().filter(|machine| machine.side != Side::Within && !machine.signals()) {
        list.push(format!(
            "{} lies outside the wide bar. The bar takes the others' rate as known and looks at one machine; the test does neither, and decides.",
            basis.machine(&machine.machine)
        ));
    }
    if comparison.pooled {
        list.push("The differences between machines are no larger than chance makes them: the best estimate for every machine is the rate of all together.".to_owned());
    }
    list
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, comparison: Option<&Comparison>) -> (Section, Vec<Figure>) {
    let title = "Machines beside each other, twelve months".to_owned();
    let Some(comparison) = comparison else {
        let text = "Too little data: two machines with machine-days on record are needed, and a calendar that says how many there were.";
        let blocks = vec![Block::Paragraph(text.to_owned())];
        return (Section { id: "machines".to_owned(), title, blocks, new_page: false }, Vec::new());
    };
    let figures = comparison
        .machines
        .iter()
        .map(|machine| {
            per_thousand::figure(Some(machine.own), "faults-per-1000-machine-days-by-machine", &machine.machine)
        })
        .collect();
    let mut sentences = sentences(basis, comparison);
    let reads = sentences.remove(0);
    let mut blocks = vec![Block::Picture(Picture {
        id: "machines".to_owned(),
        caption: "Faults of each machine beside those of the others".to_owned(),
        reads,
        drawing: funnel_of(basis, comparison).draw(),
        table: table(basis, comparison),
    })];
    blocks.extend(sentences.into_iter().map(Block::Paragraph));
    (Section { id: "machines".to_owned(), title, blocks, new_page: false }, figures)
}

fn funnel_of(basis: &Basis<'_>, comparison: &Comparison) -> Funnel {
    let row = |machine: &Beside| FunnelRow {
        name: basis.machine(&machine.machine),
        count: format!("{} in {} days", machine.own.faults, machine.own.machine_days),
        estimate: machine.own.estimate(),
        target: (machine.others.machine_days > 0)
            .then(|| machine.others.faults as f64 * 1000.0 / machine.others.machine_days as f64),
        narrow: machine.range(machine.inner),
        wide: machine.range(machine.outer),
        outside: machine.signals(),
    };
    Funnel {
        axis: "faults per 1000 machine-days".to_owned(),
        dot: "rate with its 95 % interval".to_owned(),
        narrow: "95 of 100 machines like the others".to_owned(),
        wide: "998 of 1000".to_owned(),
        target: "rate of the others".to_owned(),
        outside: "differs, by the test".to_owned(),
        empty: "too few machine-days".to_owned(),
        machines: comparison.machines.iter().map(row).collect(),
    }
}

/// Returns the numbers behind the picture.
fn table(basis: &Basis<'_>, comparison: &Comparison) -> Table {
    let row = |machine: &Beside| {
        let mut cells = machine.own.cells();
        cells.insert(0, basis.machine(&machine.machine));
        cells.push(machine.times_cell());
        cells.push(p_value(machine.p));
        cells.push(match machine.drawn {
            None => "–".to_owned(),
            Some((mean, None)) => format!("{:.1}", mean * 1000.0),
            Some((mean, Some(interval))) => {
                let (lower, upper) = rate_outward(interval, 1000.0, 1);
                format!("{:.1} ({lower} to {upper})", mean * 1000.0)
            }
        });
        cells
    };
    let mut columns = vec![Column::left("Machine")];
    columns.extend(
        ["Faults", "Machine-days", "per 1000", "95 % from", "to", "Times the others", "p, adjusted", "Drawn to all"]
            .map(Column::right),
    );
    Table {
        caption: "Faults per 1000 machine-days by machine".to_owned(),
        columns,
        rows: comparison.machines.iter().map(row).collect(),
        total: false,
    }
}
