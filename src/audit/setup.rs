//! What stands before what, whichever line of the history it is in. The order of the walk says nothing of that: of two lines
//! that were merged it takes the one that the merge names first.

use super::account::RecordAccount;
use crate::logbook::Graph;

/// The commits that brought records, to be asked whether another one came before them.
#[derive(Default)]
pub(super) struct Bringers(Vec<usize>);

impl Bringers {
    /// Takes the commits that brought some records.
    pub(super) fn of<'a>(records: impl IntoIterator<Item = &'a RecordAccount>) -> Bringers {
        let mut brought: Vec<usize> = records.into_iter().flat_map(RecordAccount::brought).collect();
        brought.sort_unstable();
        brought.dedup();
        Bringers(brought)
    }

    /// Returns whether each of them stands on a commit, or is that commit. Until the first record a logbook is being set up.
    pub(super) fn all_stand_on(&self, graph: &Graph, at: usize) -> bool {
        if self.0.first().is_none_or(|first| *first < at) {
            return self.0.is_empty();
        }
        let standing = graph.standing_on(at);
        self.0.iter().all(|brought| standing.get(*brought) == Some(&true))
    }
}
