//! Section: figures that are only made when they are asked for, because they are easily taken for more than they say.
//!
//! Wilson's limits of the share of failed checks beside the exact ones; the mean number of machine-days between faults,
//! when there are enough of them and no trend is seen; the power law of growth. The last two look at the twelve months to
//! the end of the period, each machine on the clock of its own machine-days.

use super::basis::Basis;
use super::document::{Block, Column, Figure, Section, Table};
use super::failures::Failures;
use super::period::Period;
use super::proportion::CONFIDENCE;
use super::signals::chance;
use super::tally::Tally;
use crate::diagnostic::counted;
use crate::statistics::growth::growth;
use crate::statistics::proportion::wilson;
use crate::statistics::rounding::{percent_outward, rate_outward};
use crate::statistics::trend::{FEWEST_FAILURES, Trend, Watched, mean_time_between, trend};

/// A figure that is made on request.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Also {
    /// Wilson's limits of the share of failed checks
    Wilson,
    /// Machine-days between faults, when no trend is seen
    MeanTimeBetweenFaults,
    /// Whether faults become rarer or more frequent, as a power of time
    Growth,
}

/// The level of each test of a trend.
const LEVEL: f64 = 0.05;

/// Returns the section and its figures; nothing when nothing was asked for.
pub fn section(basis: &Basis<'_>, tally: &Tally<'_>, failures: &Failures) -> Option<(Section, Vec<Figure>)> {
    if basis.also.is_empty() {
        return None;
    }
    let asked = |also| basis.also.contains(&also);
    let mut blocks = Vec::new();
    let mut figures = Vec::new();
    if asked(Also::Wilson) {
        let (table, more) = wilson_limits(basis, failures);
        blocks.push(table);
        figures.extend(more);
    }
    let (mean, growth) = (asked(Also::MeanTimeBetweenFaults), asked(Also::Growth));
    // A clock counts the machine-days before every fault, so none is made unless it is read.
    if mean || growth {
        let clocks = Clocks::of(basis, tally);
        let mean = mean.then(|| ("Machine-days between faults", clocks.mean_time()));
        let growth = growth.then(|| ("Rarer or more frequent", clocks.growth()));
        for (heading, figure) in mean.into_iter().chain(growth) {
            blocks.push(Block::Heading(heading.to_owned()));
            blocks.push(Block::Paragraph(figure.note.clone()));
            figures.push(figure);
        }
    }
    let section = Section { id: "on-request".to_owned(), title: "On request".to_owned(), blocks, new_page: false };
    Some((section, figures))
}

/// Returns both kinds of limits of the failed checks, of all and of each machine.
fn wilson_limits(basis: &Basis<'_>, failures: &Failures) -> (Block, Vec<Figure>) {
    let mut rows = Vec::new();
    let mut figures = Vec::new();
    let machines = failures.by_machine.iter().map(|(id, share)| (id.as_str(), basis.machine(id), *share));
    for (of, name, share) in machines.chain([("all", "All machines".to_owned(), failures.all)]) {
        let limits = wilson(share.k, share.n, CONFIDENCE).filter(|_| share.n > 0);
        let (lower, upper) = limits.map(|limits| percent_outward(limits, 1)).unzip();
        let shown = |limit: &Option<String>| limit.as_ref().map_or("–".to_owned(), |limit| format!("{limit} %"));
        let mut row = share.cells();
        row.insert(0, name);
        row.extend([shown(&lower), shown(&upper)]);
        rows.push(row);
        figures.push(Figure {
            lower,
            upper,
            note: "checks before use that failed, with the limits of Wilson".to_owned(),
            ..share.figure("failed-checks-wilson", of, "check")
        });
    }
    let mut columns = vec![Column::left("Machine")];
    columns.extend(["Failed", "of", "Share", "95 % from", "to", "Wilson from", "to"].map(Column::right));
    let caption = format!("Checks before use that failed in {}, with two kinds of limits", basis.period.words());
    (Block::Table(Table { caption, columns, rows, total: true }), figures)
}

/// Every machine's faults on the clock of its own machine-days.
struct Clocks {
    /// Whether a calendar says how many machine-days there were.
    known: bool,
    watched: Vec<Watched>,
}

impl Clocks {
    fn of(basis: &Basis<'_>, tally: &Tally<'_>) -> Clocks {
        let span = basis.period.twelve_months();
        let mut clocks = Clocks { known: false, watched: Vec::new() };
        for id in basis.lives.keys() {
            let Some(whole) = tally.rated(span, Some(id)) else { continue };
            clocks.known = true;
            if whole.machine_days == 0 {
                continue;
            }
            let failures = tally.faults_of(span, Some(id)).map(|case| {
                let before = Period { first: span.first, after: basis.day(case.found) };
                let days = tally.rated(before, Some(id)).map_or(0, |before| before.machine_days);
                // The middle of the machine-day that was going on, or of the next one; of the last one when none follows.
                days.min(whole.machine_days - 1) as f64 + 0.5
            });
            clocks.watched.push(Watched { until: whole.machine_days as f64, failures: failures.collect() });
        }
        clocks
    }

    fn faults(&self) -> u64 {
        self.watched.iter().map(|one| one.failures.len() as u64).sum()
    }

    fn machine_days(&self) -> f64 {
        self.watched.iter().map(|one| one.until).sum()
    }

    fn counts(&self) -> String {
        format!(
            "{} in {} over the twelve months",
            counted(self.faults() as usize, "fault"),
            counted(self.machine_days() as usize, "machine-day")
        )
    }

    fn figure(&self, name: &str, unit: &str) -> Figure {
        Figure {
            figure: name.to_owned(),
            of: "all".to_owned(),
            k: self.known.then(|| self.faults()),
            n: self.known.then(|| self.machine_days() as u64),
            value: None,
            unit: unit.to_owned(),
            lower: None,
            upper: None,
            state: if self.known { "too-little-data" } else { "not-recorded" }.to_owned(),
            note: String::new(),
        }
    }

    /// Returns why there is no figure, when there cannot be one.
    fn too_little(&self) -> Option<String> {
        if !self.known {
            return Some("Not recorded: no calendar says on how many machine-days a check was expected.".to_owned());
        }
        (self.faults() < FEWEST_FAILURES)
            .then(|| format!("Too little data: {}; {FEWEST_FAILURES} faults are needed.", self.counts()))
    }

    /// Returns the mean number of machine-days between faults, or why none is given.
    fn mean_time(&self) -> Figure {
        let empty = self.figure("machine-days-between-faults", "d");
        if let Some(note) = self.too_little() {
            return Figure { note, ..empty };
        }
        let seen = trend(&self.watched);
        let mean = mean_time_between(self.faults(), self.machine_days(), CONFIDENCE);
        let (Some(seen), Some(mean)) = (seen, mean) else {
            return Figure { note: format!("Could not tell: {}.", self.counts()), ..empty };
        };
        if !seen.none_seen(LEVEL) {
            let note = format!(
                "Not given: {}, and they come {}, so one mean would describe no time at all ({}).",
                self.counts(),
                if becoming_frequent(&seen) { "more and more often" } else { "less and less often" },
                tests(&seen)
            );
            return Figure { state: "not-given".to_owned(), note, ..empty };
        }
        let value = format!("{:.1}", mean.mean);
        let (lower, upper) = rate_outward(mean.interval, 1.0, 1);
        let note = format!(
            "{}: one in {value} machine-days on average, 95 % interval {lower} to {upper}. No trend is seen ({}); with so few faults that is no proof that there is none. It is the rate of faults turned over, and says nothing of the time until the next one.",
            self.counts(),
            tests(&seen)
        );
        Figure { value: Some(value), lower: Some(lower), upper: Some(upper), state: "value".to_owned(), note, ..empty }
    }

    /// Returns the power of time by which faults have come, or why none is given.
    fn growth(&self) -> Figure {
        let empty = self.figure("growth-shape", "1");
        if let Some(note) = self.too_little() {
            return Figure { note, ..empty };
        }
        // The power depends on each fault's part of its own machine's time alone, so all can be put on one clock.
        let until = self.machine_days();
        let parts = self.watched.iter().flat_map(|one| one.failures.iter().map(|time| time / one.until * until));
        let Some(found) = growth(&Watched { until, failures: parts.collect() }, CONFIDENCE) else {
            return Figure { note: format!("Could not tell: {}.", self.counts()), ..empty };
        };
        let value = format!("{:.2}", found.shape);
        let (lower, upper) = rate_outward(found.shape_interval, 1.0, 2);
        let (first, last) = rate_outward(found.mean_time_interval, 1.0, 1);
        let means = match (found.shape_interval.lower, found.shape_interval.upper) {
            (_, upper) if upper < 1.0 => "Faults became rarer over the twelve months.",
            (lower, _) if lower > 1.0 => "Faults became more frequent over the twelve months.",
            _ => "Whether faults became rarer or more frequent could not be told by this.",
        };
        let note = format!(
            "{}: they come with the power {value} of time, 95 % interval {lower} to {upper}. 1 is an even pace, below 1 they become rarer, above 1 more frequent. {means} The power puts one fault in {:.1} machine-days at the end of the twelve months, 95 % interval {first} to {last}; it is assumed, and says nothing of the time after.",
            self.counts(),
            found.mean_time_at_end
        );
        Figure { value: Some(value), lower: Some(lower), upper: Some(upper), state: "value".to_owned(), note, ..empty }
    }
}

/// Returns in which direction the test that sees a trend sees it.
fn becoming_frequent(seen: &Trend) -> bool {
    if seen.laplace_p <= seen.handbook_p {
        seen.laplace_z > 0.0
    } else {
        seen.handbook_statistic < seen.handbook_degrees as f64
    }
}

fn tests(seen: &Trend) -> String {
    format!("Laplace test {}, MIL-HDBK-189 test {}", chance(seen.laplace_p), chance(seen.handbook_p))
}
