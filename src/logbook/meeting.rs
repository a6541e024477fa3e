//! What a merge comes to by what its sides did: the one meaning of "this merge changed this file".
//!
//! Each parent after the first is held against those before it, from where they parted. What only one side changed since is
//! that side's; what both changed alike is theirs; what they changed differently somebody must decide. So a parent that another
//! parent stands on brings nothing back: since where the two parted, which is that parent itself, it did nothing.

use anyhow::Result;

use super::graph::Graph;

/// The parents of a merge, and where they parted.
pub(super) struct Meeting {
    /// For each parent after the first, where it parted from those before it; nothing where that takes too long to find.
    parted: Option<Vec<Vec<usize>>>,
}

impl Meeting {
    /// Finds where the parents of a merge parted.
    pub(super) fn of(graph: &Graph, parents: &[usize]) -> Meeting {
        let parted = |at: usize| Some(graph.sides(parents.get(..at)?, *parents.get(at)?)?.bases);
        Meeting { parted: (1..parents.len()).map(parted).collect() }
    }

    /// Returns what a path comes to that has these contents in the parents; `at_base` gives the content in a commit.
    ///
    /// Nothing where the sides contradict each other. With more than one place where they parted, all must give the same.
    pub(super) fn result<T: Copy + PartialEq>(
        &self,
        before: &[Option<T>],
        at_base: &mut dyn FnMut(usize) -> Result<Option<T>>,
    ) -> Result<Option<Option<T>>> {
        let (Some(parted), Some((first, others))) = (&self.parted, before.split_first()) else { return Ok(None) };
        let mut result = *first;
        for (bases, other) in parted.iter().zip(others) {
            if *other == result {
                continue;
            }
            let mut was = bases.iter().map(|base| at_base(*base)).collect::<Result<Vec<_>>>()?;
            // Two that never had anything in common have both added what they have.
            was.extend(bases.is_empty().then_some(None));
            if was.iter().all(|was| *was == result) {
                result = *other;
            } else if !was.iter().all(|was| was == other) {
                return Ok(None);
            }
        }
        Ok(Some(result))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Returns what a merge of the last commits comes to; each commit has its parents and what it has at the path.
    fn result(commits: &[(&[usize], Option<char>)], merged: &[usize]) -> Option<Option<char>> {
        let mut graph = Graph::default();
        for (parents, _) in commits {
            graph.add(parents.to_vec());
        }
        let at = |place: usize| commits[place].1;
        let before: Vec<Option<char>> = merged.iter().map(|place| at(*place)).collect();
        Meeting::of(&graph, merged).result(&before, &mut |base| Ok(at(base))).unwrap()
    }

    const A: Option<char> = Some('a');
    const B: Option<char> = Some('b');
    const C: Option<char> = Some('c');

    #[test]
    fn what_one_side_changed_is_that_sides() {
        let sides = |one, other| result(&[(&[], A), (&[0], one), (&[0], other)], &[1, 2]);
        assert_eq!(sides(A, B), Some(B));
        assert_eq!(sides(B, A), Some(B));
        assert_eq!(sides(None, A), Some(None));
        assert_eq!(sides(B, B), Some(B));
        assert_eq!(sides(B, C), None);
        assert_eq!(sides(B, None), None);
        assert_eq!(result(&[(&[], None), (&[0], A), (&[0], None)], &[1, 2]), Some(A));
    }

    #[test]
    fn one_that_another_stands_on_brings_nothing_back() {
        let line = [(&[][..], A), (&[0], B), (&[1], B)];
        assert_eq!(result(&line, &[2, 0]), Some(B));
        assert_eq!(result(&line, &[0, 2]), Some(B));
        let revoked = [(&[][..], A), (&[0], B), (&[0], A)];
        assert_eq!(result(&revoked, &[2, 1]), Some(B), "an empty commit on the state before changed nothing");
    }

    #[test]
    fn a_change_taken_back_on_one_side_stays_taken_back() {
        // The side parted when the change was there, and still has it.
        assert_eq!(result(&[(&[], A), (&[0], B), (&[1], A), (&[1], B)], &[2, 3]), Some(A));
    }

    #[test]
    fn of_three_parents_each_is_held_against_those_before_it() {
        let three = [(&[][..], A), (&[0], B), (&[1], A), (&[1], B), (&[0], A)];
        assert_eq!(result(&three, &[2, 3, 4]), Some(A));
        assert_eq!(result(&three, &[4, 3, 2]), Some(A));
        assert_eq!(result(&[(&[], None), (&[0], A), (&[0], None), (&[0], B)], &[1, 2, 3]), None);
    }

    #[test]
    fn two_without_a_common_beginning_both_added_what_they_have() {
        assert_eq!(result(&[(&[], A), (&[], None)], &[0, 1]), Some(A));
        assert_eq!(result(&[(&[], A), (&[], B)], &[0, 1]), None);
    }

    #[test]
    fn where_merges_crossed_every_place_of_parting_must_say_the_same() {
        let crossed =
            |first, second| result(&[(&[], A), (&[0], first), (&[0], A), (&[1, 2], first), (&[2, 1], second)], &[3, 4]);
        assert_eq!(crossed(B, B), Some(B));
        assert_eq!(crossed(A, B), Some(B));
        assert_eq!(crossed(B, C), None);
    }
}
