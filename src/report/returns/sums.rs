//! Where the time of the released faults went: response, waiting, work and proving, added up.
//!
//! Takes the released faults of the twelve months, gives sums that make up the whole. No mean is made of them: the faults
//! that last longest are those that are not released yet.

use super::super::basis::Basis;
use super::super::document::{Block, Column, Figure, Table};
use super::figures::hours;
use super::parts::parts;
use crate::diagnostic::counted;
use crate::statistics::rounding::percent;
use crate::timeline::Case;

/// Seconds of all released faults together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sums {
    pub released: usize,
    /// Faults that are not in the sums, since they were not released.
    pub left: usize,
    pub response: i64,
    pub waiting_named: i64,
    pub waiting_not_explained: i64,
    pub work: i64,
    pub proving: i64,
    /// From found to released, of faults that were released without any work on record.
    pub without_work: i64,
}

/// Adds up the released ones among some faults.
pub fn sums<'a>(basis: &Basis<'_>, cases: impl Iterator<Item = &'a Case>) -> Sums {
    let last = basis.last_moment();
    let mut sums = Sums::default();
    for case in cases {
        let Some(released) = case.released_by(last) else {
            sums.left += 1;
            continue;
        };
        sums.released += 1;
        let parts = parts(case, last);
        match parts.response {
            Some(response) => {
                sums.response += response;
                sums.waiting_named += parts.waiting_named();
                sums.waiting_not_explained += parts.waiting_not_explained();
                sums.work += parts.work;
                sums.proving += parts.proving.unwrap_or(0);
            }
            None => sums.without_work += released.seconds_since(case.found).max(0),
        }
    }
    sums
}

impl Sums {
    /// Returns the sum of all parts.
    pub fn whole(self) -> i64 {
        self.parts().iter().map(|(_, _, seconds)| seconds).sum()
    }

    fn parts(self) -> [(&'static str, &'static str, i64); 6] {
        [
            ("response", "Response: found to the first work begun", self.response),
            ("waiting-named", "Waiting that a repair names", self.waiting_named),
            ("waiting-not-explained", "Waiting not explained: between two works", self.waiting_not_explained),
            ("work", "Work", self.work),
            ("proving", "Proving: last work finished to released", self.proving),
            ("no-work-on-record", "No work on record: found to released", self.without_work),
        ]
    }

    /// Returns the blocks; none when no fault was released.
    pub fn blocks(self) -> Vec<Block> {
        if self.released == 0 {
            return Vec::new();
        }
        let whole = self.whole();
        let share = |seconds: i64| format!("{} %", percent(unsigned(seconds), unsigned(whole), 1));
        let row = |words: &str, seconds: i64| vec![words.to_owned(), hours(seconds), share(seconds)];
        let mut rows: Vec<Vec<String>> = self.shown().map(|(_, words, seconds)| row(words, seconds)).collect();
        rows.push(row("Found to released", whole));
        vec![
            Block::Table(Table {
                caption: format!("Where the time went, {} together", counted(self.released, "released fault")),
                columns: vec![Column::left("Part"), Column::right("Hours"), Column::right("Share")],
                rows,
                total: true,
            }),
            Block::Paragraph(
                if self.left > 0 {
                    "Only released faults are in these sums, and they are the shorter ones: the longest are released last. So no mean is taken from them."
                } else {
                    "All faults of this time are in these sums. One long one can outweigh all others, so no mean is taken from them."
                }
                .to_owned(),
            ),
        ]
    }

    /// Returns the parts that stand in the table: the last one only when there is such a fault.
    fn shown(self) -> impl Iterator<Item = (&'static str, &'static str, i64)> {
        self.parts().into_iter().filter(|(name, _, seconds)| *name != "no-work-on-record" || *seconds > 0)
    }

    /// Returns the figures.
    pub fn figures(self) -> Vec<Figure> {
        let figure = |(name, words, seconds): (&str, &str, i64)| Figure {
            figure: "return-to-service-part".to_owned(),
            of: name.to_owned(),
            k: None,
            n: Some(self.released as u64),
            value: (self.released > 0).then(|| hours(seconds)),
            unit: "h".to_owned(),
            lower: None,
            upper: None,
            state: if self.released > 0 { "value" } else { "not-recorded" }.to_owned(),
            note: format!("{words}; released faults together, a sum and no estimate"),
        };
        self.shown().map(figure).collect()
    }
}

fn unsigned(seconds: i64) -> u64 {
    u64::try_from(seconds).unwrap_or(0)
}
