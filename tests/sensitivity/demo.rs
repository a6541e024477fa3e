//! Demos in memory, and what is counted from them.

use pinindex::contents::{self, Contents, Filed};
use pinindex::demo::{Planted, Settings, plan, planted};
use pinindex::logbook::{FileContent, Snapshot, Source, belongs};
use pinindex::question::{self, Questions, Span};
use pinindex::record::{Date, moment};
use pinindex::report::{Basis, Period};
use pinindex::timeline::{Lives, lives};

/// A hospital of six machines and fourteen months.
pub struct Demo {
    pub planted: Planted,
    pub contents: Contents,
    pub lives: Lives,
}

/// The last day of every demo.
const LAST_DAY: &str = "2026-11-25";

impl Demo {
    /// Returns the demo that begins from a number.
    pub fn new(number: u64) -> Demo {
        let settings = Settings { machines: 6, months: 14, seed: number, last_day: LAST_DAY.parse().unwrap() };
        let plan = plan(&settings);
        let files = plan.files.into_iter().filter(|(path, _)| belongs(path));
        let files = files.map(|(path, text)| (path, FileContent::Bytes(text.into_bytes().into()))).collect();
        let source = Source::WorkingFiles { head: None, uncommitted: false };
        let (mut contents, _) = contents::read(&Snapshot { files, source }, &mut |_| {});
        contents.add(plan.records.into_iter().map(|planned| Filed { path: planned.path, record: planned.record }));
        let lives = lives(&contents);
        Demo { planted: planted(&settings), contents, lives }
    }

    /// Returns the whole months of the demo, the oldest first.
    pub fn months(&self) -> Vec<Period> {
        let last: Date = LAST_DAY.parse().unwrap();
        let whole = |month: &Period| month.after <= last;
        let first = Period::month_of(self.planted.first_day);
        std::iter::successors(first, |month| Period::month_of(month.after)).take_while(whole).collect()
    }

    /// Gives what a month's report is counted from to a function.
    pub fn with_basis<T>(&self, period: Period, then: impl FnOnce(&Basis<'_>) -> T) -> T {
        let site = self.contents.site.as_ref().unwrap();
        let (contents, lives) = (&self.contents, &self.lives);
        let as_of = moment::start_of_day(period.after.0, site.time_zone);
        then(&Basis { site, contents, lives, period, as_of, built_from: None, left_out: &[], seals: &[], also: &[] })
    }

    /// Returns what is asked about a month.
    pub fn questions(&self, period: Period) -> Questions {
        self.with_basis(period, |basis| {
            let (first, after, zone) = (period.first, period.after, basis.site.time_zone);
            question::ask(&self.contents, &self.lives, &Span { first, after, last_moment: basis.last_moment(), zone })
        })
    }
}
