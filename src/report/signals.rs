//! Section: is this period different from before? Thirteen months side by side, and at most three exact tests.
//!
//! What is compared is the share of checks before use that brought a new fault to light, so that one defect counts once.
//! Limits are exact: the usual three standard deviations give several times the false alarms they promise at a few
//! failures a month, and no lower limit at all.

use super::basis::Basis;
use super::document::{Block, Figure, Section};
use super::last_faults::{LastFaults, last_faults};
use super::period::Period;
use super::proportion::{CONFIDENCE, Share};
use super::strip;
use super::tally::{Counts, Tally};
use crate::diagnostic::counted;
use crate::statistics::comparison::rates;
use crate::statistics::fisher::{self, fisher, quiet_counts};
use crate::statistics::rounding::{p_value, ratio_outward};

/// A difference is signalled when chance alone would show one as large less often than this.
pub const LEVEL: f64 = 0.005;

/// The fewest new faults, before and now, with which a comparison says anything.
pub const FEWEST_FAULTS: u64 = 5;

/// A test that was run for the report.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// What it looks for, in words.
    pub what: String,
    /// How many comparisons it makes; one that compares each of six machines makes six.
    pub runs: usize,
    /// The chance of any false alarm among them when nothing has changed.
    pub false_alarm: f64,
}

/// What came of comparing two groups of checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    pub now: Share,
    pub before: Share,
    /// What is compared, to stand in a sentence: `October 2026` and `the twelve months before`.
    pub now_words: String,
    pub before_words: String,
    pub outcome: Outcome,
}

/// The outcome of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Too few checks or new faults to say anything.
    TooLittle,
    /// Not told apart; how often a doubled share would be missed, between 0 and 1, where that can be worked out.
    CouldNotTell {
        p: f64,
        missed: Option<f64>,
    },
    More {
        p: f64,
    },
    Fewer {
        p: f64,
    },
}

/// A month of the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Month {
    pub month: Period,
    pub share: Share,
    /// The counts of new faults which the test against the other months would not signal.
    pub quiet: Option<(u64, u64)>,
}

/// All comparisons of a report.
#[derive(Clone, Debug, PartialEq)]
pub struct Signals {
    pub strip: Vec<Month>,
    pub against_before: Compared,
    /// The last three months against the ten before; for a month's report only.
    pub three_months: Option<Compared>,
    pub last_faults: Option<LastFaults>,
    pub tests: Vec<Test>,
}

/// Makes every comparison.
pub fn compared(basis: &Basis<'_>, tally: &Tally<'_>) -> Signals {
    let period = basis.period;
    let share = |counts: Counts| Share { k: counts.found_fault, n: counts.checks };
    let of = |span: Period| share(tally.counts(span, None));
    let months: Vec<(Period, Share)> = period.thirteen_months().into_iter().map(|month| (month, of(month))).collect();
    let all = sum(months.iter().map(|(_, share)| *share));
    let strip = months
        .iter()
        .filter(|(month, _)| tally.since.is_none_or(|since| since < month.after))
        .filter(|(month, _)| month.first <= basis.day(basis.last_moment()))
        .map(|(month, share)| Month {
            month: *month,
            share: *share,
            quiet: (all.n > share.n && share.n > 0)
                .then(|| quiet_counts(all.k, all.n, share.n, LEVEL))
                .flatten()
                .map(|quiet| (quiet.low, quiet.high)),
        })
        .collect();
    let mut tests = Vec::new();
    let before = period.twelve_months_before();
    let before_words = words_before(tally, before, "the twelve months before");
    let against_before = compare((of(period), period.words()), (of(before), before_words));
    note_test(&mut tests, &against_before);
    let three_months = period.is_month().then(|| {
        let (before, last) = months.split_at(months.len().saturating_sub(3));
        let span =
            |months: &[(Period, Share)]| Some(Period { first: months.first()?.0.first, after: months.last()?.0.after });
        // Three months against one or two would say more of those than of these.
        let enough = span(before).and_then(|span| tally.covered(span)).is_some_and(|span| span.days() >= DAYS_BEFORE);
        let words = span(before).map_or(String::new(), |span| words_before(tally, span, "the ten before"));
        let share = |months: &[(Period, Share)]| sum(months.iter().map(|(_, share)| *share));
        let before = if enough { share(before) } else { Share { k: 0, n: 0 } };
        compare((share(last), "the last three months".to_owned()), (before, words))
    });
    if let Some(compared) = &three_months {
        note_test(&mut tests, compared);
    }
    let last_faults = last_faults(basis, tally);
    if last_faults.as_ref().is_some_and(|last| last.p.is_some()) {
        tests.push(Test { what: "the span of the last three faults".to_owned(), runs: 1, false_alarm: LEVEL });
    }
    Signals { strip, against_before, three_months, last_faults, tests }
}

fn sum(shares: impl Iterator<Item = Share>) -> Share {
    shares.fold(Share { k: 0, n: 0 }, |sum, share| Share { k: sum.k + share.k, n: sum.n + share.n })
}

/// The fewest days of records with which the months before the last three are compared.
const DAYS_BEFORE: i64 = 150;

/// Returns what a span before is called: as asked, or by the day on which the records begin when that lies within it.
fn words_before(tally: &Tally<'_>, span: Period, whole: &str) -> String {
    match tally.since.filter(|since| *since > span.first) {
        Some(since) if since < span.after => format!("the records before, from {since} on"),
        Some(_) => format!("{whole} (no records)"),
        None => whole.to_owned(),
    }
}

fn note_test(tests: &mut Vec<Test>, compared: &Compared) {
    if compared.outcome == Outcome::TooLittle {
        return;
    }
    let (now, before) = (compared.now, compared.before);
    if let Some(quiet) = quiet_counts(now.k + before.k, now.n + before.n, now.n, LEVEL) {
        let what = format!("{} against {}", compared.now_words, compared.before_words);
        tests.push(Test { what, runs: 1, false_alarm: quiet.false_alarm });
    }
}

/// Compares two groups of checks by Fisher's exact test.
pub fn compare((now, now_words): (Share, String), (before, before_words): (Share, String)) -> Compared {
    let outcome = match fisher(now.k, now.n, before.k, before.n) {
        Some(test) if now.n > 0 && before.n > 0 && now.k + before.k >= FEWEST_FAULTS => {
            let p = test.two_sided;
            // Compared as products: a share is not rounded to be compared.
            let more = u128::from(now.k) * u128::from(before.n) > u128::from(before.k) * u128::from(now.n);
            if p >= LEVEL {
                let share = (now.k + before.k) as f64 / (now.n + before.n) as f64;
                let found = fisher::power(now.n, before.n, share, 2.0, LEVEL);
                Outcome::CouldNotTell { p, missed: found.map(|found| 1.0 - found) }
            } else if more {
                Outcome::More { p }
            } else {
                Outcome::Fewer { p }
            }
        }
        _ => Outcome::TooLittle,
    };
    Compared { now, before, now_words, before_words, outcome }
}

/// Returns a chance with its letter: `p = 0.035`.
pub fn chance(p: f64) -> String {
    let printed = p_value(p);
    if printed.starts_with('<') { format!("p {printed}") } else { format!("p = {printed}") }
}

/// Returns how many times in 100, in words that never promise never or always.
pub fn times_in_hundred(share: f64) -> String {
    match (share * 100.0).round() as i64 {
        ..=0 => "less than once in 100 times".to_owned(),
        1 => "once in 100 times".to_owned(),
        100.. => "more than 99 times in 100".to_owned(),
        times => format!("{times} times in 100"),
    }
}

impl Compared {
    /// Returns how many times the share before the share is, with its limits; nothing when there was none before.
    fn times(&self) -> Option<(String, String, String)> {
        let compared = rates(self.now.k, self.now.n as f64, self.before.k, self.before.n as f64, CONFIDENCE)?;
        let (lower, upper) = ratio_outward(compared.lower, compared.upper);
        Some((format!("{:.1}", compared.ratio?), lower, upper))
    }

    /// Returns the comparison as a figure: how many times the share before.
    fn figure(&self, figure: &str) -> Figure {
        let times = self.times().filter(|_| self.outcome != Outcome::TooLittle);
        let state = if times.is_some() { "value" } else { "too-little-data" };
        let (value, lower, upper) =
            times.map_or((None, None, None), |(ratio, lower, upper)| (Some(ratio), Some(lower), Some(upper)));
        Figure {
            figure: figure.to_owned(),
            of: "all".to_owned(),
            k: Some(self.now.k),
            n: Some(self.now.n),
            value,
            unit: "times the share before".to_owned(),
            lower,
            upper,
            state: state.to_owned(),
            note: self.sentence(),
        }
    }

    /// Returns the outcome in a sentence.
    pub fn sentence(&self) -> String {
        let (now, before) = (&self.now_words, &self.before_words);
        let times = self.times().map_or(String::new(), |(ratio, lower, upper)| {
            format!("; {ratio} times the share before, 95 % interval {lower} to {upper}")
        });
        let counts = format!(
            "{} of {} in {now}, {} of {} in {before}",
            self.now.k,
            counted(self.now.n as usize, "check"),
            self.before.k,
            counted(self.before.n as usize, "check")
        );
        match self.outcome {
            Outcome::TooLittle if self.now.n == 0 => {
                format!("No checks before use were recorded in {now}, so there is nothing to compare.")
            }
            Outcome::TooLittle if self.before.n == 0 => format!(
                "There are no earlier checks, or too few, to compare {now} with ({} of {} found a new fault).",
                self.now.k,
                counted(self.now.n as usize, "check")
            ),
            Outcome::TooLittle => format!(
                "Too little data to compare {now} with {before} ({counts}): with fewer than {FEWEST_FAULTS} new faults in all, even a doubling could not be seen."
            ),
            Outcome::CouldNotTell { p, missed } => format!(
                "Could not tell {now} from {before} ({}; a signal needs p below {LEVEL}): new faults were found by {counts}{times}.{}",
                chance(p),
                missed.map_or(String::new(), |missed| format!(
                    " Were the share twice as high, this comparison would miss it {}.",
                    times_in_hundred(missed)
                ))
            ),
            Outcome::More { p } => {
                format!("More checks found a new fault than before: {counts}{times} ({}).", chance(p))
            }
            Outcome::Fewer { p } => format!(
                "Fewer checks found a new fault than before: {counts}{times} ({}). Either fewer there were, or fewer were found.",
                chance(p)
            ),
        }
    }

    /// Returns whether it calls for a look.
    pub fn signals(&self) -> bool {
        matches!(self.outcome, Outcome::More { .. } | Outcome::Fewer { .. })
    }
}

/// Returns the section and its figures.
pub fn section(basis: &Basis<'_>, signals: &Signals) -> (Section, Vec<Figure>) {
    let words = basis.period.words();
    let mut figures = vec![signals.against_before.figure("against-twelve-months-before")];
    for month in &signals.strip {
        figures.push(month.share.named("new-faults-by-month", &month.month.name(), "checks found a new fault"));
    }
    let mut blocks = vec![
        Block::Paragraph(
            "A check found a new fault when it failed in an item that no fault open at that time names. A defect that fails the check of every morning until it is repaired is one new fault."
                .to_owned(),
        ),
        Block::Paragraph(signals.against_before.sentence()),
    ];
    if let Some(compared) = &signals.three_months {
        blocks.push(Block::Paragraph(compared.sentence()));
        figures.push(compared.figure("last-three-months-against-ten"));
    }
    if let Some(last) = &signals.last_faults {
        blocks.push(Block::Paragraph(last.sentences()));
    }
    blocks.push(strip::table(signals));
    let title = format!("Is {words} different from before?");
    (Section { id: "signals".to_owned(), title, blocks, new_page: false }, figures)
}
